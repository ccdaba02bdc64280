// The field of a pass to scale: every second of every row as a cell, and near by every band and seed.
// Amounts are drawn as strokes that grow denser, beside a legend with numbers; nothing is fetched
// but from the program that serves the page.
import { piece, element, place, placeUnit, length, ratePerArea, rateUnit, distance, roundLength, volume } from "./draw.js";

const HIGH = 420, EDGE = 26;       // px
const BANDS_PX_PER_M = 60;         // from here on bands are drawn instead of cells
const MOST_PX_PER_M = 2500;
const MOST_CLASSES = 5;
const FEWEST_S = 1;                // of bands that are asked for at a time

const named = (columns, values) => Object.fromEntries(columns.map((name, i) => [name, values[i]]));
const tell = (value, words) => (value === null || value === undefined ? "not known" : words(value));

export class FieldMap {
  constructor(ask, root) {
    this.ask = ask;
    this.root = root;
    for (const name of ["field", "said", "legend", "seed", "about", "length", "form", "tools"])
      this[name] = document.getElementById(`map-${name}`);
    this.form.addEventListener("submit", (event) => { event.preventDefault(); this.load(this.job, this.length.value.trim()); });
    const button = (words, act) => {
      const made = element("button", { type: "button" }, words);
      made.addEventListener("click", act);
      return made;
    };
    this.tools.append(button("Closer", () => this.zoom(2)), button("Farther", () => this.zoom(0.5)),
      button("Whole field", () => this.whole()));
    this.listen();
    new ResizeObserver(() => this.resized()).observe(this.field);
  }

  /// Shows the pass of a job. `passLength`: as a person writes it; empty: as the program sees fit.
  async load(job, passLength = "") {
    this.root.hidden = false;
    this.said.textContent = "The field is being laid …";
    const answer = await this.ask("map", { job, pass_length: passLength });
    if (answer.error) {
      this.said.textContent = answer.error;
      return;
    }
    Object.assign(this, { job, passLength, map: answer });
    this.cells = answer.cells.map((one) => named(answer.columns, one));
    this.bands = [];
    this.fetched = null;
    this.chosen = null;
    this.seed.hidden = true;
    this.about.textContent = `${answer.about}. ${answer.rows} rows` +
      (answer.pass_length_m > 0 ? `, cut into passes of ${distance(answer.pass_length_m)}.` : ".");
    this.sort();
    this.whole();
    this.said.textContent = "Point at the field, or step with the arrow keys.";
    document.getElementById("map-title").focus();
  }

  /// Classes of the rate in the band, in round steps of the unit that people read.
  sort() {
    const rates = this.cells.filter((one) => one.bands > 0 && one.in_band_m3pm2 !== null).map((one) => ratePerArea(one.in_band_m3pm2));
    const low = Math.min(...rates), high = Math.max(...rates);
    let step = 10 ** Math.floor(Math.log10(Math.max(high - low, high * 1e-3, 1e-9)));
    const times = [0.1, 0.2, 0.5, 1, 2, 5, 10].find((one) => Math.floor(high / (step * one)) - Math.floor(low / (step * one)) < MOST_CLASSES);
    step *= times ?? 10;
    this.step = step;
    this.from = Math.floor(low / step) * step;
    this.classes = rates.length ? Math.floor((high - this.from) / step + 1e-9) + 1 : 0;
    const digits = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
    const list = element("ul", { class: "plain legend" });
    const counts = Array(this.classes).fill(0);
    for (const rate of rates) ++counts[this.classOf(rate)];
    counts.forEach((count, i) => list.append(element("li", {}, this.swatch(`cell class-${this.dense(i)}`),
      `${(this.from + i * step).toFixed(digits)} to ${(this.from + (i + 1) * step).toFixed(digits)} ${rateUnit()} in the band: ${count} seconds of rows`)));
    list.append(element("li", {}, this.swatch("cell nothing"), "nothing laid in this second"));
    if (this.changes().length) list.append(element("li", {}, this.swatch("zone"),
      "thick dashes: from here on another rate is wanted, to the second; the number is the new one"));
    this.legend.replaceChildren(list);
  }
  classOf(rate) { return Math.min(this.classes - 1, Math.max(0, Math.floor((rate - this.from) / this.step + 1e-9))); }
  /// The classes share the patterns from pale to dense.
  dense(i) { return this.classes < 2 ? 1 : Math.round((i * (MOST_CLASSES - 1)) / (this.classes - 1)); }
  swatch(style) {
    const svg = piece("svg", { viewBox: "0 0 30 16", width: 30, height: 16, "aria-hidden": "true" });
    svg.append(style === "zone" ? piece("path", { d: "M15 0V16", class: "zone" })
      : piece("rect", { x: 1, y: 1, width: 28, height: 14, class: style }));
    return svg;
  }
  fill(rate, bands) {
    return bands > 0 && rate !== null ? `class-${this.dense(this.classOf(ratePerArea(rate)))}` : "nothing";
  }

