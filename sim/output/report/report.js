// Hover, zoom and the choice of a seed in a report. The report is whole without this script: it adds
// what it needs, and reads every value off the drawings' own data (sim/output/axes.h).
//
// Keys: arrows step, + - 0 zoom, Enter chooses a seed, Escape lets go; they are told under each plot.
"use strict";
(() => {
const DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
// digits of sim/study/run/seed_codes.h
const CODE = [4, 3, 2, 2, 1];
// times closer
const MOST = 60;
const plots = [];
// { row, seed }
let chosen = null;

const numbers = (text) => text.split(" ").map(Number);
const clamp = (value, low, high) => Math.min(high, Math.max(low, value));
function element(name, attributes, ...inside) {
  const made = document.createElement(name);
  for (const key in attributes) made.setAttribute(key, attributes[key]);
  made.append(...inside);
  return made;
}
/// As many decimals as a pixel of `step` can show.
function shown(value, step) {
  const text = Math.abs(value).toFixed(clamp(Math.ceil(-Math.log10(step)), 0, 6));
  return (value < 0 && Number(text) !== 0 ? "−" : "") + text;
}
const withUnit = (value, step, unit) => shown(value, step) + (unit ? " " + unit : "");

/// The line of seeds.csv of one seed, as far as the plot has it.
function seedOf(panel, seed) {
  const made = { row: panel.row, seed, us: panel.y && panel.y.unit !== "mm" };
  const codes = panel.g.dataset.seeds;
  let at = (seed - panel.first) * 12;
  if (!codes || at < 0 || at >= codes.length) return made;
  const [edge, error, length, dose, state] = CODE.map((digits) => {
    let number = 0;
    for (let i = 0; i < digits; ++i) number = number * 64 + DIGITS.indexOf(codes[at++]);
    return number === 64 ** digits - 1 && digits > 1 ? null : number;
  });
  made.time_s = edge === null ? null : edge / 1e4;
  made.error_mm = error === null ? null : (error - 131072) / 100;
  made.length_mm = length === null ? null : length / 10;
  made.dose_ml = dose === null ? null : dose / 1e3;
  made.status = panel.g.dataset.status.split(" ")[state % 8].replace("_", " ");
  made.sensed = state >= 8;
  return made;
}
const known = (value, tell) => value === null || value === undefined ? "not known" : tell(value);
const place = (mm, us, signed) =>
  (signed && mm > 0 ? "+" : "") + (us ? withUnit(mm / 25.4, 0.001, "in") : withUnit(mm, 0.1, "mm"));
/// Heads and cells of the seed's line.
function seedLine(one) {
  const cells = [["Row", one.row], ["Seed", one.seed]];
  if (one.status === undefined) return cells;
  return cells.concat([
    ["Time at the sensor", known(one.time_s, (s) => withUnit(s, 0.001, "s"))],
    ["Placement error", known(one.error_mm, (mm) => place(mm, one.us, true))],
    ["Band length", known(one.length_mm, (mm) => place(mm, one.us))],
    ["Dose", known(one.dose_ml, (ml) =>
      one.us ? withUnit(ml / 29.5735295625, 0.0001, "fl oz") : withUnit(ml, 0.001, "ml"))],
    ["Status", one.status + (one.sensed ? "" : ", not sensed")]]);
}
function seedWords(one) {
  const [row, seed, ...more] = seedLine(one);
  return `Row ${row[1]}, seed ${seed[1]}` +
    more.map(([head, cell]) => `; ${head.toLowerCase()} ${cell}`).join("");
}

class Plot {
  constructor(svg) {
    this.svg = svg;
    this.frames = new Map();
    // element -> how it was drawn
    this.still = new Map();
    this.height = numbers(svg.getAttribute("viewBox"))[3];
    this.panels = [...svg.querySelectorAll("[data-x]")].map((g) => this.panel(g)).filter(Boolean);
    this.read = this.panels.filter((one) => one.y);
    this.marks = [...svg.querySelectorAll("[data-words]")];
    // { x, y } of the pointer or the keys, in the drawing
    this.at = null;
    this.top = this.piece("g", { "aria-hidden": "true" });
    this.addTools();
    this.listen();
  }

  piece(name, attributes, words) {
    const made = document.createElementNS(this.svg.namespaceURI, name);
    for (const key in attributes) made.setAttribute(key, attributes[key]);
    if (words !== undefined) made.textContent = words;
    return made;
  }

  panel(g) {
    const key = g.dataset.x;
    if (!this.frames.has(key)) {
      const [from, to, low, high] = numbers(key);
      this.frames.set(key, { from, to, low, high, a: 0, b: 1, groups: [], ticks: [] });
    }
    const frame = this.frames.get(key);
    if (g.dataset.ticks) {
      frame.ticks.push(g);
      return null;
    }
    frame.groups.push(g);
    const one = { g, frame, words: g.dataset.xw, unit: g.dataset.xu, row: Number(g.dataset.row ?? -1),
      first: Number(g.dataset.first ?? 0), named: [...g.querySelectorAll("[data-name]")] };
    one.seeds = [...g.querySelectorAll("[data-seed]")];
    if (g.dataset.y) {
      const [foot, top, low, high] = numbers(g.dataset.y);
      one.y = { foot, top, low, high, words: g.dataset.yw, unit: g.dataset.yu };
    }
    return one;
  }

  addTools() {
    const figure = this.svg.closest("figure");
    this.words = element("output", {});
    const button = (words, act) => {
      const made = element("button", { type: "button" }, words);
      made.addEventListener("click", act);
      return made;
    };
    const tools = element("div", { class: "tools" });
    const seeds = this.panels.some((one) => one.row >= 0);
    this.hint = "Point at the plot or step with the arrow keys" + (seeds ? "; a click or Enter chooses a seed" : "");
    if (this.frames.size) {
      tools.append(button("Closer", () => this.zoom(0.5)), button("Farther", () => this.zoom(2)),
        button("Whole", () => this.whole()));
      this.hint += ". Drag, + and − zoom, 0 shows the whole; the wheel zooms a plot that has the focus";
    }
    tools.append(this.words);
    this.say(this.hint + ".");
    this.svg.after(tools);
    this.svg.setAttribute("tabindex", "0");
    this.svg.setAttribute("role", "application");
    this.svg.setAttribute("aria-roledescription", "plot");
    this.svg.append(this.top);
    this.figure = figure;
  }

  say(words) { this.words.textContent = words; }

  value(frame, x) {
    const share = frame.a + (x - frame.from) / (frame.to - frame.from) * (frame.b - frame.a);
    return frame.low + share * (frame.high - frame.low);
  }
  px(frame, value) {
    const share = (value - frame.low) / (frame.high - frame.low);
    return this.moved(frame, frame.from + share * (frame.to - frame.from));
  }
  /// Where what was drawn at x stands after the zoom.
  moved(frame, x) {
    const wide = frame.to - frame.from;
    return frame.from + ((x - frame.from) / wide - frame.a) / (frame.b - frame.a) * wide;
  }
  step(frame) { return (frame.high - frame.low) * (frame.b - frame.a) / Math.abs(frame.to - frame.from); }

  whole() {
    for (const frame of this.frames.values()) this.look(frame, 0, 1);
    this.show();
  }
  /// `factor` times as much of the axis, around the pointer.
  zoom(factor) {
    const under = this.under() ?? this.panels[0];
    const frames = under?.y ? [under.frame] : [...this.frames.values()];
    for (const frame of frames) {
      const x = clamp(this.at?.x ?? (frame.from + frame.to) / 2, frame.from, frame.to);
      const share = (x - frame.from) / (frame.to - frame.from);
      const wide = clamp((frame.b - frame.a) * factor, 1 / MOST, 1);
      const a = clamp(frame.a + share * (frame.b - frame.a - wide), 0, 1 - wide);
      this.look(frame, a, a + wide);
    }
    this.show();
  }
  pan(frame, share) {
    const wide = frame.b - frame.a;
    const a = clamp(frame.a + share * wide, 0, 1 - wide);
    this.look(frame, a, a + wide);
  }

  look(frame, a, b) {
    if (a === frame.a && b === frame.b) return;
    frame.a = a;
    frame.b = b;
    for (const g of frame.groups) {
      this.clip(g, frame);
      for (const one of g.querySelectorAll("path,rect,ellipse,text")) this.move(one, frame);
    }
    for (const g of frame.ticks) this.retick(g, frame);
  }
  /// A drawing inside the drawing cuts off what leaves the axis.
  clip(g, frame) {
    if (g.firstElementChild?.localName === "svg") return;
    const x = Math.min(frame.from, frame.to) - 5, wide = Math.abs(frame.to - frame.from) + 10;
    const inner = this.piece("svg", { x, y: 0, width: wide, height: this.height,
      viewBox: `${x} 0 ${wide} ${this.height}` });
    inner.append(...g.childNodes);
    g.append(inner);
  }
  move(one, frame) {
    const names = { path: ["d"], rect: ["x", "width"], ellipse: ["cx"], text: ["x"] }[one.localName];
    if (!this.still.has(one)) this.still.set(one, names.map((name) => one.getAttribute(name)));
    const [first, wide] = this.still.get(one);
    if (one.localName === "path") {
      one.setAttribute("d", first.replace(/([ML])(-?[\d.]+)/g,
        (_, letter, x) => letter + this.moved(frame, Number(x)).toFixed(2)));
      return;
    }
    const x = this.moved(frame, Number(first));
    one.setAttribute(names[0], x.toFixed(2));
    if (wide) one.setAttribute("width", (this.moved(frame, Number(first) + Number(wide)) - x).toFixed(2));
  }
  /// Steps of 1, 2 or 5 times a power of ten, as the report's own.
  retick(g, frame) {
    const [foot, top, below, about] = numbers(g.dataset.ticks);
    const size = g.dataset.size ??= g.querySelector("text")?.getAttribute("font-size") ?? "11";
    const low = this.value(frame, frame.from), high = this.value(frame, frame.to);
    const ten = 10 ** Math.floor(Math.log10((high - low) / about));
    const each = ten * [1, 2, 5, 10].find((times) => ten * times * about >= (high - low) * (1 - 1e-9));
    g.replaceChildren();
    for (let k = Math.ceil(low / each - 1e-9); k * each <= high + 1e-9 * each; ++k) {
      const x = this.px(frame, k * each).toFixed(2);
      if (top < foot) g.append(this.piece("path", { d: `M${x} ${foot}V${top}`, stroke: "#d3d8de", "stroke-width": 0.6 }));
      g.append(this.piece("path", { d: `M${x} ${foot}v4`, stroke: "#59636f" }),
        this.piece("text", { x, y: foot + below, "font-size": size, "text-anchor": "middle", fill: "#59636f" },
          shown(k * each, each)));
    }
  }

  /// The panel under the pointer, or the one nearest to it.
  under() {
    if (!this.at || !this.read.length) return null;
    const away = (one) => Math.max(one.y.top - this.at.y, this.at.y - one.y.foot - (one.seeds.length ? 30 : 0), 0) +
      Math.max(one.frame.from - this.at.x, this.at.x - one.frame.to, 0);
    return this.read.reduce((best, one) => (away(one) < away(best) ? one : best));
  }
  yOf(panel, px) {
    const { foot, top, low, high } = panel.y;
    return low + (px - foot) / (top - foot) * (high - low);
  }
  pxOf(panel, value) {
    const { foot, top, low, high } = panel.y;
    return clamp(foot + (value - low) / (high - low) * (top - foot), top, foot);
  }
  points(mark) {
    return mark.points ??= [...(this.still.get(mark)?.[0] ?? mark.getAttribute("d"))
      .matchAll(/[ML](-?[\d.]+) (-?[\d.]+)/g)].map((found) => [Number(found[1]), Number(found[2])]);
  }
  /// The value of a line at x, or of the dot or cross nearest to it; null: there is none.
  valueAt(panel, mark, x) {
    const points = this.points(mark).map(([px, py]) => [this.moved(panel.frame, px), py]);
    const line = /L/.test(mark.getAttribute("d"));
    if (!line) {
      const near = points.reduce((best, one) => (Math.abs(one[0] - x) < Math.abs(best[0] - x) ? one : best), points[0]);
      return near && Math.abs(near[0] - x) < 9 ? this.yOf(panel, near[1]) : null;
    }
    for (let i = 1; i < points.length; ++i) {
      const [[x0, y0], [x1, y1]] = [points[i - 1], points[i]];
      if (x < Math.min(x0, x1) || x > Math.max(x0, x1)) continue;
      return this.yOf(panel, x1 === x0 ? y1 : y0 + (x - x0) / (x1 - x0) * (y1 - y0));
    }
    return null;
  }

  /// The seed next to the pointer; null: this panel has none.
  seedAt(panel) {
    if (!panel || panel.row < 0) return null;
    const { x, y } = this.at;
    if (panel.seeds.length) {
      const middle = (one) => Math.abs(this.middle(one).x - x);
      const near = panel.seeds.reduce((best, one) => (middle(one) < middle(best) ? one : best));
      return middle(near) < 40 ? Number(near.dataset.seed) : null;
    }
    if (!panel.g.dataset.first && !panel.named.length) return null;
    const at = this.value(panel.frame, x), reach = Math.ceil(5 * this.step(panel.frame));
    let best = null, least = Infinity;
    for (let seed = Math.max(0, Math.round(at) - reach); seed <= Math.round(at) + reach; ++seed) {
      const dot = this.dot(panel, seed + panel.first);
      if (!dot) continue;
      const away = Math.hypot(dot.x - x, (dot.y - y) / 4);
      if (away < least) [best, least] = [seed + panel.first, away];
    }
    return best ?? (panel.g.dataset.seeds ? null : panel.first + Math.max(0, Math.round(at)));
  }
  /// Where the plot of errors marks a seed.
  dot(panel, seed) {
    const one = seedOf(panel, seed);
    if (one.status === undefined) return null;
    const error = one.error_mm === null ? null : one.us ? one.error_mm / 25.4 : one.error_mm;
    return { x: this.px(panel.frame, seed - panel.first),
      y: error === null ? panel.y.foot - 3 : this.pxOf(panel, error) };
  }
  middle(mark) {
    const ellipse = mark.querySelector("ellipse");
    if (ellipse) return { x: Number(ellipse.getAttribute("cx")), y: Number(ellipse.getAttribute("cy")) };
    const box = mark.getBBox();
    return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  }

  /// What stands under the pointer, in words.
  wordsAt() {
    const mark = this.marks.find((one) => {
      const box = one.getBBox();
      return this.at.x >= box.x - 3 && this.at.x <= box.x + box.width + 3 &&
        this.at.y >= box.y - 3 && this.at.y <= box.y + box.height + 3;
    });
    if (mark) return mark.dataset.words;
    const panel = this.under();
    if (!panel) return null;
    const seed = this.seedAt(panel);
    const parts = [];
    if (seed !== null) parts.push(seedWords(seedFor(panel.row, seed) ?? { row: panel.row, seed }));
    if (seed === null || panel.seeds.length) {
      const { frame } = panel;
      parts.push(`${panel.words} ${withUnit(this.value(frame, this.at.x), this.step(frame), panel.unit)}`);
      for (const one of this.read.filter((other) => other.frame === frame))
        for (const named of one.named) {
          const value = this.valueAt(one, named, this.at.x);
          if (value === null) continue;
          const step = (one.y.high - one.y.low) / Math.abs(one.y.top - one.y.foot) / 2;
          parts.push(`${named.dataset.name} ${withUnit(value, step, one.y.unit)}`);
        }
    }
    return parts.join("; ");
  }

  /// Draws the hair line and the ring of the chosen seed anew, and tells what is under the pointer.
  show(tell = true) {
    this.top.replaceChildren();
    for (const panel of this.read) this.ring(panel);
    if (!this.at) return;
    const panel = this.under();
    if (panel) {
      const same = this.read.filter((one) => one.frame === panel.frame);
      const x = clamp(this.at.x, panel.frame.from, panel.frame.to);
      this.top.append(this.piece("path", { class: "hair",
        d: `M${x} ${Math.min(...same.map((one) => one.y.top))}V${Math.max(...same.map((one) => one.y.foot))}` }));
      const seed = this.seedAt(panel), dot = seed !== null && !panel.seeds.length && this.dot(panel, seed);
      if (dot) this.top.append(this.piece("circle", { class: "hair", cx: dot.x, cy: dot.y, r: 5 }));
    } else {
      const { x, y } = this.at;
      this.top.append(this.piece("path", { class: "hair", d: `M${x - 6} ${y}h12M${x} ${y - 6}v12` }));
    }
    const words = tell && this.wordsAt();
    if (words) this.say(words);
  }
  ring(panel) {
    if (!chosen || panel.row !== chosen.row) return;
    const mark = panel.seeds.find((one) => Number(one.dataset.seed) === chosen.seed);
    const at = panel.seeds.length ? mark && this.middle(mark) : this.dot(panel, chosen.seed);
    if (!at || at.x < panel.frame.from - 1 || at.x > panel.frame.to + 1) return;
    const name = `seed ${chosen.seed}`, left = at.x > panel.frame.to - 70;
    this.top.append(this.piece("circle", { class: "ring", cx: at.x, cy: at.y, r: mark ? 11 : 8 }));
    this.top.append(this.piece("text", { x: at.x + (left ? -13 : 13), y: at.y + (mark ? -12 : 4), class: "ring-name",
      "font-size": 12, "font-weight": "bold", "text-anchor": left ? "end" : "start" }, name));
  }

  listen() {
    const { svg } = this;
    const place = (event) => {
      const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
      return { x: at.x, y: at.y };
    };
    let from = null, dragged = false;
    svg.addEventListener("pointermove", (event) => {
      this.at = place(event);
      this.words.setAttribute("aria-live", "off");
      this.show();
      dragged = from !== null && Math.abs(this.at.x - from.x) > 6;
      if (dragged) this.top.append(this.piece("rect", { class: "stretch", x: Math.min(from.x, this.at.x), y: 0,
        width: Math.abs(this.at.x - from.x), height: this.height }));
    });
    svg.addEventListener("pointerdown", (event) => {
      this.at = place(event);
      dragged = false;
      if (event.pointerType !== "touch" && event.button === 0 && this.frames.size) from = this.at;
    });
    svg.addEventListener("pointerup", (event) => {
      if (from && dragged) this.stretch(from, place(event));
      from = null;
    });
    svg.addEventListener("pointerleave", () => {
      from = null;
      this.at = null;
      this.show();
    });
    svg.addEventListener("click", (event) => {
      this.at = place(event);
      if (!dragged) this.choose(false);
      dragged = false;
    });
    svg.addEventListener("wheel", (event) => {
      if (!this.frames.size || (document.activeElement !== svg && !event.ctrlKey)) return;
      event.preventDefault();
      this.at = place(event);
      const panel = this.under();
      if (panel && (event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY))) {
        this.pan(panel.frame, Math.sign(event.deltaX || event.deltaY) * 0.15);
        this.show();
      } else {
        this.zoom(event.deltaY < 0 ? 0.8 : 1.25);
      }
    }, { passive: false });
    svg.addEventListener("keydown", (event) => this.key(event));
    svg.addEventListener("blur", () => { this.at = null; this.show(); });
  }

  /// Zooms to what was dragged over.
  stretch(from, to) {
    this.at = from;
    const frames = this.under() ? [this.under().frame] : [...this.frames.values()];
    for (const frame of frames) {
      const share = (x) => frame.a + clamp((x - frame.from) / (frame.to - frame.from), 0, 1) * (frame.b - frame.a);
      const a = share(Math.min(from.x, to.x)), b = Math.max(share(Math.max(from.x, to.x)), a + 1 / MOST);
      this.look(frame, Math.min(a, 1 - 1 / MOST), Math.min(b, 1));
    }
    this.show();
  }

  choose(byKey) {
    const panel = this.under(), seed = this.seedAt(panel);
    if (seed !== null) choose(panel.row, seed, this.figure, byKey);
  }

  key(event) {
    if (event.altKey || event.metaKey || event.ctrlKey) return;
    const way = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    this.words.setAttribute("aria-live", "polite");
    if (way) this.go(way[0] * (event.shiftKey ? 10 : 1), way[1]);
    else if (event.key === "Home" || event.key === "End") this.go(event.key === "Home" ? -1e9 : 1e9, 0);
    else if ("+=".includes(event.key) && this.frames.size) this.zoom(0.5);
    else if (event.key === "-" && this.frames.size) this.zoom(2);
    else if (event.key === "0" && this.frames.size) this.whole();
    else if (event.key === "Enter" || event.key === " ") this.at && this.choose(true);
    else if (event.key === "Escape") { this.at = null; this.show(); this.say(this.hint + "."); }
    else return;
    event.preventDefault();
  }
  /// Steps with the keys: from mark to mark, from seed to seed, or along the axis.
  go(across, down) {
    if (this.marks.length) return this.goMarks(across, down);
    if (!this.read.length) return;
    let panel = this.under();
    if (!panel) {
      panel = this.read[0];
      this.at = { x: panel.frame.from, y: (panel.y.foot + panel.y.top) / 2 };
      if (across > 0) across = 0;
    }
    if (down) {
      panel = this.read[clamp(this.read.indexOf(panel) + down, 0, this.read.length - 1)];
      this.at.y = (panel.y.foot + panel.y.top) / 2;
    }
    const { frame } = panel, wide = frame.to - frame.from;
    if (panel.seeds.length) {
      const all = this.read.flatMap((one) => one.seeds.map((mark) => [one, mark]));
      const now = panel.seeds.findIndex((one) => Number(one.dataset.seed) === this.seedAt(panel));
      const offset = all.findIndex(([one]) => one === panel);
      const [to, mark] = all[clamp(offset + Math.max(now, 0) + across, 0, all.length - 1)];
      panel = to;
      this.keep(panel.frame, this.middle(mark).x);
      this.at = { x: this.middle(mark).x, y: panel.y.foot };
    } else if (panel.g.dataset.seeds) {
      const last = panel.g.dataset.seeds.length / 12 - 1;
      const seed = clamp(Math.round(this.value(frame, this.at.x)) + across, 0, last);
      this.keep(frame, this.px(frame, seed));
      this.at = this.dot(panel, seed + panel.first);
    } else {
      this.at.x = clamp(this.at.x, frame.from, frame.to) + clamp(across, -100, 100) * wide / 100;
      const beyond = this.at.x > frame.to ? this.at.x - frame.to : Math.min(0, this.at.x - frame.from);
      this.pan(frame, beyond / wide);
      this.at.x = clamp(this.at.x, frame.from, frame.to);
    }
    this.show();
  }
  /// Pans so that x is on the axis; what stood there has moved then.
  keep(frame, x) {
    if (x < frame.from || x > frame.to) this.pan(frame, (x - (frame.from + frame.to) / 2) / (frame.to - frame.from));
  }
  goMarks(across, down) {
    const middles = this.marks.map((one) => this.middle(one));
    let at = this.at ? middles.reduce((best, one, i) =>
      (Math.hypot(one.x - this.at.x, one.y - this.at.y) < Math.hypot(middles[best].x - this.at.x, middles[best].y - this.at.y) ? i : best), 0) : -1;
    if (at < 0) at = 0;
    else if (across) at = clamp(at + across, 0, middles.length - 1);
    if (down && this.at) {
      const beyond = middles.map((one, i) => [i, (one.y - middles[at].y) * down, Math.abs(one.x - middles[at].x)])
        .filter(([, away]) => away > 2).sort((one, other) => one[1] + one[2] - other[1] - other[2]);
      if (beyond.length) at = beyond[0][0];
    }
    this.at = middles[at];
    this.show(false);
    this.say(this.marks[at].dataset.words);
  }
}

/// The seed with its figures, from whichever plot has them.
function seedFor(row, seed) {
  for (const plot of plots)
    for (const panel of plot.read)
      if (panel.row === row && panel.g.dataset.seeds) return seedOf(panel, seed);
  return null;
}

let box = null;
function choose(row, seed, figure, byKey) {
  chosen = { row, seed };
  const one = seedFor(row, seed) ?? { row, seed };
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
    chosen = null;
    box.remove();
    markAll();
    figure.querySelector("svg").focus();
  });
  figure.after(box);
  boxes.observe(box.querySelector(".wide"));
  markAll();
  if (byKey) box.focus({ preventScroll: false });
}
/// The ring in every plot, and a sign at every line of a table that names the seed.
function markAll() {
  for (const plot of plots) plot.show(false);
  for (const cell of document.querySelectorAll("td")) {
    const found = cell.textContent.match(/^row (\d+), seed (\d+)$/);
    if (found) cell.classList.toggle("chosen", chosen !== null && Number(found[1]) === chosen.row && Number(found[2]) === chosen.seed);
  }
}

for (const svg of document.querySelectorAll("figure svg"))
  if (svg.querySelector("[data-x],[data-words]")) plots.push(new Plot(svg));
// What scrolls sideways on a small screen can be reached by keyboard.
const boxes = new ResizeObserver((entries) => {
  for (const { target } of entries) {
    if (target.scrollWidth > target.clientWidth) target.setAttribute("tabindex", "0");
    else target.removeAttribute("tabindex");
  }
});
for (const wide of document.querySelectorAll(".wide")) boxes.observe(wide);
// report.html#row-3-seed-12 opens with that seed chosen.
const wanted = location.hash.match(/^#row-(\d+)-seed-(\d+)$/);
const errors = wanted && plots.find((plot) => plot.read.some((panel) => panel.row === Number(wanted[1])));
if (errors) choose(Number(wanted[1]), Number(wanted[2]), errors.figure, true);
})();
