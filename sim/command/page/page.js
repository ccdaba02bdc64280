// The page: sliders and fields on one side, the furrow on the other. Moving a slider asks for the
// coarse answer at once and for the full one when the hand rests.
import { element, useUnits, ms, placeUnit, place } from "./draw.js";
import { figureTable } from "./figures.js";
import { drawFurrow, drawErrors, followKeys } from "./furrow.js";
import { makeSlider } from "./slider.js";
import { showSeed } from "./seed.js";
import { Work } from "./work.js";
import { CoarseHere } from "./near_row.js";
import { FieldMap } from "./map.js";
import { showTable } from "./table.js";

const TAB = crypto.randomUUID();  // a newer setting takes the place of an older one of this tab alone
const REST_MS = 250;  // without a change before the full answer is asked for
const at = (id) => document.getElementById(id);

const settings = new Map();  // key -> text, what differs from the scenario
const controls = new Map();  // key -> { field, line, reset }; of a slider besides what makeSlider gives
let row = null, pinned = null, chosen = null;
let keys = [];
let table = null;            // the job whose delay table the controller has; null: as the scenario says
let serial = 0;              // of the newest setting

async function ask(path, body) {
  try {
    const answer = await fetch(path, body === undefined ? {} : {
      method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
    return await answer.json();
  } catch (error) {
    return { error: "The program that serves this page does not answer: " + error.message };
  }
}

/// A request with the setting on the page, and with the delay table that was given to the controller.
const asked = (more) => ({ settings: [...settings], tab: TAB, ...(table !== null && { table }), ...more });
const asPairs = () => [...settings];
const here = new CoarseHere(ask);

function tellTrouble(words) {
  at("trouble").hidden = !words;
  at("trouble").textContent = (words ?? "").replace(/^--set /, "");
}

/// A value of a requirement, in the unit that people read.
function inWords(value, unit) {
  if (value === null) return "not known";
  if (unit === "ratio") return `${Number((value * 100).toPrecision(4))} %`.replace("-", "−");
  if (unit === "m") return `${place(value, 2)} ${placeUnit()}`;
  if (unit === "s") return ms(value);
  return `${Number(value.toPrecision(4))} ${unit}`.replace("-", "−");
}

function showFigures() { at("figures").replaceChildren(figureTable(row, pinned)); }

function showRequirements() {
  const list = element("ul", { class: "plain" });
  for (const one of row.requirements)
    list.append(element("li", {}, one.holds ? "✓ holds: " : "✗ violated: ",
      `${one.name.replaceAll("_", " ")} ${inWords(one.limit, one.unit)}; it is ${inWords(one.value, one.unit)}`));
  at("requirements").replaceChildren(...(row.requirements.length
    ? [element("h2", {}, "Requirements of the scenario"), element("p", { class: "help" },
      "They were written for a whole pass. On the few seeds of three seconds a lower bound is wider, " +
      "and may miss its limit where the whole pass holds it."), list] : []));
}

function showChanged() {
  const list = element("ul", { class: "plain" });
  for (const [key, value] of settings) {
    const known = keys.find((one) => one.key === key);
    const back = element("button", { type: "button", "aria-label": `Take back ${key}` }, "Take back");
    back.addEventListener("click", () => { settings.delete(key); resetControl(key); changed(); });
    list.append(element("li", {}, element("code", {}, key), ` is ${value}, was ${known?.value ?? "not known"} `, back));
  }
  const none = element("p", { class: "help" }, "Nothing differs from the scenario.");
  at("changed").replaceChildren(settings.size ? list : none);
  for (const [key, control] of controls) control.line.classList.toggle("set", settings.has(key));
}

function draw() {
  if (!row) return;
  at("furrow-words").textContent = drawFurrow(at("furrow"), row, pinned, chosen);
  drawErrors(at("errors"), row, pinned);
}

function show(answer) {
  row = answer;
  tellBusy(row.answer !== "full" || (row.serial ?? serial) !== serial);
  document.querySelector("main").classList.toggle("coarse", row.answer === "coarse");
  at("rests").replaceChildren(element("b", {}, row.answer === "full" ? "Full answer" : "Coarse answer"),
    row.words.replace(/^(Full|Coarse) answer/, "") + ` Computed ${row.here ? "in this browser " : ""}in ${Math.round(row.took_ms)} ms.`);
  at("sentence").textContent = row.sentence;
  if (row.answer === "full") at("heard").textContent = row.sentence;
  at("command").textContent = row.command;
  const last = Math.max(0, row.seeds.length - 1);
  at("seed-number").max = last;
  if (at("seed-number").value === "") at("seed-number").value = Math.min(last, Math.floor(row.seeds.length / 2) + 2);
  for (const [key, value] of Object.entries(row.values)) {
    const control = controls.get(key);
    if (!control || row.serial !== serial) continue;  // the hand has moved on
    control.show(value.text, value.number);
    control.field.removeAttribute("aria-invalid");
  }
  draw();
  tellSeedAge();
  showFigures();
  showRequirements();
}

/// What the last coarse answer of either took. The quicker one is asked, and one that has not answered yet before both.
const lastTook_ms = { here: 0, server: 0 };

async function coarse() {
  const began = performance.now();
  const took = () => performance.now() - began;
  // A table that was given to the controller is known to the server alone.
  if (table === null && lastTook_ms.here <= lastTook_ms.server) {
    const answer = await here.coarse(asPairs());
    if (answer) {
      lastTook_ms.here = took();
      return answer;
    }
  }
  const answer = await ask("row", asked({ answer: "coarse" }));
  lastTook_ms.server = took();
  return answer;
}

let coarseBusy = false, coarseFor = 0, restTimer = 0;
let settled = -1;  // the newest setting whose full answer, or refusal, is shown: nothing coarse of it or before it is

async function pump() {
  if (coarseBusy || coarseFor === serial || settled === serial) return;
  coarseBusy = true;
  const mine = (coarseFor = serial);
  const answer = await coarse();
  coarseBusy = false;
  if (mine > settled) {
    if (mine === serial) tellTrouble(answer.error);
    if (!answer.error) show({ ...answer, serial: mine });  // where the hand has moved on, the picture follows it
  }
  pump();
}

async function full() {
  const mine = serial;
  const answer = await ask("row", asked({ answer: "full" }));
  if (mine !== serial) return;
  if (answer.superseded) {
    restTimer = setTimeout(full, 3 * REST_MS);
    return;
  }
  settled = mine;
  tellTrouble(answer.error);
  if (answer.error) return tellNone(answer.error);
  show({ ...answer, serial: mine });
  if (table === null) here.know(asPairs());
}

/// What is drawn stays, and is said to be that of a setting before.
function tellNone(words) {
  tellBusy(false);
  at("sentence").textContent = "There is no answer for this setting";
  at("rests").textContent = row ? "Drawing, figures and command line are still those of a setting before." : "";
  for (const [key, control] of controls)
    if (settings.has(key) && words.includes(key)) control.field.setAttribute("aria-invalid", "true");
}

/// Whether what is drawn is still another setting's, or the coarse answer.
function tellBusy(busy) { document.querySelector(".answer").setAttribute("aria-busy", String(busy)); }

function changed() {
  ++serial;
  tellBusy(true);
  showChanged();
  pump();
  clearTimeout(restTimer);
  restTimer = setTimeout(full, REST_MS);
}

function set(key, value) {
  settings.set(key, value);
  const control = controls.get(key);
  if (control) control.field.value = value;
  changed();
}

function resetControl(key) {
  const control = controls.get(key);
  control?.reset();
  control?.field.removeAttribute("aria-invalid");
}

/// A new name, or another kind of delivery, drops what was stated for the old one.
function setName(key, value) {
  const section = key.slice(0, key.indexOf(".") + 1);
  for (const other of [...settings.keys()])
    if (other.startsWith(section) && other !== "liquid.temperature" && other !== "delivery.drop_x")
      settings.delete(other);
  set(key, value);
}

function addChoice(key) {
  const id = "key-" + key.key.replaceAll(".", "-");
  const field = element("select", { id, title: key.help },
    ...key.words.map((word) => element("option", { value: word }, word)));
  field.value = key.value;
  const line = element("div", { class: "slider choice" }, element("label", { for: id }, key.catalog), field);
  field.addEventListener("change", () => setName(key.key, field.value));
  controls.set(key.key, { key, field, line, reset: () => { field.value = key.value; } });
  at("sliders").append(line);
}

function addSlider(key) {
  const control = makeSlider(key, (text) => set(key.key, text));
  controls.set(key.key, control);
  at("sliders").append(control.line);
}

function setUpAnyKey() {
  at("any-keys").replaceChildren(...keys.map((key) => element("option", { value: key.key })));
  at("any-key").addEventListener("input", () => {
    const known = keys.find((key) => key.key === at("any-key").value);
    at("any-help").textContent = known
      ? known.help + (known.range ? ` (${known.range})` : "") + (known.words ? ` (${known.words.join(", ")})` : "") : "";
    if (known) at("any-value").value = settings.get(known.key) ?? known.value;
  });
  at("any").addEventListener("submit", (event) => {
    event.preventDefault();
    const key = at("any-key").value.trim();
    const value = at("any-value").value.trim();
    if (/\.name$|^delivery\.kind$/.test(key)) setName(key, value);
    else if (key) set(key, value);
  });
}

let explained = null;  // { number, answer, command }: the seed that is shown, and for which setting

function drawSeed() {
  if (!explained) return;
  showSeed(at("seed"), explained.number, explained.answer, () => {
    at("seed").hidden = true;
    explained = chosen = null;
    draw();
    at("explain").focus();
  });
  tellSeedAge();
}

/// A seed that was explained before the last change is that of an older setting.
function tellSeedAge() {
  const age = document.getElementById("seed-age");
  if (age && explained)
    age.textContent = explained.command === row.command ? ""
      : "The setting has changed since; choose “Explain this seed” again for the new one.";
}

async function explainSeed(number) {
  chosen = number;
  at("seed-number").value = number;
  draw();
  at("seed-said").textContent = `Seed ${number} is being computed …`;
  const { command } = row;
  const answer = await ask("seed", asked({ seed: number }));
  at("seed-said").textContent = "";
  tellTrouble(answer.error);
  if (answer.error) return;
  explained = { number, answer, command };
  drawSeed();
  at("seed-title").focus({ preventScroll: true });
}

function setUpTools() {
  followKeys(at("furrow"), explainSeed);
  at("explain").addEventListener("click", () => explainSeed(Number(at("seed-number").value)));
  at("pin").addEventListener("click", () => {
    pinned = pinned ? null : row;
    at("pin").setAttribute("aria-pressed", String(Boolean(pinned)));
    at("pin").textContent = pinned ? "Unpin the setting" : "Pin this setting to compare";
    draw();
    showFigures();
  });
  at("copy").addEventListener("click", async () => {
    try {
      await navigator.clipboard.writeText(at("command").textContent);
      at("copied").textContent = "Copied.";
    } catch {
      at("copied").textContent = "The browser does not allow it; mark the line and copy it.";
    }
  });
  at("save").addEventListener("submit", async (event) => {
    event.preventDefault();
    const answer = await ask("save", asked({ name: at("save-name").value.trim() }));
    at("saved").textContent = answer.error ?? `Saved as ${answer.file}`;
  });
  let width = 0;
  new ResizeObserver(() => {
    if (at("furrow").clientWidth !== width) {
      draw();
      drawSeed();
    }
    width = at("furrow").clientWidth;
  }).observe(at("furrow"));
}

async function openTable(job) {
  const answer = await ask("table", { job });
  tellTrouble(answer.error);
  if (answer.error) return;
  const close = () => { at("table").hidden = true; };
  showTable(at("table"), job, answer, () => { giveTable(job); close(); }, close);
  at("table-title").focus();
}
/// Null takes the table back.
function giveTable(job) {
  table = job;
  const back = element("button", { type: "button" }, "Take it back");
  back.addEventListener("click", () => giveTable(null));
  at("table-now").replaceChildren(...(job === null
    ? ["The controller has the delay table that the scenario says; where it says none, one is tuned for each setting."]
    : [`The controller has the delay table of job ${job}, whatever is set below. `, back]));
  changed();
  at("table-now").focus();
}

async function begin() {
  setUpTools();
  const first = full();
  const answer = await ask("keys");
  if (answer.error) return tellTrouble(answer.error);
  keys = answer.keys;
  useUnits(answer.units);
  at("scenario").textContent = answer.scenario;
  document.title = `${answer.scenario} – sillion page`;
  for (const key of keys) if (key.catalog) addChoice(key);
  for (const key of keys) if (key.slider) addSlider(key);
  setUpAnyKey();
  showChanged();
  const map = new FieldMap(ask, at("map"));
  const awaited = (job, done) => {
    at("map-started").textContent = done ? "" : `Job ${job} has ended without a field; its last words stand above.`;
    if (done) map.load(job);
  };
  const work = new Work(ask, asked, { table: openTable, map: (job) => map.load(job), awaited });
  work.setUp(answer);
  at("map-run").addEventListener("click", async () => {
    at("map-started").textContent = (await work.mapSetting()) ?? "The whole pass is being run; its field follows.";
  });
  await first;
  if (answer.module && table === null) here.start(asPairs());
  coarseFor = serial;
  draw();
  showFigures();
}

begin();
