// Drives a real browser over the page: node page_driver.mjs ADDRESS FOLDER AXE.JS
//
// Prints a line per check, `ok` or `bad`, and lines `measured`, which nothing judges; writes a
// picture of each width and colour scheme into FOLDER. Ends with 1 if a check is bad.
import { address, at, call, check, drive, KEY, looks, press, run, until, wait } from "./browser.mjs";

const FULL = "return document.querySelector('#rests b')?.textContent === 'Full answer' && document.querySelectorAll('#furrow g[role=button]').length > 3";

async function measureSliders() {
  const times = await wait(`const done = arguments[0];
    const slider = document.querySelector('#key-travel-speed');
    const shown = document.getElementById('rests');
    const times = [];
    let since = 0, value = 10;
    window.words = new Set();
    new MutationObserver(() => { window.words.add(shown.textContent.replace(/\d+/g, ''));
      if (!since) return;
      const began = since; since = 0;
      requestAnimationFrame(() => { times.push(performance.now() - began);
        if (times.length < 8) setTimeout(move, 700); else done(times); }); })
      .observe(shown, { childList: true });
    function move() { slider.value = value; value += 0.5; since = performance.now();
      slider.dispatchEvent(new Event('input', { bubbles: true })); }
    setTimeout(move, 1500);`);
  times.sort((a, b) => a - b);
  console.log(`measured slider to picture, ms, of 8: median ${times[4].toFixed(0)}, ` +
    `least ${times[0].toFixed(0)}, most ${times[7].toFixed(0)}`);
}

/// Where the program has the row's module, the browser answers a slider coarsely once, and further on where it is quicker.
async function answersHere() {
  if (!(await wait("const done = arguments[0]; fetch('keys').then((got) => got.json()).then((keys) => done(keys.module))"))) return;
  const before = await run("return [...window.words]");
  const shown = await wait(`const done = arguments[0];
    const slider = document.querySelector('#key-travel-speed');
    const rests = document.getElementById('rests');
    const seen = [];
    new MutationObserver(() => { seen.push(rests.textContent);
      if (rests.textContent.startsWith('Full')) setTimeout(() => done(seen), 0); }).observe(rests, { childList: true });
    slider.value = 9; slider.dispatchEvent(new Event('input', { bubbles: true }));`);
  const all = [...before, ...shown];
  check("the browser itself answers coarsely", all.some((words) => words.includes("in this browser")), all.join(" | "));
}

async function keyboard() {
  await run("document.activeElement.blur(); window.scrollTo(0, 0)");
  await press(KEY.tab);
  check("the first stop of Tab skips to the settings",
    await run("return document.activeElement.className === 'skip'"));
  await press(KEY.enter, KEY.tab);
  const first = await run("return document.activeElement.id");
  check("behind it stands the first setting", first === "key-liquid-name", first);
  await press(KEY.tab, KEY.tab);
  check("then the first slider", await run("return document.activeElement.id === 'key-travel-speed'"));
  const before = await run("return document.getElementById('command').textContent");
  await press(KEY.right, KEY.right);
  await until("an arrow key moves the speed", "return document.getElementById('command').textContent !== arguments[0]", before);
  const after = await run("return document.getElementById('command').textContent");
  check("the command line follows the slider", after.includes("--set 'travel.speed="), after);
  await until("the full answer follows", FULL);
  await run("document.querySelector('#furrow g[role=button][tabindex=\"0\"]').focus()");
  await press(KEY.right, KEY.right, KEY.left, KEY.enter);
  await until("Enter explains a seed", "return !document.getElementById('seed').hidden");
  check("a seed shows its steps and waveforms", await run(
    "return document.querySelectorAll('#seed li').length >= 8 && document.querySelectorAll('#seed .curve').length === 6"));
  check("every seed has words for who does not see it", await run(
    "return [...document.querySelectorAll('#furrow g[role=button]')].every((g) => /Seed \\d+, /.test(g.getAttribute('aria-label')))"));
  check("the sentence is read out when it changes",
    await run("const heard = document.getElementById('heard'); return heard.getAttribute('aria-live') === 'polite' && heard.textContent === document.getElementById('sentence').textContent"));
}

async function mistakesAndKeeping() {
  await run(`const field = document.querySelector('.slider input[type=text]'); field.value = 'fast';
    field.dispatchEvent(new Event('change'))`);
  await until("a mistake is told in words", "return /travel.speed/.test(document.getElementById('trouble').textContent)");
  await run(`document.querySelector('#changed button').click()`);
  await until("taking it back gives an answer again",
    "return document.getElementById('trouble').hidden && !document.querySelector('#changed button')");
  await until("the full answer comes back", FULL);
  await run("document.getElementById('pin').click()");
  await run(`const slider = document.querySelector('#key-attachment-outlet_offset'); slider.value = Number(slider.value) + 10;
    slider.dispatchEvent(new Event('input', { bubbles: true }))`);
  await until("a pinned setting is drawn beside the new one",
    "return document.querySelectorAll('#furrow .pinned').length > 0 && document.querySelectorAll('#figures thead th').length === 3");
  await until("with its full answer", FULL);
  await run(`document.getElementById('save-name').value = 'from_browser'; document.querySelector('#save button').click()`);
  await until("a scenario is saved", "return /from_browser.toml/.test(document.getElementById('saved').textContent)");
}

async function longWork() {
  await run(`document.getElementById('start-kind').value = 'delay'; document.querySelector('#start button').click()`);
  await until("a job starts", "return document.querySelectorAll('#jobs [data-stop]').length === 1");
  await call("POST", at("/refresh"));
  await until("it is still there after the page was loaded again",
    "return document.querySelectorAll('#jobs [data-stop]').length === 1");
  await run("document.querySelector('#jobs [data-stop]').click()");
  await until("it can be stopped", "return /stopped/.test(document.getElementById('jobs').textContent)");
  await until("the page is whole again", FULL);
}

await drive(async () => {
  await call("POST", at("/url"), { url: address });
  await until("the full answer comes", FULL);
  const paint = await run("return performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? -1");
  const bytes = await run(`return performance.getEntriesByType('resource').reduce((sum, one) => sum + one.decodedBodySize,
    performance.getEntriesByType('navigation')[0].decodedBodySize)`);
  console.log(`measured first paint ${paint.toFixed(0)} ms, ${Math.round(bytes / 1000)} kB with the first answer`);
  check("all came from one origin", await run(
    "return performance.getEntriesByType('resource').every((one) => one.name.startsWith(location.origin + '/'))"));
  await measureSliders();
  await until("a full answer after the sliders", FULL);
  await new Promise((resolve) => setTimeout(resolve, 3000));  // the browser has taken it up by then
  await answersHere();
  await keyboard();
  await mistakesAndKeeping();
  await looks("page", [1280, 768, 420]);
  await longWork();
}, /status of 4(00|09)/);
