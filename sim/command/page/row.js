// The row's module (sim/command/browser): one row of the bench in this browser. A question and its
// answer are text. A question that the module cannot go on with throws, and the next one begins with
// a new module, which knows what the contents say.
const encoder = new TextEncoder(), decoder = new TextDecoder();
const NOT_SERVED = 52;  // of the system interface: the module opens no file and asks for no clock

export class Row {
  #module;
  #contents;
  #own = null;

  /// `module`: compiled; `contents`: text (sim/command/browser/row_contents.h).
  constructor(module, contents) {
    this.#module = module;
    this.#contents = contents;
  }

  #begin() {
    const seen = (at, bytes) => decoder.decode(new Uint8Array(own.exports.memory.buffer, at, bytes));
    const ended = (at, bytes) => { throw new Error(seen(at, bytes)); };
    const system = new Proxy({}, { get: () => () => NOT_SERVED });
    const own = new WebAssembly.Instance(this.#module, { page: { ended }, wasi_snapshot_preview1: system });
    own.exports._initialize();
    const lay = (text) => {
      const bytes = encoder.encode(text);
      new Uint8Array(own.exports.memory.buffer).set(bytes, own.exports.room(bytes.length));
      return bytes.length;
    };
    own.exports.start(lay(this.#contents));
    this.#own = { lay, seen, exports: own.exports };
  }

  answer(question) {
    try {
      if (!this.#own) this.#begin();
      const { lay, seen, exports } = this.#own;
      const at = exports.answer(lay(question));
      return seen(at, exports.answer_bytes());
    } catch (error) {
      this.#own = null;
      if (error instanceof WebAssembly.RuntimeError)  // a requirement of the model does not hold; no words come out of it
        throw new Error("the model of the row ends at this setting; `sillion run` with it says why");
      throw error;
    }
  }
}

/// The bytes of a response that gzip packed.
export function unpacked(response) {
  return new Response(response.body.pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
}

/// The text of a question: its kind, and what is set.
export function asked(kind, pairs) {
  return `${kind}\n${pairs.map(([key, value]) => `${key}=${value}\n`).join("")}`;
}
