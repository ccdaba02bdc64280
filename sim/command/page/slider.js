// A slider of one key with a field for its exact value: the hand moves one, and both show the same.
import { element } from "./draw.js";

/// `set(text)` is told each new value. Returns { key, range, field, line, show(text, number) }.
export function makeSlider(key, set) {
  const id = "key-" + key.key.replaceAll(".", "-");
  const { label, from, to, step, number } = key.slider;
  const range = element("input", { type: "range", id, min: from, max: to, step, title: key.help });
  const field = element("input", { type: "text", spellcheck: "false",
    "aria-label": `${label}, exact value with its unit` });
  const line = element("div", { class: "slider" }, element("label", { for: id }, label), range, field);
  const tell = () => range.setAttribute("aria-valuetext", field.value);
  /// What the scenario has; a part that has the focus is the hand's own.
  const show = (text, value) => {
    if (document.activeElement !== range) range.value = value;
    if (document.activeElement !== field) field.value = text;
    tell();
  };
  const reset = () => {
    range.value = number;
    field.value = key.value;
    tell();
  };
  range.addEventListener("input", () => {
    field.value = `${Number(range.value)} ${key.unit}`;
    tell();
    set(field.value);
  });
  field.addEventListener("change", () => {
    const typed = field.value.trim();
    // In another unit (mV where V is shown) the slider stays until somebody has read the text.
    const digits = typed.endsWith(key.unit) ? typed.slice(0, typed.length - key.unit.length).trim() : "";
    if (digits && !Number.isNaN(Number(digits))) range.value = Number(digits);
    tell();
    set(typed);
  });
  reset();
  return { key, range, field, line, show, reset };
}