  /// Where the rate that is wanted changes: the cells of one second across all rows.
  changes() {
    const first = this.cells.filter((one) => one.row === 0);
    return first.filter((one, i) => i > 0 && one.in_band_set_m3pm2 !== first[i - 1].in_band_set_m3pm2 &&
      one.in_band_set_m3pm2 > 0 && first[i - 1].in_band_set_m3pm2 > 0);
  }

  whole() {
    if (!this.map) return;
    const box = { e0: Infinity, e1: -Infinity, n0: Infinity, n1: -Infinity };
    for (const one of this.cells)
      for (const [e, n] of [[one.from_east_m, one.from_north_m], [one.until_east_m, one.until_north_m]]) {
        box.e0 = Math.min(box.e0, e); box.e1 = Math.max(box.e1, e);
        box.n0 = Math.min(box.n0, n); box.n1 = Math.max(box.n1, n);
      }
    this.wide = Math.max(280, this.field.clientWidth);
    const half = (this.map.width_m ?? 1) / 2;
    this.scale = Math.min((this.wide - 2 * EDGE) / (box.e1 - box.e0 + 2 * half), (HIGH - 2 * EDGE) / (box.n1 - box.n0 + 2 * half));
    this.least = this.scale;
    this.east = (box.e0 + box.e1) / 2;
    this.north = (box.n0 + box.n1) / 2;
    this.draw();
  }
  /// Another width shows as much of the field around the same middle.
  resized() {
    const wide = Math.max(280, this.field.clientWidth);
    if (!this.map || wide === this.wide) return;
    const { east, north, scale, least, wide: before } = this;
    this.whole();
    if (scale <= least) return;
    Object.assign(this, { east, north, scale: Math.max(this.least, (scale * wide) / before) });
    this.draw();
  }
  /// Around a place of the drawing, or its middle.
  zoom(factor, at = [this.wide / 2, HIGH / 2]) {
    if (!this.map) return;
    const [east, north] = this.ground(at);
    this.scale = Math.min(MOST_PX_PER_M, Math.max(this.least, this.scale * factor));
    this.east = east - (at[0] - this.wide / 2) / this.scale;
    this.north = north + (at[1] - HIGH / 2) / this.scale;
    this.draw();
  }
  pan(dx, dy) {
    this.east -= dx / this.scale;
    this.north += dy / this.scale;
    this.draw();
  }
  ground([x, y]) { return [this.east + (x - this.wide / 2) / this.scale, this.north - (y - HIGH / 2) / this.scale]; }
  px(east, north) { return [this.wide / 2 + (east - this.east) * this.scale, HIGH / 2 - (north - this.north) * this.scale]; }
  get near() { return this.scale >= BANDS_PX_PER_M; }

  corners(one, half) {
    const [x0, y0] = this.px(one.from_east_m, one.from_north_m), [x1, y1] = this.px(one.until_east_m, one.until_north_m);
    const long = Math.hypot(x1 - x0, y1 - y0) || 1;
    const ox = (-(y1 - y0) / long) * half, oy = ((x1 - x0) / long) * half;
    return [[x0 + ox, y0 + oy], [x1 + ox, y1 + oy], [x1 - ox, y1 - oy], [x0 - ox, y0 - oy]];
  }
  seen(corners) {
    const xs = corners.map((one) => one[0]), ys = corners.map((one) => one[1]);
    return Math.max(...xs) >= 0 && Math.min(...xs) <= this.wide && Math.max(...ys) >= 0 && Math.min(...ys) <= HIGH;
  }

