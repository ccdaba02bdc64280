// Answers from the row's module in a worker, one question at a time.
import { asked, unpacked } from "./row.js";

export class NearRow {
  #worker;
  #waiting = null;
  #serial = 0;
  #ended = null;  // words, once the thread is gone

  /// `worker`: runs row_worker.js.
  constructor(worker, module) {
    this.#worker = worker;
    this.#worker.onmessage = ({ data }) => {
      if (data.serial === this.#serial) this.#waiting?.(data);
    };
    this.#worker.onerror = () => this.#end("the browser ended the row's thread");
    this.#worker.postMessage({ module });
  }

  know(contents) { this.#worker.postMessage({ contents }); }

  /// {text, took_ms} or {error}.
  ask(kind, pairs) {
    const serial = ++this.#serial;
    if (this.#ended) return Promise.resolve({ error: this.#ended });
    return new Promise((resolve) => {
      this.#waiting = resolve;
      this.#worker.postMessage({ serial, question: asked(kind, pairs) });
    });
  }

  end() {
    this.#worker.terminate();
    this.#end("ended");
  }

  #end(words) {
    this.#ended = words;
    this.#waiting?.({ error: words });
  }
}

/// The coarse answers of `sillion page` from this browser, while only keys move that the module sets.
export class CoarseHere {
  #near = null;
  #keys = new Set();
  #known = null;  // what was set of other keys when the contents were written
  #ask;
  #on = false;
  #told = 0;  // contents that were asked for
  #begun = null;
  #warmed = 0;

  constructor(ask) { this.#ask = ask; }

  /// The program has a module.
  start(pairs) {
    this.#on = true;
    return this.know(pairs);
  }

  #others(pairs) {
    return JSON.stringify(pairs.filter(([key]) => !this.#keys.has(key)).sort());
  }

  async #begin() {
    const got = await fetch("row.wasm.gz");
    const module = await WebAssembly.compile(await unpacked(got));
    this.#near = new NearRow(new Worker("row_worker.js", { type: "module" }), module);
  }

  /// After a full answer: takes what it found. Whatever fails, the server goes on answering.
  async know(pairs) {
    this.#known = null;
    if (!this.#on) return;
    const mine = ++this.#told;
    try {
      const answer = await this.#ask("contents", { settings: pairs });
      if (!answer.contents) return;  // a setting that the module cannot carry
      await (this.#begun ??= this.#begin());
      if (mine !== this.#told) return;  // newer contents are on their way
      this.#keys = new Set(answer.keys);
      this.#near.know(answer.contents);
      // A browser makes a module's code fast while it runs: that is not left to the first slider.
      for (; this.#warmed < 2; ++this.#warmed) await this.#near.ask("coarse", pairs);
      if (mine !== this.#told) return;
      this.#known = this.#others(pairs);
    } catch {
      this.#on = false;
    }
  }

  /// Null where the server has to answer.
  async coarse(pairs) {
    if (this.#known === null || this.#others(pairs) !== this.#known) return null;
    const { text, took_ms, error } = await this.#near.ask("coarse", pairs);
    return error ? null : { ...JSON.parse(text), took_ms, here: true };
  }
}
