// Drives a real browser over reports that lie as files in a folder, and are opened from there:
//   node report_driver.mjs FOLDER_OF_REPORTS FOLDER_OF_PICTURES AXE.JS
// The reports are demo.html (8 rows of 520 seeds), rig.html and sweep.html. Prints a line per check.
import { readFileSync } from "node:fs";
import { address as reports, at, call, check, devtools, drive, KEY, looks, mouse, press, run, until, wheel }
  from "./browser.mjs";

const lines = readFileSync(`${reports}/seeds.csv`, "utf8").trim().split("\n").map((line) => line.split(","));
/// A value of seeds.csv, which the program writes beside the report and by other code.
const ofTable = (row, seed, column) =>
  lines.find((line) => line[0] === String(row) && line[1] === String(seed))[lines[0].indexOf(column)];

const open = (name) => call("POST", at("/url"), { url: `file://${reports}/${name}` });
const said = (id) => run("return document.getElementById(arguments[0]).closest('svg').closest('figure').querySelector('output').textContent", id);
const svg = (id) => `document.getElementById('${id}').closest('svg')`;
/// Where a place of a drawing stands in the window, after it was scrolled there.
const onScreen = (id, x, y) => run(`const svg = ${svg(id)};
  const place = () => new DOMPoint(arguments[0], arguments[1]).matrixTransform(svg.getScreenCTM());
  scrollBy(0, place().y - innerHeight / 2);
  return [place().x, place().y];`, x, y);
const tickNumbers = (id) => run(`return [...${svg(id)}.querySelectorAll('[data-ticks] text')].map((one) => one.textContent)`);
const seedBox = () => run(`const box = document.querySelector('section.seed');
  return box && { cells: [...box.querySelectorAll('td')].map((one) => one.textContent),
    heads: [...box.querySelectorAll('th')].map((one) => one.textContent),
    command: box.querySelector('pre')?.textContent, focus: document.activeElement === box };`);

/// What there is to read and to see, in order, without what the script adds.
const CONTENT = `return [...document.querySelectorAll('main *')].filter((one) => !one.closest('.tools,section.seed,[aria-hidden]'))
  .map((one) => one.localName + ' ' + [...one.childNodes].filter((node) => node.nodeType === 3).map((node) => node.data).join('') +
    (one.getAttribute('d') ?? ''))`;

async function withoutScripts(name) {
  await devtools("Emulation.setScriptExecutionDisabled", { value: true });
  await open(name);
  const bare = await run(CONTENT);
  const tools = await run("return document.querySelectorAll('button,output,[tabindex]').length");
  await devtools("Emulation.setScriptExecutionDisabled", { value: false });
  await open(name);
  const full = await run(CONTENT);
  check(`${name}: without scripts there is no button without use`, tools === 0, String(tools));
  check(`${name}: without scripts all its content is there`, bare.length > 100 && bare.join("\n") === full.join("\n"),
    `${bare.length} and ${full.length} elements; ${bare.find((one, i) => one !== full[i])}`);
  check(`${name}: with scripts every plot has its line of words`,
    await run("return document.querySelectorAll('figure svg').length === document.querySelectorAll('figure output').length"));
}

/// The demo's pulse: five panels over one axis, in ms after the open command.
async function hoverAndZoom() {
  await open("demo.html");
  await mouse(await onScreen("pulse-t", 400, 150));
  const words = await said("pulse-t");
  check("the pointer reads every panel of a plot with units",
    /time \d+\.\d+ ms; command [01](\.\d+)?; coil current \d\.\d+ A; lift \d\.\d+ mm; flow at the valve -?[\d.−]+ l\/min; flow at the outlet -?[\d.−]+ l\/min/
      .test(words), words);
  const whole = await tickNumbers("pulse-t");
  const place = await onScreen("pulse-t", 400, 150);
  await mouse(place, "down", "up");
  await wheel(...place, -400);
  const closer = await tickNumbers("pulse-t");
  check("the wheel zooms a plot that has the focus, and its ticks are drawn anew", closer.join() !== whole.join(), closer.join());
  const again = await said("pulse-t");
  const time = (text) => Number(text.match(/time (−?[\d.]+)/)[1].replace("−", "-"));
  check("what is under the pointer stays there", Math.abs(time(again) - time(words)) < 0.1, `${words} / ${again}`);
  await press("0");
  check("the key 0 shows the whole axis again", (await tickNumbers("pulse-t")).join() === whole.join());
  await mouse(await onScreen("pulse-t", 300, 150), "down", await onScreen("pulse-t", 420, 150), "up");
  const dragged = await tickNumbers("pulse-t");
  check("a drag zooms to what it covers", dragged.join() !== whole.join() && dragged.length >= 3, dragged.join());
  await press("0", "+");
  check("the key + zooms", (await tickNumbers("pulse-t")).join() !== whole.join());
  await press("-");
  check("and - takes it back", (await tickNumbers("pulse-t")).join() === whole.join());
}

