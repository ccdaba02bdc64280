// The row's figures as a table: those of the setting now, and of the pinned one beside them.
import { element, length, ms, placeUnit, place } from "./draw.js";

const percent = (ratio) => (ratio === null ? "not known" : `${(ratio * 100).toFixed(1)} %`);
const known = (value, words) => (value === null || value === undefined ? "not known" : words(value));
const inPlaceUnit = (m) => `${place(m)} ${placeUnit()}`;
const lengthInUnit = (m) => `${length(m)} ${placeUnit()}`;

const FIGURES = [
  ["sensed seeds within 10 mm", (r) => percent(r.figures.within[0].sensed_ratio)],
  ["mean placement error", (r) => known(r.figures.placement_error_m.mean, inPlaceUnit)],
  ["scatter of it (sd)", (r) => known(r.figures.placement_error_m.sd, lengthInUnit)],
  ["mean length of a band", (r) => known(r.figures.band_length_m.mean, lengthInUnit)],
  ["dose on target, mean", (r) => percent(r.figures.on_target_ratio.mean)],
  ["liquid outside the wanted bands", (r) => percent(r.figures.gap_ratio)],
  ["a of the delay table", (r) => ms(r.delay.time_s)],
  ["b of the delay table", (r) => known(r.delay.distance_m, inPlaceUnit)],
  ["delay at this speed", (r) => ms(r.delay.at_speed_s)],
  ["lead and lag time", (r) => `${ms(r.delay.lead_s)}, ${ms(r.delay.lag_s)}`],
  ["speed of the jet", (r) => known(r.jet.speed_mps, (mps) => `${mps.toFixed(1)} m/s`)],
  ["may the jet move the seed", (r) => (r.jet.may_move_seed ? "may move the seed" : "no")],
];

/// `pinned`: null, or the row of the pinned setting.
export function figureTable(row, pinned) {
  const head = element("tr", {}, element("th", { scope: "col" }, "figure"), element("th", { scope: "col" }, "now"));
  if (pinned) head.append(element("th", { scope: "col" }, "pinned"));
  const body = element("tbody");
  for (const [name, figure] of FIGURES) {
    const line = element("tr", {}, element("th", { scope: "row" }, name), element("td", {}, figure(row)));
    if (pinned) line.append(element("td", {}, figure(pinned)));
    body.append(line);
  }
  return element("table", {}, element("thead", {}, head), body);
}
