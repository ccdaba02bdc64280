// One row in one file: sliders, the furrow, and the row's module that answers them. It takes the
// coarse answer while a slider moves, and the full one, from a second module, when the hand rests.
import { element, useUnits, length, ms, placeUnit, place, errorWords } from "./draw.js";
import { drawFurrow, drawErrors, followKeys } from "./furrow.js";
import { unpacked } from "./row.js";
import { NearRow } from "./near_row.js";

const REST_MS = 250;
const at = (id) => document.getElementById(id);
const given = JSON.parse(at("given").textContent);
const settings = new Map();  // key -> text, what differs from the scenario
const controls = [];
let row = null, chosen = null, serial = 0;
let module = null, coarse = null, full = null;
let busy = false, answered = 0, restTimer = 0;

const percent = (ratio) => (ratio === null ? "not known" : `${(ratio * 100).toFixed(1)} %`);
const FIGURES = [
  ["sensed seeds within 10 mm", (r) => percent(r.figures.within[0].sensed_ratio)],
  ["mean placement error", (r) => place(r.figures.placement_error_m.mean) + " " + placeUnit()],
  ["scatter of it (sd)", (r) => length(r.figures.placement_error_m.sd) + " " + placeUnit()],
  ["mean length of a band", (r) => length(r.figures.band_length_m.mean) + " " + placeUnit()],
  ["liquid outside the wanted bands", (r) => percent(r.figures.gap_ratio)],
  ["delay at this speed", (r) => ms(r.delay.at_speed_s)],
  ["lead and lag time", (r) => `${ms(r.delay.lead_s)}, ${ms(r.delay.lag_s)}`],
];

function tellTrouble(words) {
  at("trouble").hidden = !words;
  at("trouble").textContent = words ?? "";
}

function draw() {
  at("furrow-words").textContent = drawFurrow(at("furrow"), row, null, chosen);
  drawErrors(at("errors"), row, null);
}

function show(answer, took_ms) {
  row = answer;
  const isFull = row.answer === "full";
  document.querySelector("main").classList.toggle("coarse", !isFull);
  at("rests").replaceChildren(element("b", {}, isFull ? "Full answer" : "Coarse answer"),
    row.words.replace(/^(Full|Coarse) answer/, "") +
    (took_ms === null ? "" : ` Computed here in ${Math.round(took_ms)} ms.`));
  at("sentence").textContent = row.sentence;
  if (isFull) at("heard").textContent = row.sentence;
  at("command").textContent = row.command;
  draw();
  const body = element("tbody");
  for (const [name, figure] of FIGURES)
    body.append(element("tr", {}, element("th", { scope: "row" }, name), element("td", {}, figure(row))));
  at("figures").replaceChildren(element("table", {}, body));
}

function worker() {
  const address = URL.createObjectURL(new Blob([at("worker").textContent], { type: "text/javascript" }));
  return new NearRow(new Worker(address), module);
}

async function pump() {
  if (busy || !coarse || answered === serial) return;
  busy = true;
  const mine = (answered = serial);
  const { text, took_ms, error } = await coarse.ask("coarse", [...settings]);
  busy = false;
  if (mine === serial) tellTrouble(error);
  if (text && !(row.answer === "full" && row.serial === mine)) show(JSON.parse(text), took_ms);
  pump();
}

/// A change while it is computed ends it: a new thread starts with what was known before.
async function rest() {
  if (!module) return;
  full?.end();
  full = worker();
  full.know(given.contents);
  const mine = serial;
  const { text, took_ms, error } = await full.ask("full", [...settings]);
  if (mine !== serial) return;
  tellTrouble(error);
  if (!text) return;
  show({ ...JSON.parse(text), serial: mine }, took_ms);
  const known = await full.ask("contents", []);
  if (known.text) coarse.know(known.text);
}

function changed() {
  ++serial;
  pump();
  clearTimeout(restTimer);
  restTimer = setTimeout(rest, REST_MS);
}

function addSlider(key) {
  const id = "key-" + key.key.replaceAll(".", "-");
  const { label, from, to, step, number } = key.slider;
  const range = element("input", { type: "range", id, min: from, max: to, step, title: key.help });
  range.value = number;
  const field = element("input", { type: "text", value: key.value, spellcheck: "false",
    "aria-label": `${label}, exact value with its unit` });
  const line = element("div", { class: "slider" }, element("label", { for: id }, label), range, field);
  const set = (text) => {
    settings.set(key.key, text);
    range.setAttribute("aria-valuetext", text);
    line.classList.add("set");
    changed();
  };
  range.addEventListener("input", () => {
    field.value = `${Number(range.value)} ${key.unit}`;
    set(field.value);
  });
  field.addEventListener("change", () => {
    const typed = Number.parseFloat(field.value);
    if (field.value.trim().endsWith(key.unit) && !Number.isNaN(typed)) range.value = typed;
    set(field.value.trim());
  });
  range.setAttribute("aria-valuetext", key.value);
  controls.push(() => {
    range.value = number;
    field.value = key.value;
    line.classList.remove("set");
    range.setAttribute("aria-valuetext", key.value);
  });
  at("sliders").append(line);
}

async function unpack() {
  const packed = Uint8Array.from(atob(at("module").textContent), (one) => one.charCodeAt(0));
  return WebAssembly.compile(await unpacked(new Response(packed)));
}

async function begin() {
  useUnits(given.units);
  at("scenario").textContent = given.scenario;
  for (const key of given.keys) addSlider(key);
  show(given.row, null);
  row.serial = serial;
  followKeys(at("furrow"), (number) => {
    chosen = number;
    const seed = row.seeds[number];
    at("seed-words").textContent = `Seed ${number}: ${errorWords(seed)}${seed.sensed ? "" : ", not sensed"}.`;
    draw();
  });
  at("back").addEventListener("click", () => {
    settings.clear();
    for (const reset of controls) reset();
    changed();
  });
  let width = 0;
  new ResizeObserver(() => {
    if (at("furrow").clientWidth !== width) draw();
    width = at("furrow").clientWidth;
  }).observe(at("furrow"));
  try {
    module = await unpack();
    coarse = worker();
    coarse.know(given.contents);
    pump();
  } catch (error) {
    tellTrouble(`This browser does not run the row's module, so the sliders move nothing: ${error.message}`);
  }
}

begin();
