// The page where it has little to show: node extremes_driver.mjs ADDRESS FOLDER
import { address, at, call, check, drive, run, until } from "./browser.mjs";

const FULL = "return document.querySelector('#rests b')?.textContent === 'Full answer' && document.querySelectorAll('#furrow g[role=button]').length > 3";
const SET = `document.getElementById('any-key').value = arguments[0];
  document.getElementById('any-value').value = arguments[1]; document.getElementById('any').requestSubmit()`;
const BACK = "document.querySelectorAll('#changed button').forEach((one) => one.click())";

/// Settings at which there is nothing to show, no answer, or no place for every word.
async function extremes() {
  await run(SET, "supply.voltage", "1 V");
  await until("nothing is laid at 1 V", "return /nothing was laid/.test(document.getElementById('sentence').textContent)");
  await until("its full answer comes", FULL);
  const figures = await run("return document.getElementById('figures').innerText");
  check("what nobody can know stands as not known", /mean placement error\s+not known/.test(figures) &&
    /mean length of a band\s+not known/.test(figures), figures);
  await run(BACK);
  await until("the answer of the scenario comes back", FULL + " && !document.querySelector('#changed button')");
  await run(SET, "supply.pressure", "0.01 bar");
  await until("a refused setting says so", "return /no answer/.test(document.getElementById('sentence').textContent)");
  check("and that what is drawn is older", await run(
    "return /setting before/.test(document.getElementById('rests').textContent) && document.querySelectorAll('.slider [aria-invalid=true]').length === 1"));
  await run(BACK);
  await until("the answer after it", FULL + " && !document.querySelector('[aria-invalid]')");
  await run(SET, "seeding.spacing", "30 mm");
  await until("seeds that stand close are drawn", "return /30 mm/.test(document.getElementById('sentence').textContent)");
  await until("their full answer comes", FULL);
  const clash = await run(`const boxes = [...document.querySelectorAll('#furrow g[role=button] text')].map((one) => one.getBBox());
    const svg = document.querySelector('#furrow svg').viewBox.baseVal;
    return boxes.some((a, i) => a.x < -1 || a.x + a.width > svg.width + 1 ||
      boxes.some((b, k) => k > i && a.y === b.y && a.x < b.x + b.width && b.x < a.x + a.width))`);
  check("their words overlap nowhere and are whole", !clash);
  await run(BACK);
  await until("the answer after that", FULL + " && !document.querySelector('#changed button')");
}

/// A coarse answer that comes 3 s late finds the full one of a newer setting there.
async function lateAnswer() {
  await run(`const real = window.fetch; window.late = 0;
    window.fetch = async (path, init) => { const got = await real(path, init);
      if (path === 'row' && init.body.includes('"coarse"')) { await new Promise((go) => setTimeout(go, 3000)); ++window.late; }
      return got; }`);
  for (const temperature of ["16 C", "17 C"])  // the browser's module does not set it: the server is asked
    await run(SET, "liquid.temperature", temperature);
  await until("the late answer came", "return window.late === 1");
  await new Promise((resolve) => setTimeout(resolve, 300));
  check("a late coarse answer replaces no newer full one",
    await run(FULL + " && document.getElementById('command').textContent.includes('17 C')"));
  await run(BACK);
  await until("the answer after the late one", FULL);
}

await drive(async () => {
  await call("POST", at("/url"), { url: address });
  await until("the full answer comes", FULL);
  await new Promise((resolve) => setTimeout(resolve, 3000));  // the browser has taken it up by then
  await extremes();
  await lateAnswer();
}, /status of 400/);
