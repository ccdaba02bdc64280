// A real browser for a test: speaks WebDriver (W3C) to chromedriver, which it starts on a free port
// of this machine. Arguments of whoever imports this: ADDRESS FOLDER [AXE.JS]
//
// Prints a line per check, `ok` or `bad`; writes pictures into FOLDER.
import { spawn } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";

export const [address, folder, axePath] = process.argv.slice(2);
let bad = 0;
export function check(name, holds, detail = "") {
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

export async function call(method, path, body) {
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
export const at = (path) => `/session/${sessionId}${path}`;
export const run = (script, ...args) => call("POST", at("/execute/sync"), { script, args });
export const wait = (script, ...args) => call("POST", at("/execute/async"), { script, args });
export const devtools = (cmd, params) => call("POST", at("/goog/cdp/execute"), { cmd, params });
export const press = (...keys) => call("POST", at("/actions"), { actions: [{ type: "key", id: "keys",
  actions: keys.flatMap((value) => [{ type: "keyDown", value }, { type: "keyUp", value }]) }] });
export const KEY = { tab: "\uE004", enter: "\uE007", left: "\uE012", up: "\uE013", right: "\uE014", down: "\uE015" };

export async function until(name, script, ...args) {
  for (let i = 0; i < 300; ++i) {
    if (await run(script, ...args)) return true;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  check(name, false, "did not come within 30 s");
  return false;
}

/// A mouse: `move`s to x, y of the window, presses and lets go of its first button, turns its wheel.
export const mouse = (...acts) => call("POST", at("/actions"), { actions: [{ type: "pointer", id: "mouse",
  parameters: { pointerType: "mouse" }, actions: acts.map((act) =>
    act === "down" || act === "up" ? { type: act === "down" ? "pointerDown" : "pointerUp", button: 0 }
      : { type: "pointerMove", duration: 0, x: Math.round(act[0]), y: Math.round(act[1]), origin: "viewport" }) }] });
export const wheel = (x, y, deltaY) => call("POST", at("/actions"), { actions: [{ type: "wheel", id: "wheel",
  actions: [{ type: "scroll", x: Math.round(x), y: Math.round(y), deltaX: 0, deltaY, duration: 0, origin: "viewport" }] }] });

/// axe-core finds nothing, and has looked: it counts the rules that the page passes.
async function asksAxe(width, scheme) {
  const result = await wait("const done = arguments[0]; axe.run(document).then(done, (e) => done({error: String(e)}))");
  const found = (result.violations ?? []).map((one) =>
    `${one.id} (${one.nodes.length}: ${one.nodes.slice(0, 3).map((node) => node.target.join(" ")).join("; ")})`);
  check(`axe-core finds nothing at ${width} px, ${scheme}`, !result.error && found.length === 0,
    result.error ?? found.join(", "));
  check(`axe-core looked at ${width} px, ${scheme}`, result.passes?.length > 15, String(result.passes?.length));
}

async function look(name, width, scheme, id) {
  await devtools("Emulation.setEmulatedMedia", { features: [
    { name: "prefers-color-scheme", value: scheme }, { name: "prefers-reduced-motion", value: "reduce" }] });
  await devtools("Emulation.setDeviceMetricsOverride", {
    width, height: width < 600 ? 800 : 900, deviceScaleFactor: 1, mobile: false });
  await new Promise((resolve) => setTimeout(resolve, 300));
  const wide = await run("return document.scrollingElement.scrollWidth");
  check(`nothing is wider than the window at ${width} px, ${scheme}`, wide <= width, `${wide} px`);
  if (axePath) await asksAxe(width, scheme);
  const [y, height] = await run(`const high = document.scrollingElement.scrollHeight, one = document.getElementById(arguments[0]);
    const y = one ? Math.max(0, one.getBoundingClientRect().top + scrollY - 80) : 0;
    return [y, Math.min(1500, high - y)];`, id ?? "");
  const { data } = await devtools("Page.captureScreenshot", {
    captureBeyondViewport: true, clip: { x: 0, y, width, height, scale: 1 } });
  writeFileSync(`${folder}/${name}_${width}_${scheme}.png`, Buffer.from(data, "base64"));
}

/// Looks at the page at each of these widths, light and dark, with AXE.JS if there is one. The pictures begin at the element `id`.
export async function looks(name, widths, id) {
  if (axePath) await run(readFileSync(axePath, "utf8"));
  else console.log("measured nothing by axe-core, which is not here");
  for (const width of widths) for (const scheme of ["light", "dark"]) await look(name, width, scheme, id);
}

/// Runs the parts of a test, tells what the browser reports, and ends the process with 1 if a check is bad.
export async function drive(parts, allowed) {
  try {
    await parts();
    const severe = (await call("POST", at("/se/log"), { type: "browser" })).filter((one) =>
      one.level === "SEVERE" && !allowed?.test(one.message));
    check("the browser reports no error", severe.length === 0, severe.map((one) => one.message).join("; "));
  } catch (error) {
    check("the browser was driven to the end", false, String(error.stack ?? error));
  } finally {
    await call("DELETE", at("")).catch(() => {});
    driver.kill();
  }
  process.exit(bad ? 1 : 0);
}
