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

export const speed = (mps) => (us ? `${(mps / 0.44704).toFixed(1)} mph` : `${(mps * 3.6).toFixed(1)} km/h`);
/// A volume per area as a number, in the unit that people read: gal/ac is 3.785411784e-3 m3 on 4046.8564224 m2.
export const ratePerArea = (m3pm2) => (us ? (m3pm2 * 4046.8564224) / 3.785411784e-3 : m3pm2 * 1e7);
export const rateUnit = () => (us ? "gal/ac" : "l/ha");
export const volume = (m3) => (us ? `${(m3 / 29.5735295625e-6).toFixed(4)} fl oz` : `${(m3 * 1e6).toFixed(3)} ml`);

/// A round length of at most this, for a scale: its metres and its words.
export function roundLength(most_m) {
  const units = us ? [[0.3048, "ft"], [0.0254, "in"]] : [[1, "m"], [0.001, "mm"]];
  const [unit_m, word] = units.find(([one_m]) => most_m >= one_m) ?? units[1];
  const ten = 10 ** Math.floor(Math.log10(most_m / unit_m));
  const number = ten * [5, 2, 1].find((times) => ten * times * unit_m <= most_m);
  return { m: number * unit_m, words: `${Number(number.toPrecision(1))} ${word}` };
}

export const TOLERANCE_M = 0.01;
export const isFar = (seed) => seed.error_m === null || Math.abs(seed.error_m) > TOLERANCE_M;

/// "3.1 mm behind", "merged"
export function errorWords(seed) {
  if (seed.error_m === null) return seed.status.replaceAll("_", " ");
  const words = `${length(Math.abs(seed.error_m))} ${placeUnit()} `;
  return words + (seed.error_m < 0 ? "behind" : "ahead");
}
