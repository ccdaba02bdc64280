// One row in one file: sliders, the furrow, and the row's module that answers them. It takes the
// coarse answer while a slider moves, and the full one, from a second module, when the hand rests.
import { element, useUnits, errorWords } from "./draw.js";
import { figureTable } from "./figures.js";
import { drawFurrow, drawErrors, followKeys } from "./furrow.js";
import { unpacked } from "./row.js";
import { makeSlider } from "./slider.js";
import { NearRow } from "./near_row.js";

const REST_MS = 250;
const at = (id) => document.getElementById(id);
const given = JSON.parse(at("given").textContent);
const settings = new Map();  // key -> text, what differs from the scenario
const sliders = [];
let row = null, chosen = null, serial = 0;
let module = null, coarse = null, full = null;
let busy = false, answered = 0, restTimer = 0;
let settled = 0;  // the newest setting whose full answer, or refusal, is shown: nothing coarse of it or before it is

function tellTrouble(words) {
  at("trouble").hidden = !words;
  at("trouble").textContent = (words ?? "").replace(/^--set /, "");
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
  at("figures").replaceChildren(figureTable(row, null));
}

function worker() {
  const address = URL.createObjectURL(new Blob([at("worker").textContent], { type: "text/javascript" }));
  return new NearRow(new Worker(address), module);
}

async function pump() {
  if (busy || !coarse || answered === serial || settled === serial) return;
  busy = true;
  const mine = (answered = serial);
  const { text, took_ms, error } = await coarse.ask("coarse", [...settings]);
  busy = false;
  if (mine > settled) {
    if (mine === serial) tellTrouble(error);
    if (text) show(JSON.parse(text), took_ms);
  }
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
  settled = mine;
  tellTrouble(error);
  if (!text) {
    at("sentence").textContent = "There is no answer for this setting";
    at("rests").textContent = "Drawing, figures and command line are still those of a setting before.";
    return;
  }
  show(JSON.parse(text), took_ms);
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
  const slider = makeSlider(key, (text) => {
    settings.set(key.key, text);
    slider.line.classList.add("set");
    changed();
  });
  sliders.push(slider);
  at("sliders").append(slider.line);
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
  followKeys(at("furrow"), (number) => {
    chosen = number;
    const seed = row.seeds[number];
    at("seed-words").textContent = `Seed ${number}: ${errorWords(seed)}${seed.sensed ? "" : ", not sensed"}.`;
    draw();
  });
  at("back").addEventListener("click", () => {
    settings.clear();
    for (const slider of sliders) {
      slider.reset();
      slider.line.classList.remove("set");
    }
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
