// The furrow from above, to scale along the row: bands in the upper lane, seeds on the line below
// it, a leader from each seed to the centre of its band. A pinned setting lies below the seeds.
import { piece, place, distance, errorWords, isFar, placeUnit } from "./draw.js";

const LANE = 62;       // height of a lane of bands
const SEEDS = 30;      // from the lane's floor to the seeds
const BELOW = 44;      // below the seeds: their errors and the scale
const LEFT = 8, RIGHT = 8, TOP = 6;

/// How much furrow a strip shows so that a millimetre can be seen, and how many strips there are.
function layout(width) {
  if (width >= 640) return { strip_m: 1.0, strips: 2 };
  return { strip_m: 0.5, strips: 3 };
}

/// Outline of the line density: what lies on a millimetre, cut at twice the wanted density.
function outline(row, from_m, to_m, x, floor, up) {
  const { density, wanted } = row;
  const full = 2 * wanted.line_dose_m3pm * 1e9;
  const points = [];
  density.mm3_per_m.forEach((volume, i) => {
    const at_m = density.from_m + (i + 0.5) * density.cell_m;
    if (at_m < from_m || at_m > to_m) return;
    const high = full > 0 ? Math.min(1, volume / full) * LANE : 0;
    points.push(`${x(at_m).toFixed(1)},${(floor - up * high).toFixed(1)}`);
  });
  if (points.length < 2) return null;
  return `${x(from_m)},${floor} ${points.join(" ")} ${x(to_m)},${floor}`;
}

function soil(group, width, y) {
  let path = "";
  for (let at = LEFT; at < width - RIGHT; at += 26) path += `M${at + 6} ${y + 2}l-5 6`;
  group.append(piece("path", { d: path, class: "soil" }));
}

function seedWords(seed, room) {
  if (seed.error_m === null) return seed.status.replaceAll("_", " ");
  return room < 40 ? place(seed.error_m, 0) : place(seed.error_m);
}
/// In px, about: letters of 12 px, bold ones beside the sign of a seed that is far from its band.
const wordsWidth = (seed, room) => isFar(seed) ? 7.6 * (seedWords(seed, room).length + 2) : 7 * seedWords(seed, room).length;

/// `room`: px between seeds; `words_x`: the middle of its words, null where there is no place for them.
function seedMark(seed, index, x, y, chosen, room, words_x) {
  const group = piece("g", {
    role: "button", tabindex: "-1", "data-seed": index,
    "aria-label": `Seed ${index}, ${errorWords(seed)}${seed.sensed ? "" : ", not sensed"}: explain`,
  });
  if (index === chosen) group.classList.add("chosen");
  group.append(piece("ellipse", {
    cx: x, cy: y, rx: 6, ry: 4, class: seed.sensed ? "grain" : "grain unseen" }));
  const words = seedWords(seed, room);
  if (words_x !== null)
    group.append(piece("text", {
      x: words_x, y: y + 20, "text-anchor": "middle", class: isFar(seed) ? "far" : "" },
      isFar(seed) ? `${words} !` : words));
  const wide = Math.min(32, Math.max(6, room));
  group.append(piece("rect", {
    x: x - wide / 2, y: y - 12, width: wide, height: 37, rx: 3, class: "touch" }));
  return group;
}

/// The band whose centre is nearest to the seed's place and its error: its own.
function ownCentre(row, seed) {
  return seed.error_m === null ? null : seed.x_m + seed.error_m;
}

