// One seed: what `explain` says, and its waveforms over one time axis.
import { piece, element, ms } from "./draw.js";

const PANEL = 64, GAP = 12, LEFT = 10, RIGHT = 10, TOP = 22;
const PANELS = [
  ["command", "command, on or off", 1, ""],
  ["current_a", "coil current, A", 1, "A"],
  ["lift_m", "lift of the plunger, mm", 1e3, "mm"],
  ["valve_exit_pressure_pa", "pressure behind the valve, bar", 1e-5, "bar"],
  ["valve_flow_m3ps", "flow through the valve, ml/s", 1e6, "ml/s"],
  ["outlet_flow_m3ps", "flow out of the outlet, ml/s", 1e6, "ml/s"],
];

function panel(svg, wave, index, x, width, range) {
  const [column, name, factor] = PANELS[index];
  const values = wave[column].map((value) => (value === null ? null : value * factor));
  const shown = values.filter((value, i) => value !== null && range.holds(wave.time_s[i]));
  const high = Math.max(...shown, 1e-9), low = Math.min(...shown, 0);
  const top = TOP + index * (PANEL + GAP), foot = top + PANEL;
  const y = (value) => foot - ((value - low) / (high - low || 1)) * (PANEL - 16);
  svg.append(piece("line", { x1: LEFT, x2: width - RIGHT, y1: y(0), y2: y(0), class: "axis" }));
  let path = "";
  values.forEach((value, i) => {
    if (value === null || !range.holds(wave.time_s[i])) return;
    path += `${path ? "L" : "M"}${x(wave.time_s[i]).toFixed(1)} ${y(value).toFixed(1)}`;
  });
  svg.append(piece("path", { d: path, class: "curve" }));
  svg.append(piece("text", { x: LEFT + 2, y: top + 10 },
    column === "command" ? name : `${name}; at most ${high.toPrecision(3)}`));
}

/// Null where nothing was recorded.
function waves(answer, width) {
  const { wave, instants } = answer;
  if (wave.time_s.length < 2) return null;
  const open_s = instants.open_s ?? wave.time_s[0];
  const close_s = instants.close_s ?? open_s + 0.01;
  const from_s = Math.max(wave.time_s[0], open_s - 0.002);
  const to_s = Math.min(wave.time_s.at(-1), close_s + 0.015);
  const range = { holds: (s) => s >= from_s && s <= to_s };
  const x = (s) => LEFT + ((s - from_s) / (to_s - from_s)) * (width - LEFT - RIGHT);
  const height = TOP + PANELS.length * (PANEL + GAP) + 34;
  const svg = piece("svg", { viewBox: `0 0 ${width} ${height}`, role: "img",
    "aria-label": "Waveforms of the pulse over one time axis: " + PANELS.map((one) => one[1]).join("; ") });
  const foot = height - 34;
  const step_ms = (to_s - from_s) * 1e3 > 40 ? 10 : (to_s - from_s) * 1e3 > 16 ? 5 : 2;
  const first = Math.ceil(((from_s - open_s) * 1e3) / step_ms);
  for (let tick = first; open_s + tick * step_ms * 1e-3 <= to_s; ++tick) {
    const at = x(open_s + tick * step_ms * 1e-3);
    svg.append(piece("line", { x1: at, x2: at, y1: TOP, y2: foot, class: "grid" }));
    svg.append(piece("text", { x: at, y: foot + 14, "text-anchor": "middle", class: "muted" }, tick * step_ms));
  }
  svg.append(piece("text", { x: width / 2, y: foot + 30, "text-anchor": "middle", class: "muted" },
    "time after the open command, ms"));
  for (const [at_s, word, anchor] of [[instants.open_s, "open", "start"], [instants.close_s, "close", "start"]]) {
    if (at_s === undefined || at_s === null || !range.holds(at_s)) continue;
    svg.append(piece("line", { x1: x(at_s), x2: x(at_s), y1: 8, y2: foot, class: "mark-line" }));
    svg.append(piece("text", { x: x(at_s) + 4, y: 14, "text-anchor": anchor }, word));
  }
  PANELS.forEach((_, index) => panel(svg, wave, index, x, width, range));
  return svg;
}

export function showSeed(place, number, answer, close) {
  const { explain, instants } = answer;
  const shut = element("button", { type: "button" }, "Close this seed");
  shut.addEventListener("click", close);
  const steps = element("ol");
  for (const step of explain.steps) {
    const at = step.time_s === null ? "" : ms(step.time_s - instants.edge_s);
    steps.append(element("li", {}, element("span", {}, at), element("span", {}, step.step),
      element("span", {}, step.text)));
  }
  place.replaceChildren(
    element("h2", { id: "seed-title", tabindex: "-1" }, `Seed ${number}`),
    element("p", { id: "seed-age", class: "trouble", role: "status" }),
    element("p", {}, explain.sentence),
    element("p", { class: "help" }, "Times count from the edge of the seed sensor."),
    steps);
  place.hidden = false;
  const drawn = waves(answer, Math.max(300, place.clientWidth - 16));
  place.append(drawn ?? element("p", {}, "No waveform was recorded for this seed."),
    element("pre", { tabindex: "0", role: "region", "aria-label": "Command line for this seed" }, answer.command),
    element("p", { class: "tools" }, shut));
}