  draw() {
    const svg = this.svg ?? this.makeSvg();
    svg.setAttribute("viewBox", `0 0 ${this.wide} ${HIGH}`);
    const body = piece("g");
    const half = ((this.map.width_m ?? 0.3) / 2) * this.scale * 0.94;
    const shown = [];
    for (const one of this.cells) {
      const corners = this.corners(one, half);
      if (!this.seen(corners)) continue;
      shown.push(one);
      const style = this.near ? "cell outline" : `cell ${this.fill(one.in_band_m3pm2, one.bands)}`;
      body.append(piece("polygon", { points: corners.map((at) => at.map((v) => v.toFixed(1)).join()).join(" "), class: style }));
    }
    if (this.near) this.drawBands(body, shown);
    this.drawChanges(body);
    this.drawScale(body);
    const x = this.wide / 2, y = HIGH / 2;
    if (this.keyed) body.append(piece("path", { class: "cross", d: `M${x - 12} ${y}h24M${x} ${y - 12}v24` }));
    this.body.replaceWith(body);
    this.body = body;
  }

  drawBands(body, shown) {
    this.fetch(shown);
    const labels = [];
    for (const band of this.bands) {
      const [x0, y0] = this.px(band.start_east_m, band.start_north_m), [x1, y1] = this.px(band.end_east_m, band.end_north_m);
      if (!this.seen([[x0, y0], [x1, y1]])) continue;
      const long = Math.hypot(x1 - x0, y1 - y0) || 1;
      const half = Math.min(9, Math.max(3, 0.012 * this.scale));
      const ox = (-(y1 - y0) / long) * half, oy = ((x1 - x0) / long) * half;
      body.append(piece("polygon", { class: `band ${this.fill(band.in_band_m3pm2, 1)}`,
        points: [[x0 + ox, y0 + oy], [x1 + ox, y1 + oy], [x1 - ox, y1 - oy], [x0 - ox, y0 - oy]]
          .map((at) => at.map((v) => v.toFixed(1)).join()).join(" ") }));
      const [sx, sy] = this.px(band.seed_east_m, band.seed_north_m);
      const away = half + 5;
      const gx = sx + (ox / half) * away, gy = sy + (oy / half) * away;
      const far = band.placement_error_m === null || Math.abs(band.placement_error_m) > 0.01;
      band.at = [gx, gy];
      body.append(piece("ellipse", { cx: gx.toFixed(1), cy: gy.toFixed(1), rx: 5, ry: 3.5, class: "grain" }));
      labels.push({ x: gx, y: gy + (oy >= 0 ? 17 : -8), far,
        words: (band.placement_error_m === null ? band.kind : place(band.placement_error_m)) + (far ? " !" : "") });
      if (this.chosen && band.row === this.chosen.row && band.seed === this.chosen.seed)
        body.append(piece("circle", { cx: gx, cy: gy, r: 11, class: "ring" }));
    }
    if (this.scale > 160) this.drawLabels(body, labels);
  }

  /// Errors beside their seeds, as far as they do not overlap; those beyond 10 mm go first.
  drawLabels(body, labels) {
    const laid = [];
    for (const one of [...labels.filter((label) => label.far), ...labels.filter((label) => !label.far)]) {
      const half = (one.far ? 4 : 3.6) * one.words.length;
      if (laid.some((other) => Math.abs(other.y - one.y) < 13 && Math.abs(other.x - one.x) < other.half + half)) continue;
      laid.push({ ...one, half });
      body.append(piece("text", { x: one.x.toFixed(1), y: one.y.toFixed(1), "text-anchor": "middle",
        class: one.far ? "far" : "" }, one.words));
    }
  }

  /// The bands of the seconds in view, as soon as others are in view than those at hand.
  async fetch(shown) {
    if (!shown.length) return;
    const from_s = Math.min(...shown.map((one) => one.from_s)), until_s = Math.max(...shown.map((one) => one.until_s), from_s + FEWEST_S);
    if (this.fetched && this.fetched.from_s <= from_s && this.fetched.until_s >= until_s) return;
    const asked = { from_s: Math.max(0, from_s - 1), until_s: until_s + 1 };
    this.fetched = asked;
    const answer = await this.ask("bands", { job: this.job, pass_length: this.passLength, ...asked });
    if (this.fetched !== asked) return;
    if (answer.error) {
      this.fetched = null;
      this.said.textContent = answer.error;
      return;
    }
    this.bands = answer.bands.map((one) => named(answer.columns, one));
    this.root.dataset.bands = this.bands.length;
    this.draw();
  }