function strip(svg, row, pinned, geometry, number, chosen) {
  const { width, strip_m, height } = geometry;
  const from_m = row.density.from_m + number * strip_m;
  const to_m = from_m + strip_m;
  const x = (m) => LEFT + ((m - from_m) / strip_m) * (width - LEFT - RIGHT);
  const floor = TOP + number * height + LANE;
  const seeds_y = floor + SEEDS;
  const group = piece("g");
  soil(group, width, floor + 1);
  const shape = outline(row, from_m, to_m, x, floor, 1);
  if (shape) group.append(piece("polygon", { points: shape, class: "liquid" }));
  const below = seeds_y + 34;
  if (pinned) {
    const shift = row.density.from_m - pinned.density.from_m;
    const px = (m) => x(m + shift);
    const old = outline(pinned, from_m - shift, to_m - shift, px, below, -1);
    if (old) group.append(piece("polygon", { points: old, class: "pinned" }));
    group.append(piece("line", { x1: LEFT, x2: width - RIGHT, y1: below, y2: below, class: "floor" }));
  }
  const half = row.wanted.band_length_m / 2;
  const marks = [];
  const placed = row.seeds.filter((seed) => seed.x_m !== null);
  const room = placed.length < 2 ? width
    : x(from_m + (placed.at(-1).x_m - placed[0].x_m) / (placed.length - 1)) - LEFT;
  let words_end = -Infinity;
  row.seeds.forEach((seed, index) => {
    if (seed.x_m === null || seed.x_m < from_m || seed.x_m >= to_m) return;
    const at = x(seed.x_m);
    if (!row.wanted.continuous) {
      const l = Math.max(LEFT, x(seed.x_m - half)), r = Math.min(width - RIGHT, x(seed.x_m + half));
      group.append(piece("path", {
        d: `M${l} ${floor}V${floor - LANE / 2}H${r}V${floor}`, class: "wanted" }));
    }
    const centre = ownCentre(row, seed);
    if (centre !== null)
      group.append(piece("path", {
        d: `M${at} ${seeds_y - 4}L${x(centre)} ${floor}v-7`, class: "leader", fill: "none" }));
    // Seeds that stand close have words as far as these do not overlap.
    const half_words = 0.5 * wordsWidth(seed, room);
    const words_x = Math.min(width - half_words, Math.max(half_words, at));
    const named = !row.wanted.continuous && words_x - half_words > words_end;
    if (named) words_end = words_x + half_words + 4;
    marks.push(seedMark(seed, index, at, seeds_y, chosen, room, named ? words_x : null));
  });
  group.append(piece("line", { x1: LEFT, x2: width - RIGHT, y1: floor, y2: floor, class: "floor" }));
  const foot = seeds_y + (pinned ? 34 + LANE : 0) + 24;
  for (let tick = 0; tick <= 5; ++tick) {
    const at_m = from_m + (strip_m * tick) / 5;
    group.append(piece("line", { x1: x(at_m), x2: x(at_m), y1: foot + 4, y2: foot + 8, class: "axis" }));
    group.append(piece("text", {
      x: x(at_m), y: foot + 19, class: "muted",
      "text-anchor": tick === 0 ? "start" : tick === 5 ? "end" : "middle" }, distance(at_m)));
  }
  group.append(piece("line", { x1: LEFT, x2: width - RIGHT, y1: foot + 4, y2: foot + 4, class: "axis" }));
  svg.append(group, ...marks);
}

export function drawFurrow(place_, row, pinned, chosen) {
  const width = Math.max(300, Math.round(place_.clientWidth));
  const { strip_m, strips } = layout(width);
  const height = LANE + SEEDS + BELOW + 16 + (pinned ? 34 + LANE : 0);
  const svg = piece("svg", {
    viewBox: `0 0 ${width} ${TOP + strips * height}`, role: "group",
    "aria-label": "Furrow to scale. Arrow keys go from seed to seed, Enter explains one." });
  const hatch = piece("pattern", {
    id: "strokes", width: 6, height: 6, patternUnits: "userSpaceOnUse",
    patternTransform: "rotate(45)" });
  hatch.append(piece("line", { x1: 0, x2: 0, y1: 0, y2: 6, class: "strokes" }));
  const defs = piece("defs");
  defs.append(hatch);
  svg.append(defs);
  for (let number = 0; number < strips; ++number)
    strip(svg, row, pinned, { width, strip_m, height }, number, chosen);
  const focused = document.activeElement?.dataset?.seed;
  place_.replaceChildren(svg);
  const marks = [...svg.querySelectorAll("g[role=button]")];
  const first = marks.find((mark) => mark.dataset.seed === focused) ?? marks[0];
  first?.setAttribute("tabindex", "0");
  if (focused !== undefined && first?.dataset.seed === focused) first.focus({ preventScroll: true });
  return furrowWords(row, pinned, strips * strip_m);
}

