// SVG pieces, and lengths as people read them.
const NS = "http://www.w3.org/2000/svg";

export function piece(name, attributes = {}, words = null) {
  const made = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (words !== null) made.textContent = words;
  return made;
}

export function element(name, attributes = {}, ...inside) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...inside);
  return made;
}

let us = false;
export function useUnits(word) { us = word === "us"; }
export const placeUnit = () => (us ? "in" : "mm");
const signed = (number, digits) => {
  const text = Math.abs(number).toFixed(digits);
  if (Number(text) === 0) return text;
  return (number < 0 ? "−" : "+") + text;
};
/// A time in ms, with its sign where it is negative.
export const ms = (s, digits = 2) =>
  s === null ? "not known" : (s < 0 ? "−" : "") + `${Math.abs(s * 1e3).toFixed(digits)} ms`;
/// A length along the row as a number with its sign, in mm or in.
export const place = (m, digits = us ? 2 : 1) => signed(us ? m / 0.0254 : m * 1e3, digits);
export const length = (m, digits = us ? 2 : 1) => (us ? m / 0.0254 : m * 1e3).toFixed(digits);
export const distance = (m) => (us ? `${(m / 0.3048).toFixed(1)} ft` : `${m.toFixed(1)} m`);

export const TOLERANCE_M = 0.01;
export const isFar = (seed) => seed.error_m === null || Math.abs(seed.error_m) > TOLERANCE_M;

/// "3.1 mm behind", "merged"
export function errorWords(seed) {
  if (seed.error_m === null) return seed.status.replaceAll("_", " ");
  const words = `${length(Math.abs(seed.error_m))} ${placeUnit()} `;
  return words + (seed.error_m < 0 ? "behind" : "ahead");
}
