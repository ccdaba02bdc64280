#include "sim/output/sentences.h"

#include <fmt/format.h>

#include <cmath>

#include "shared/units.h"
#include "sim/study/tune.h"

namespace sim {

std::string speed_words(double speed_mps, Units units) {
  return units == Units::kUs ? fmt::format("{:.1f} mph", speed_mps / shared::kMilePerHour_mps)
                             : fmt::format("{:.1f} km/h", speed_mps / shared::kKilometrePerHour_mps);
}

std::string break_even_sentence(const Summary& summary) {
  if (std::isnan(summary.break_even_scatter_m)) return "No band was measured, so nothing can be said about its margin.";
  if (summary.break_even_scatter_m <= 0.0) return "95 % within 10 mm is not reached: there is no margin for further scatter.";
  return fmt::format("95 % within 10 mm stands up to {:.1f} mm (sd) of further scatter below the sensor.",
                     summary.break_even_scatter_m * 1e3);
}

std::string run_sentence(const RunResult& result, Units units) {
  const Figures& all = result.summary.all;
  const std::string where = speed_words(judged_speed_mps(result.scenario), units);
  if (all.seeds.placed == 0) return "No seed was placed: nothing to judge.";
  if (result.scenario.rate.continuous)
    return fmt::format("{:.2f} ml of liquid on each metre of row at {}, as an unbroken stream",
                       all.applied_volume_m3 * 1e6 / std::max(1e-9, all.field_rate_m3pm2 > 0.0
                                                                        ? all.applied_volume_m3 / (all.field_rate_m3pm2 * result.scenario.row.width_m)
                                                                        : 1.0),
                       where);
  std::string sentence = fmt::format("{:.1f} % of sensed seeds ({:.1f} % of all placed) within 10 mm at {} and {:.0f} mm spacing",
                                     all.within[0].sensed_ratio * 100.0, all.within[0].placed_ratio * 100.0, where,
                                     result.scenario.seeding.meter.spacing_m * 1e3);
  if (result.summary.verdict == Verdict::kWrongSeed)
    sentence = fmt::format("Wrong seed: the bands follow the seeds {} places away. {}", all.lag_seeds, sentence);
  else if (result.summary.verdict == Verdict::kFail)
    sentence += ": a requirement is violated";
  else if (result.summary.verdict == Verdict::kHold)
    sentence += ": every requirement holds";
  if (!result.tuned.serves_rate)
    sentence += fmt::format("; the rate asks for {:.1f} ml/s a row and full pressure passes {:.1f}",
                            result.tuned.flow_m3ps * 1e6, result.tuned.largest_flow_m3ps * 1e6);
  return sentence;
}

std::string sweep_sentence(const SweepResult& result, Units units) {
  int good = 0, servable = 0;
  double fastest_mps = 0.0;
  for (const SweepCell& cell : result.cells) {
    if (!cell.servable) continue;
    ++servable;
    if (!(cell.summary.all.within[0].sensed_ratio >= 0.95)) continue;
    ++good;
    fastest_mps = std::max(fastest_mps, judged_speed_mps(cell.scenario));
  }
  return fmt::format("{} of {} cells keep 95 % of sensed seeds within 10 mm{}; {} cannot be served", good,
                     result.cells.size(),
                     good > 0 ? fmt::format(", the fastest at {}", speed_words(fastest_mps, units)) : "",
                     static_cast<int>(result.cells.size()) - servable);
}

}  // namespace sim
