// A delay table that a job has found, and the choice to give it to the controller.
import { element, ms, place, placeUnit, length, speed } from "./draw.js";

const known = (value, words) => (value === null ? "not known" : words(value));

/// `give` and `close` are called when their button is pressed.
export function showTable(root, job, table, give, close) {
  const head = element("tr", {}, ...["row speed", "delay", "on time", "mean error", "within 10 mm"].map((word) =>
    element("th", { scope: "col" }, word)));
  const body = element("tbody");
  for (const one of table.speeds)
    body.append(element("tr", {}, element("th", { scope: "row" }, speed(one.speed_mps)),
      element("td", {}, known(one.delay_s, ms)), element("td", {}, known(one.on_s, ms)),
      element("td", {}, known(one.residual_m, (m) => `${place(m)} ± ${known(one.residual_half_m, (half) => length(half))} ${placeUnit()}`)),
      element("td", {}, known(one.within_10mm_ratio, (ratio) => `${(ratio * 100).toFixed(1)} %`))));
  const button = (words, act) => {
    const made = element("button", { type: "button" }, words);
    made.addEventListener("click", act);
    return made;
  };
  const holds = table.holds_to_mps > 0
    ? `95 % within 10 mm from ${speed(table.holds_from_mps)} to ${speed(table.holds_to_mps)} of row speed, with trims.`
    : "At no speed are 95 % within 10 mm.";
  root.replaceChildren(
    element("h3", { id: "table-title", tabindex: "-1" }, `Delay table of job ${job}`),
    element("p", {}, `${table.attachment}: the valve is told to open D = a + b / v after the edge, with a = ${ms(table.delay_time_s)} ` +
      `and b = ${place(table.delay_distance_m)} ${placeUnit()}, less the lead at its flow. ${holds} Grade: ${table.grade}.`),
    element("div", { class: "wide", role: "region", "aria-label": "Delay table by speed", tabindex: "0" },
      element("table", {}, element("thead", {}, head), body)),
    element("p", { class: "tools" }, button("Give this table to the controller", give), button("Close the table", close)));
  root.hidden = false;
}
