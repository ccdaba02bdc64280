#include "sim/study/run/line_words.h"

#include <fmt/format.h>

namespace sim::run {
namespace {

/// Differences of a few hundredths of a millimetre need a second digit.
std::string place(double value_m, output::Units units) {
  return units == output::Units::kUs ? fmt::format("{:.4f} in", value_m / shared::kInch_m)
                                     : fmt::format("{:.2f} mm", 1e3 * value_m);
}

std::string share(double value_ratio) { return fmt::format("{:.2f} %", 100.0 * value_ratio); }

std::string places_of(const model::SolverParams& solver) {
  if (solver.form == model::LineForm::kDense)
    return "in every cell of both lines, with all terms of its memory";
  return fmt::format(
      "at up to {} places of the hose and {} of the tube, with {} terms of its memory",
      solver.hose_stations, solver.tube_stations, solver.kernel_terms);
}

std::string off_words(const bench::BandDifference& off, output::Units units) {
  return fmt::format("{} (root mean square; {} at most) and doses by {}",
                     place(off.places_m, units), place(off.largest_m, units),
                     share(off.dose_ratio));
}

}  // namespace

std::string step_words(const bench::FormChoice& form, output::Units units) {
  if (!form.judged || !form.depends_on_step()) return "";
  return fmt::format(
      "The bands of this row depend on the time step: with a step twice as long they move by {} "
      "even where friction acts in every cell{}. No place of a band is known more closely than "
      "that.",
      off_words(form.own, units),
      form.vapour ? ", because vapour opens and closes in the lines" : "");
}

std::string line_words(const bench::FormChoice& form, output::Units units) {
  std::string words = "Lines: friction acts " + places_of(form.solver) + ".";
  if (!form.judged) return words;
  const bool asked =
      form.solver.form == model::LineForm::kFast &&
      (form.longer_step() ? form.usual_step : form.taken).places_m == form.asked.places_m;
  if (form.solver.form == model::LineForm::kDense)
    words +=
        " Every faster form was too coarse for this row: with the usual number of places the "
        "bands of a short train would move by " +
        off_words(form.asked, units) + ".";
  else
    words += " Against friction in every cell, the bands of a short train of this row move by " +
             off_words(form.taken, units) +
             (asked ? "."
                    : "; with the usual number of places by " + off_words(form.asked, units) + ".");
  if (form.longer_step())
    words += fmt::format(
        " The time step is up to {:.0f} µs long, the longest with which they stay within {}; with "
        "a "
        "step of {:.0f} µs they move by {}.",
        1e-3 * static_cast<double>(form.solver.step_ns), place(bench::FormChoice::kPlace_m, units),
        1e-3 * static_cast<double>(form.usual_step_ns), off_words(form.usual_step, units));
  const std::string step = step_words(form, units);
  return step.empty() ? words : words + " " + step;
}

}  // namespace sim::run
