// Small things that all parts of the reports' script share: numbers, elements, values with their unit.
export const numbers = (text) => text.split(" ").map(Number);
export const clamp = (value, low, high) => Math.min(high, Math.max(low, value));
export function element(name, attributes, ...inside) {
  const made = document.createElement(name);
  for (const key in attributes) made.setAttribute(key, attributes[key]);
  made.append(...inside);
  return made;
}
/// As many decimals as a pixel of `step` can show.
export function shown(value, step) {
  const text = Math.abs(value).toFixed(clamp(Math.ceil(-Math.log10(step)), 0, 6));
  return (value < 0 && Number(text) !== 0 ? "−" : "") + text;
}
export const withUnit = (value, step, unit) => shown(value, step) + (unit ? " " + unit : "");
