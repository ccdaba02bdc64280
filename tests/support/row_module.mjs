// The row's module under node, as a page runs it (sim/command/page/row.js).
//
//   node row_module.mjs answer row.wasm CONTENTS QUESTION     prints the answer
//   node row_module.mjs turns row.wasm CONTENTS QUESTION      for every line that comes in, one answer: its processor time in s
//   node row_module.mjs digests functions.wasm COUNT          prints a digest per function (sim/command/browser/function_probe.h)
import { readFileSync } from "node:fs";
import { createInterface } from "node:readline";

const [kind, file, ...rest] = process.argv.slice(2);
const module = await WebAssembly.compile(readFileSync(file));

if (kind === "digests") {
  const { exports } = new WebAssembly.Instance(module);
  for (let which = 0; which < 11; ++which)
    console.log(BigInt.asUintN(64, exports.digest(which, 0n, BigInt(rest[0]))).toString(16).padStart(16, "0"));
} else {
  const script = readFileSync(new URL("../../sim/command/page/row.js", import.meta.url), "utf8");
  const { Row } = await import("data:text/javascript," + encodeURIComponent(script));
  const row = new Row(module, readFileSync(rest[0], "utf8"));
  const question = rest[1].replaceAll("\\n", "\n");
  if (kind === "answer") {
    process.stdout.write(row.answer(question));
  } else {
    for await (const _ of createInterface({ input: process.stdin })) {
      const before = process.cpuUsage();
      row.answer(question);
      const { user, system } = process.cpuUsage(before);
      console.log((user + system) / 1e6);
    }
  }
}
