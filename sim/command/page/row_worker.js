// The row's module on a thread of its own, so that the page stays at hand while it computes.
// In: {module} once, {contents} as often as they change, {serial, question}. Out: {serial, text} or
// {serial, error}.
import { Row } from "./row.js";

let module = null, row = null;

onmessage = ({ data }) => {
  if (data.module) ({ module } = data);
  if (data.contents) row = new Row(module, data.contents);
  if (!data.question) return;
  const begun_ms = performance.now();
  try {
    const text = row.answer(data.question);
    postMessage({ serial: data.serial, text, took_ms: performance.now() - begun_ms });
  } catch (error) {
    postMessage({ serial: data.serial, error: error.message });
  }
};
