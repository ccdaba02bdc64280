// The seeds of a plot of errors: their codes (sim/study/run/seed_codes.h) as figures, and in words.
import { withUnit } from "./pieces.js";

const DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
// digits of sim/study/run/seed_codes.h
const CODE = [4, 3, 2, 2, 1];

/// The line of seeds.csv of one seed, as far as the plot has it.
export function seedOf(panel, seed) {
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
export function seedLine(one) {
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
export function seedWords(one) {
  const [row, seed, ...more] = seedLine(one);
  return `Row ${row[1]}, seed ${seed[1]}` +
    more.map(([head, cell]) => `; ${head.toLowerCase()} ${cell}`).join("");
}
