// What stands at a place of a drawing: the panel, the values of its lines, the seed, in figures and words.
import { Axes } from "./axes.js";
import { clamp, withUnit } from "./pieces.js";
import { seedOf, seedWords } from "./seeds.js";

export class Readings extends Axes {
  /// `choice`: { seed, figuresOf(row, seed) } of all plots of the report.
  constructor(svg, choice) {
    super(svg);
    this.choice = choice;
    this.marks = [...svg.querySelectorAll("[data-words]")];
    // { x, y } of the pointer or the keys, in the drawing
    this.at = null;
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
    if (seed !== null) parts.push(seedWords(this.choice.figuresOf(panel.row, seed) ?? { row: panel.row, seed }));
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
}