  drawChanges(body) {
    for (const one of this.changes()) {
      const last = this.cells.find((cell) => cell.second === one.second && cell.row === this.map.rows - 1);
      const half = ((this.map.width_m ?? 0) / 2) * this.scale;
      const [a, , , d] = this.corners(one, half), [e, , , h] = this.corners(last, half);
      const all = [a, d, e, h];
      const far = (from) => all.reduce((best, at) => (Math.hypot(at[0] - from[0], at[1] - from[1]) > Math.hypot(best[0] - from[0], best[1] - from[1]) ? at : best));
      const from = far(all[0]), to = far(from);
      body.append(piece("path", { class: "zone", d: `M${from.map((v) => v.toFixed(1)).join(" ")}L${to.map((v) => v.toFixed(1)).join(" ")}` }));
      const top = from[1] < to[1] ? from : to;
      body.append(piece("text", { x: top[0].toFixed(1), y: Math.max(12, top[1] - 4).toFixed(1), class: "zone-name", "text-anchor": "middle" },
        `${ratePerArea(one.in_band_set_m3pm2).toPrecision(3)} ${rateUnit()}`));
    }
  }
  drawScale(body) {
    const bar = roundLength(140 / this.scale);
    const y = HIGH - 10, x = 12;
    body.append(piece("path", { class: "axis", fill: "none", d: `M${x} ${y - 5}v5h${(bar.m * this.scale).toFixed(1)}v-5` }));
    body.append(piece("text", { x: x + bar.m * this.scale + 6, y, class: "muted" }, bar.words));
    body.append(piece("text", { x: this.wide - 8, y, class: "muted", "text-anchor": "end" }, this.map.invented ? "place invented" : "north ↑"));
  }

