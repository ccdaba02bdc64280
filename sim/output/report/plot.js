// A plot as people use it: buttons, pointer and keys, and the ring around the chosen seed.
//
// Keys: arrows step, + - 0 zoom, Enter chooses a seed, Escape lets go; they are told under each plot.
import { MOST } from "./axes.js";
import { clamp, element } from "./pieces.js";
import { Readings } from "./readings.js";

export class Plot extends Readings {
  constructor(svg, choice) {
    super(svg, choice);
    this.top = this.piece("g", { "aria-hidden": "true" });
    this.addTools();
    this.listen();
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
    const chosen = this.choice.seed;
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
    if (seed !== null) this.choice.choose(panel.row, seed, this.figure, byKey);
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
