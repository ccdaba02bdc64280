// Drives a real browser over the one-file page of a row: node row_file_driver.mjs FILE.html FOLDER AXE.JS
//
// Speaks WebDriver (W3C) to chromedriver, which it starts on a free port of this machine. Prints a
// line per check, `ok` or `bad`, and lines `measured`, which nothing judges; writes a picture of each width and
// colour scheme into FOLDER. Ends with 1 if a check is bad.
import { spawn } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const [file, folder, axePath] = process.argv.slice(2);
let bad = 0;
function check(name, holds, detail = "") {
  if (!holds) ++bad;
  console.log(`${holds ? "ok" : "bad"} ${name}${holds || detail === "" ? "" : `: ${detail}`}`);
}

const driver = spawn("chromedriver", ["--port=0"], { stdio: ["ignore", "pipe", "inherit"] });
const port = await new Promise((resolve, reject) => {
  let text = "";
  driver.stdout.on("data", (some) => {
    text += some;
    const found = text.match(/successfully on port (\d+)/);
    if (found) resolve(Number(found[1]));
  });
  driver.on("exit", () => reject(new Error("chromedriver ended: " + text)));
});

async function call(method, path, body) {
  const response = await fetch(`http://127.0.0.1:${port}${path}`, {
    method, body: method === "GET" || method === "DELETE" ? undefined : JSON.stringify(body ?? {}) });
  const { value } = await response.json();
  if (value && value.error) throw new Error(`${path}: ${value.error}: ${value.message}`);
  return value;
}

const { sessionId } = await call("POST", "/session", { capabilities: { alwaysMatch: {
  browserName: "chrome",
  "goog:loggingPrefs": { browser: "ALL" },
  "goog:chromeOptions": { args: ["--headless=new", "--no-sandbox", "--disable-gpu",
    "--disable-dev-shm-usage", `--user-data-dir=${folder}/profile`] } } } });
const at = (path) => `/session/${sessionId}${path}`;
const run = (script, ...args) => call("POST", at("/execute/sync"), { script, args });
const wait = (script, ...args) => call("POST", at("/execute/async"), { script, args });
const devtools = (cmd, params) => call("POST", at("/goog/cdp/execute"), { cmd, params });
const press = (...keys) => call("POST", at("/actions"), { actions: [{ type: "key", id: "keys",
  actions: keys.flatMap((value) => [{ type: "keyDown", value }, { type: "keyUp", value }]) }] });
const KEY = { enter: "\uE007", left: "\uE012", right: "\uE014" };

async function until(name, script) {
  for (let i = 0; i < 600; ++i) {
    if (await run(script)) return check(name, true);
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  return check(name, false, await run("return document.getElementById('rests').textContent + document.getElementById('trouble').textContent"));
}

async function look(width, scheme) {
  await devtools("Emulation.setEmulatedMedia", { features: [{ name: "prefers-color-scheme", value: scheme }] });
  await devtools("Emulation.setDeviceMetricsOverride", {
    width, height: width < 600 ? 800 : 900, deviceScaleFactor: 1, mobile: false });
  await new Promise((resolve) => setTimeout(resolve, 300));
  const wide = await run("return document.scrollingElement.scrollWidth");
  check(`nothing is wider than the window at ${width} px, ${scheme}`, wide <= width, `${wide} px`);
  const result = await wait("const done = arguments[0]; axe.run(document).then(done, (e) => done({error: String(e)}))");
  const found = (result.violations ?? []).map((one) =>
    `${one.id} (${one.nodes.length}: ${one.nodes.slice(0, 3).map((node) => node.target.join(" ")).join("; ")})`);
  check(`axe-core finds nothing at ${width} px, ${scheme}`, !result.error && found.length === 0, result.error ?? found.join(", "));
  check(`axe-core looked at ${width} px, ${scheme}`, result.passes?.length > 15, String(result.passes?.length));
  const height = Math.min(2000, await run("return document.scrollingElement.scrollHeight"));
  const { data } = await devtools("Page.captureScreenshot", {
    captureBeyondViewport: true, clip: { x: 0, y: 0, width, height, scale: 1 } });
  writeFileSync(`${folder}/row_${width}_${scheme}.png`, Buffer.from(data, "base64"));
}

const FULL_AT = (speed) => `return document.querySelector('#rests b').textContent === 'Full answer' &&
  document.getElementById('sentence').textContent.includes('at ${speed}') &&
  document.getElementById('rests').textContent.includes('Computed here')`;

try {
  await call("POST", at("/timeouts"), { script: 60000 });
  await devtools("Network.enable", {});
  await devtools("Network.emulateNetworkConditions", { offline: true, latency: 0, downloadThroughput: -1, uploadThroughput: -1 });
  await call("POST", at("/url"), { url: pathToFileURL(file).href });
  check("the furrow stands at once", await run("return document.querySelectorAll('#furrow g[role=button]').length > 3"));
  await run(readFileSync(axePath, "utf8"));
  // What the first full answer said, from the program; later ones come from the module.
  const first = await run("return document.getElementById('figures').textContent");
  await run(`window.seen = new Set();
    new MutationObserver(() => window.seen.add(document.querySelector('#rests b').textContent))
      .observe(document.getElementById('rests'), { childList: true });
    document.getElementById('key-travel-speed').focus();`);
  const before = Number(await run("return document.getElementById('key-travel-speed').value"));
  await press(...Array(10).fill(KEY.left));
  const after = Number(await run("return document.getElementById('key-travel-speed').value"));
  check("arrow keys move a slider", after < before, `${before} to ${after}`);
  await until("the module answers in full", FULL_AT(`${after} km/h`));
  check("a coarse answer came before", (await run("return [...window.seen]")).includes("Coarse answer"));
  console.log("measured", await run("return document.getElementById('rests').textContent"));
  await run("document.getElementById('back').click()");
  await until("everything is taken back", FULL_AT(`${before} km/h`));
  check("module and program give the same figures", first === await run("return document.getElementById('figures').textContent"));
  await run("document.querySelector('#furrow g[role=button]').focus()");
  await press(KEY.right, KEY.enter);
  check("a seed says its error", (await run("return document.getElementById('seed-words').textContent")).startsWith("Seed "));
  await run(`const field = document.querySelector('.slider input[type=text]'); field.value = '900 km/h';
    field.dispatchEvent(new Event('change', { bubbles: true }))`);
  await until("a value out of range is told", "return document.getElementById('trouble').textContent.includes('out of range')");
  await run("document.getElementById('back').click()");
  await until("no trouble is left", "return document.getElementById('trouble').hidden");
  await until("the row comes back", FULL_AT(`${before} km/h`));
  for (const [width, scheme] of [[1280, "light"], [1280, "dark"], [420, "light"], [420, "dark"]]) await look(width, scheme);
  const asked = await run("return performance.getEntriesByType('resource').map((one) => one.name).filter((one) => !one.startsWith('blob:'))");
  check("it asks no other place", asked.length === 0, asked.join(" "));
  const log = (await call("POST", at("/se/log"), { type: "browser" })).filter((one) => one.level === "SEVERE");
  check("the browser's log has no error", log.length === 0, log.map((one) => one.message).join("; "));
} catch (error) {
  check("the drive went to its end", false, String(error));
} finally {
  await call("DELETE", at(""));
  driver.kill();
}
process.exit(bad === 0 ? 0 : 1);