  makeSvg() {
    const svg = (this.svg = piece("svg", { role: "application", tabindex: "0", "aria-roledescription": "map",
      "aria-label": "Field of the pass to scale. Arrow keys move the field under the cross, plus and minus zoom, 0 shows all, Enter shows what lies under the cross." }));
    const defs = piece("defs");
    const pattern = (name, size, ...lines) => {
      const made = piece("pattern", { id: `map-${name}`, width: size, height: size, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" });
      made.append(piece("rect", { width: size, height: size, class: `tint tint-${name}` }), ...lines.map((d) => piece("path", { d, class: "strokes-liquid" })));
      defs.append(made);
    };
    pattern("0", 24, "M0 0V24");
    pattern("1", 12, "M0 0V12");
    pattern("2", 6, "M0 0V6");
    pattern("3", 6, "M0 0V6", "M0 0H6");
    pattern("4", 3, "M0 0V3", "M0 0H3");
    this.body = piece("g");
    svg.append(defs, this.body);
    this.field.replaceChildren(svg);
    return svg;
  }

  listen() {
    let from = null, moved = false;
    const at = (event) => {
      const box = this.svg.getBoundingClientRect();
      return [((event.clientX - box.left) / box.width) * this.wide, ((event.clientY - box.top) / box.height) * HIGH];
    };
    this.field.addEventListener("pointerdown", (event) => {
      if (!this.map) return;
      from = at(event);
      moved = false;
      this.keyed = false;
    });
    this.field.addEventListener("pointermove", (event) => {
      if (!this.map) return;
      const now = at(event);
      this.keyed = false;
      if (from && event.buttons) {
        if (!moved && Math.hypot(now[0] - from[0], now[1] - from[1]) < 5) return;
        moved = true;
        this.pan(now[0] - from[0], now[1] - from[1]);
        from = now;
      } else {
        this.said.setAttribute("aria-live", "off");
        this.tellAt(now);
      }
    });
    this.field.addEventListener("pointerup", () => { from = null; });
    this.field.addEventListener("click", (event) => { if (this.map && !moved) this.choose(at(event)); });
    this.field.addEventListener("wheel", (event) => {
      if (!this.map || (document.activeElement !== this.svg && !event.ctrlKey)) return;
      event.preventDefault();
      this.zoom(event.deltaY < 0 ? 1.3 : 1 / 1.3, at(event));
    }, { passive: false });
    this.field.addEventListener("keydown", (event) => this.key(event));
  }
  key(event) {
    if (!this.map || event.ctrlKey || event.altKey || event.metaKey) return;
    const step = event.shiftKey ? 10 : 60;
    const way = { ArrowRight: [-step, 0], ArrowLeft: [step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] }[event.key];
    const middle = [this.wide / 2, HIGH / 2];
    this.keyed = true;
    this.said.setAttribute("aria-live", "polite");
    if (way) this.pan(...way);
    else if (event.key === "+" || event.key === "=") this.zoom(2);
    else if (event.key === "-") this.zoom(0.5);
    else if (event.key === "0") this.whole();
    else if (event.key === "Enter" || event.key === " ") this.choose(middle);
    else return;
    event.preventDefault();
    this.tellAt(middle);
  }

  cellAt(at) {
    const half = ((this.map.width_m ?? 0.3) / 2) * this.scale;
    return this.cells.find((one) => {
      const [x0, y0] = this.px(one.from_east_m, one.from_north_m), [x1, y1] = this.px(one.until_east_m, one.until_north_m);
      const long = Math.hypot(x1 - x0, y1 - y0) || 1;
      const along = ((at[0] - x0) * (x1 - x0) + (at[1] - y0) * (y1 - y0)) / long;
      const across = Math.abs((at[0] - x0) * (y1 - y0) - (at[1] - y0) * (x1 - x0)) / long;
      return along >= 0 && along <= long && across <= half;
    });
  }
  bandAt(at) {
    if (!this.near) return null;
    // The cross moves in steps, so it reaches farther than a pointer.
    let best = null, least = this.keyed ? Math.max(60, 0.75 * (this.map.width_m ?? 0) * this.scale) : 24;
    for (const band of this.bands) {
      if (!band.at) continue;
      const away = Math.hypot(band.at[0] - at[0], band.at[1] - at[1]);
      if (away < least) [best, least] = [band, away];
    }
    return best;
  }
  tellAt(at) {
    const band = this.bandAt(at), cell = this.cellAt(at);
    if (band) this.said.textContent = `Row ${band.row}, seed ${band.seed}: ` + this.bandLine(band).map(([head, words]) => `${head} ${words}`).join("; ");
    else if (cell) this.said.textContent = `Row ${cell.row}, ${cell.from_s.toFixed(0)} to ${cell.until_s.toFixed(1)} s: in the band ` +
      `${tell(cell.in_band_m3pm2, (rate) => `${ratePerArea(rate).toPrecision(4)} ${rateUnit()}`)} (wanted ${ratePerArea(cell.in_band_set_m3pm2).toPrecision(4)}); ` +
      `${cell.seeds} seeds, ${cell.bands} bands, ${cell.missed} missed; ${volume(cell.volume_m3)}`;
    else this.said.textContent = "No row passed here.";
  }
  bandLine(band) {
    return [["error", tell(band.placement_error_m, (m) => `${place(m)} ${placeUnit()}`)],
      ["length", `${length(band.length_m)} ${placeUnit()}`], ["opened at", `${band.open_s.toFixed(3)} s`],
      ["dose", volume(band.dose_m3)], ["rate in the band", tell(band.in_band_m3pm2, (rate) => `${ratePerArea(rate).toPrecision(4)} ${rateUnit()}`)],
      ["kind", band.kind]];
  }

  /// A band shows its seed's figures; from far away a click goes closer.
  choose(at) {
    const band = this.bandAt(at);
    if (!band) {
      if (!this.near && this.cellAt(at)) this.zoom(Math.max(2, (BANDS_PX_PER_M * 3) / this.scale), at);
      return;
    }
    this.chosen = { row: band.row, seed: band.seed };
    this.draw();
    const list = element("dl", {});
    for (const [head, words] of this.bandLine(band)) list.append(element("dt", {}, head), element("dd", {}, words));
    const close = element("button", { type: "button" }, "Let this seed go");
    close.addEventListener("click", () => { this.seed.hidden = true; this.chosen = null; this.draw(); this.svg.focus(); });
    this.seed.replaceChildren(element("h3", {}, `Row ${band.row}, seed ${band.seed} of job ${this.job}`), list,
      element("pre", { tabindex: "0", role: "region", "aria-label": "Command line for this seed" },
        `${this.map.explain} --row ${band.row} --seed ${band.seed}`),
      element("p", { class: "tools" },
        element("a", { href: `jobs/${this.job}/report.html#row-${band.row}-seed-${band.seed}`, target: "_blank", rel: "noopener" },
          "This seed in the report"), close));
    this.seed.hidden = false;
  }
}