function heldAgainstTable(name, box, row, seed) {
  check(`${name}: its line and its command are shown`, box !== null);
  if (!box) return;
  const cell = (head) => box.cells[box.heads.indexOf(head)];
  const number = (text) => Number(text.replace("−", "-").replace(/[^-\d.]/g, ""));
  check(`${name}: row and seed`, cell("Row") === String(row) && cell("Seed") === String(seed), box.cells.join(" | "));
  for (const [head, column, factor, near] of [["Time at the sensor", "edge_s", 1, 0.00051],
    ["Placement error", "placement_error_m", 1e3, 0.051], ["Band length", "band_length_m", 1e3, 0.051],
    ["Dose", "dose_m3", 1e6, 0.00051]])
    check(`${name}: ${head} as in seeds.csv`,
      Math.abs(number(cell(head)) - ofTable(row, seed, column) * factor) <= near + 1e-9,
      `${cell(head)} against ${ofTable(row, seed, column)}`);
  check(`${name}: status as in seeds.csv`, cell("Status").startsWith(ofTable(row, seed, "status").replace("_", " ")));
  check(`${name}: the command explains it`, box.command === `sillion explain demo.toml --row ${row} --seed ${seed}`, box.command);
}

const RINGS = "return ['furrow-t', 'error-by-seed-t'].map((id) => document.getElementById(id).closest('svg').querySelectorAll('.ring').length).join()";
const RING_NAMES = "return [...document.querySelectorAll('.ring-name')].map((one) => one.textContent).join()";

async function seedByMouse() {
  await open("demo.html");
  const { x, y, seed, row } = await run(`const mark = ${svg("furrow-t")}.querySelectorAll('[data-seed]')[3];
    const grain = mark.querySelector('ellipse');
    return { x: Number(grain.getAttribute('cx')), y: Number(grain.getAttribute('cy')), seed: Number(mark.dataset.seed),
      row: Number(mark.closest('[data-row]').dataset.row) };`);
  const place = await onScreen("furrow-t", x, y);
  await mouse(place);
  const words = await said("furrow-t");
  check("the pointer reads a seed of the furrow", words.includes(`Row ${row}, seed ${seed};`) && / mm/.test(words), words);
  check("and the line density under it", /line density [\d.]+ ml\/m/.test(words), words);
  await mouse(place, "down", "up");
  heldAgainstTable("a click in the furrow", await seedBox(), row, seed);
  check("the seed is ringed in the furrow and among the errors", await run(RINGS) === "1,1", await run(RINGS));
  check("with its number, not by colour alone", await run(RING_NAMES) === `seed ${seed},seed ${seed}`);
  await run("document.querySelector('section.seed button').click()");
  check("it can be let go", await run(RINGS) === "0,0" && (await seedBox()) === null);
  // A cross of the second strip: the error lies outside the tolerance or at the strip's edge.
  const dot = await run(`const panel = ${svg("error-by-seed-t")}.querySelectorAll('[data-row]')[1];
    const found = panel.querySelector('[data-name]').getAttribute('d').match(/M([\\d.]+) ([\\d.]+)/);
    return found.slice(1).map(Number);`);
  await mouse(await onScreen("error-by-seed-t", ...dot), "down", "up");
  const box = await seedBox();
  heldAgainstTable("a click among the errors", box, 1, Number(box?.cells[1]));
}

async function seedByKeyboard() {
  await open("demo.html");
  await run(`${svg("error-by-seed-t")}.focus()`);
  await press(KEY.right, KEY.right, KEY.right, KEY.right, KEY.down, KEY.down);
  const words = await said("error-by-seed-t");
  check("arrows step from seed to seed and from row to row", words.startsWith("Row 2, seed 3;"), words);
  await press("+", "+", "+", KEY.right);
  check("a zoom keeps the seed, and the arrows go on", (await said("error-by-seed-t")).startsWith("Row 2, seed 4;"), await said("error-by-seed-t"));
  await press(KEY.enter);
  const box = await seedBox();
  heldAgainstTable("Enter among the errors", box, 2, 4);
  check("the focus goes to what was opened", box?.focus === true);
  await run(`${svg("furrow-t")}.focus()`);
  await press(KEY.right, KEY.right, KEY.enter);
  const other = await seedBox();
  heldAgainstTable("Enter in the furrow", other, 0, Number(other?.cells[1]));
  await run(`${svg("error-by-row-t")}.focus()`);
  await press(KEY.down, KEY.down);
  check("marks with words are read by keyboard", /^row 1: median .* mm$/.test(await said("error-by-row-t")), await said("error-by-row-t"));
}

async function others() {
  await open("rig.html");
  await mouse(await onScreen("histories-t", 420, 60));
  const words = await said("histories-t");
  check("a rig's histories are read with units", /^time [\d.]+ ms; .* A; .* mm/.test(words), words);
  await open("sweep.html");
  await run(`${svg("map-0-t")}.focus()`);
  await press(KEY.right, KEY.right);
  const cell = await said("map-0-t");
  check("a cell of a sweep is read by keyboard", /%|not servable/.test(cell), cell);
}

await drive(async () => {
  for (const name of ["demo.html", "rig.html", "sweep.html"]) await withoutScripts(name);
  await hoverAndZoom();
  await seedByMouse();
  await seedByKeyboard();
  await others();
  await open("demo.html");
  await run(`${svg("furrow-t")}.focus()`);
  await press(KEY.right, KEY.right, KEY.right, KEY.enter);
  await looks("report", [1280, 768, 420], "furrow-t");
  check("nothing was asked of any host", await run(
    "return performance.getEntriesByType('resource').length === 0"));
});
