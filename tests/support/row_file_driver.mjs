// Drives a real browser over the one-file page of a row: node row_file_driver.mjs FILE.html FOLDER [AXE.JS]
//
// Prints a line per check, `ok` or `bad`, and lines `measured`, which nothing judges; writes a picture of each width and
// colour scheme into FOLDER. Ends with 1 if a check is bad.
import { pathToFileURL } from "node:url";
import { address as file, at, call, check, devtools, drive, KEY, looks, press, run, until } from "./browser.mjs";

const FULL_AT = (speed) => `return document.querySelector('#rests b').textContent === 'Full answer' &&
  document.getElementById('sentence').textContent.includes('at ${speed}') &&
  document.getElementById('rests').textContent.includes('Computed here')`;

await drive(async () => {
  await call("POST", at("/timeouts"), { script: 60000 });
  await devtools("Network.enable", {});
  await devtools("Network.emulateNetworkConditions", { offline: true, latency: 0, downloadThroughput: -1, uploadThroughput: -1 });
  await call("POST", at("/url"), { url: pathToFileURL(file).href });
  check("the furrow stands at once", await run("return document.querySelectorAll('#furrow g[role=button]').length > 3"));
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
  await looks("row", [1280, 420]);
  const asked = await run("return performance.getEntriesByType('resource').map((one) => one.name).filter((one) => !one.startsWith('blob:'))");
  check("it asks no other place", asked.length === 0, asked.join(" "));
});
