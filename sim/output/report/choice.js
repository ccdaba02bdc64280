// The chosen seed: its figures below the plot, its ring in every plot, a sign in every table; and the start of
// the script. The report is whole without it: it adds what it needs, and reads every value off the drawings'
// own data (sim/output/axes.h).
import { element } from "./pieces.js";
import { Plot } from "./plot.js";
import { reachable } from "./scroll.js";
import { seedLine, seedOf } from "./seeds.js";

const plots = [];
// seed: { row, seed }
const choice = { seed: null, figuresOf, choose };

/// The seed with its figures, from whichever plot has them.
function figuresOf(row, seed) {
  for (const plot of plots)
    for (const panel of plot.read)
      if (panel.row === row && panel.g.dataset.seeds) return seedOf(panel, seed);
  return null;
}

let box = null;
function choose(row, seed, figure, byKey) {
  choice.seed = { row, seed };
  const one = figuresOf(row, seed) ?? { row, seed };
  const line = seedLine(one);
  const head = element("tr", {}), body = element("tr", {});
  for (const [name, cell] of line) {
    head.append(element("th", { scope: "col", class: "number" }, name));
    body.append(element("td", { class: "number" }, String(cell)));
  }
  const command = document.querySelector("[data-explain]")?.textContent;
  const close = element("button", { type: "button" }, "Let this seed go");
  box?.remove();
  box = element("section", { class: "seed", tabindex: "-1", "aria-label": `Row ${row}, seed ${seed}` },
    element("h3", {}, `Row ${row}, seed ${seed}`),
    element("div", { class: "wide" },
      element("table", {}, element("thead", {}, head), element("tbody", {}, body))));
  if (one.status === undefined)
    box.append(element("p", {}, "A plot of so many seeds has no figures of each: they are in seeds.csv."));
  box.append(command ? element("pre", {}, `${command} --row ${row} --seed ${seed}`)
    : element("p", {}, "This report names no scenario file: `sillion explain` on the scenario of this pass shows the seed."), close);
  close.addEventListener("click", () => {
    choice.seed = null;
    box.remove();
    markAll();
    figure.querySelector("svg").focus();
  });
  figure.after(box);
  reachable(box.querySelector(".wide"));
  markAll();
  if (byKey) box.focus({ preventScroll: false });
}
/// The ring in every plot, and a sign at every line of a table that names the seed.
function markAll() {
  const chosen = choice.seed;
  for (const plot of plots) plot.show(false);
  for (const cell of document.querySelectorAll("td")) {
    const found = cell.textContent.match(/^row (\d+), seed (\d+)$/);
    if (found) cell.classList.toggle("chosen", chosen !== null && Number(found[1]) === chosen.row && Number(found[2]) === chosen.seed);
  }
}

for (const svg of document.querySelectorAll("figure svg"))
  if (svg.querySelector("[data-x],[data-words]")) plots.push(new Plot(svg, choice));
// report.html#row-3-seed-12 opens with that seed chosen.
const wanted = location.hash.match(/^#row-(\d+)-seed-(\d+)$/);
const errors = wanted && plots.find((plot) => plot.read.some((panel) => panel.row === Number(wanted[1])));
if (errors) choose(Number(wanted[1]), Number(wanted[2]), errors.figure, true);