function furrowWords(row, pinned, shown_m) {
  const bands = row.wanted.continuous
    ? "The row lays an unbroken stream, so no seed has a band of its own. Grain: a seed (hollow: not sensed)."
    : "Dashed: the band that is wanted around each seed. " +
      "Grain: a seed (hollow: not sensed), with a line to the middle of its own band; the number is " +
      `the placement error in ${placeUnit()}, underlined with ! beyond 10 mm.`;
  return `${distance(shown_m)} of the furrow from above, to scale along the row; travel to the right →. ` +
    `Blue: liquid on the ground, as thick as its amount per length. ${bands}` +
    (pinned ? " Hatched, below the seeds: the pinned setting." : "");
}

/// Arrow keys go along the seeds, Enter and space choose one.
export function followKeys(place_, choose) {
  place_.addEventListener("keydown", (event) => {
    const marks = [...place_.querySelectorAll("g[role=button]")];
    const at = marks.indexOf(document.activeElement);
    if (at < 0) return;
    const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: marks.length - 1 }[event.key];
    if (to !== undefined && marks[to]) {
      marks[at].setAttribute("tabindex", "-1");
      marks[to].setAttribute("tabindex", "0");
      marks[to].focus();
    } else if (event.key === "Enter" || event.key === " ") {
      choose(Number(marks[at].dataset.seed));
    } else {
      return;
    }
    event.preventDefault();
  });
  place_.addEventListener("click", (event) => {
    const mark = event.target.closest("g[role=button]");
    if (mark) choose(Number(mark.dataset.seed));
  });
}

/// Every seed's error as a mark on one line; the pinned setting on a line below.
export function drawErrors(place_, row, pinned) {
  const width = Math.max(300, Math.round(place_.clientWidth));
  const height = pinned ? 96 : 66;
  const known = (one) => (one ? one.seeds.filter((seed) => seed.error_m !== null) : []);
  let reach = 0.02;
  for (const seed of [...known(row), ...known(pinned)]) reach = Math.max(reach, Math.abs(seed.error_m));
  reach = Math.min(0.2, Math.ceil(reach * 100) / 100);
  const x = (m) => 10 + ((Math.max(-reach, Math.min(reach, m)) + reach) / (2 * reach)) * (width - 20);
  const svg = piece("svg", { viewBox: `0 0 ${width} ${height}`, role: "img",
    "aria-label": `Placement errors: ${row.within}` });
  for (const m of [-reach, -0.01, 0, 0.01, reach]) {
    svg.append(piece("line", { x1: x(m), x2: x(m), y1: 6, y2: height - 20, class: m === 0 ? "axis" : "grid" }));
    svg.append(piece("text", { x: x(m), y: height - 6, class: "muted",
      "text-anchor": m === -reach ? "start" : m === reach ? "end" : "middle" },
      place(m) + (m === 0 ? ` ${placeUnit()}` : "")));
  }
  svg.append(piece("path", { d: `M${x(-0.01)} 12v-6H${x(0.01)}v6`, class: "axis", fill: "none" }));
  const lay = (seeds, y, old) => seeds.forEach((seed, i) => svg.append(piece("circle", {
    cx: x(seed.error_m), cy: y + ((i * 7) % 5) * 4 - 8, r: 3,
    class: old ? "dot old" : isFar(seed) ? "dot far" : "dot" })));
  lay(known(row), 28, false);
  if (pinned) lay(known(pinned), 60, true);
  place_.replaceChildren(svg);
}
