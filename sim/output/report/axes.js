// The axes of a drawing and how much of them is seen: zoom moves what was drawn and sets new ticks. What an
// axis measures stands in the drawing's own data (sim/output/axes.h).
import { clamp, numbers, shown } from "./pieces.js";

// times closer
export const MOST = 60;

export class Axes {
  constructor(svg) {
    this.svg = svg;
    this.frames = new Map();
    // element -> how it was drawn
    this.still = new Map();
    this.height = numbers(svg.getAttribute("viewBox"))[3];
    this.panels = [...svg.querySelectorAll("[data-x]")].map((g) => this.panel(g)).filter(Boolean);
    this.read = this.panels.filter((one) => one.y);
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

  pan(frame, share) {
    const wide = frame.b - frame.a;
    const a = clamp(frame.a + share * wide, 0, 1 - wide);
    this.look(frame, a, a + wide);
  }
  /// Pans so that x is on the axis; what stood there has moved then.
  keep(frame, x) {
    if (x < frame.from || x > frame.to) this.pan(frame, (x - (frame.from + frame.to) / 2) / (frame.to - frame.from));
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
}
