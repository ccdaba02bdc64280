#include "sim/output/sentences.h"

#include <algorithm>
#include <cmath>

#include "sim/output/axis_value.h"
#include "sim/output/shown_units.h"
#include "sim/study/tune.h"

namespace sim {
namespace {

constexpr double kGoal_ratio = 0.95;

std::string share_words(double share_ratio) {
  return shown(share_ratio, Measure::kShare, Units::kMetric);
}

// The goal's tolerance is a whole number of millimetres; a person who reads inches sees both.
std::string tolerance_words(Units units) {
  return units == Units::kUs ? "10 mm (" + shown(0.010, Measure::kPlace, units) + ")" : "10 mm";
}

std::string spacing_words(const Scenario& scenario, Units units) {
  return shown_plain(scenario.seeding.meter.spacing_m, Measure::kPlace, units);
}

std::string where_words(const Scenario& scenario, Units units) {
  const std::string speed = speed_words(judged_speed_mps(scenario), units);
  return (scenario.travel.profile.empty() ? " at " : " at up to ") + speed + " and " +
         spacing_words(scenario, units);
}

std::string verdict_words(const Summary& summary) {
  const auto& requirements = summary.requirements;
  const auto broken =
      std::count_if(requirements.begin(), requirements.end(),
                    [](const RequirementResult& one) { return one.seen && !one.holds; });
  switch (summary.verdict) {
    case Verdict::kHold: return "; every requirement holds";
    case Verdict::kFail:
      return "; " + std::to_string(broken) + " of " + std::to_string(requirements.size()) +
             (requirements.size() == 1 ? " requirement" : " requirements") +
             (broken == 1 ? " is violated" : " are violated");
    case Verdict::kWrongSeed: {
      const int lag = std::abs(summary.all.lag_seeds);
      return "; wrong seed: the bands follow the seeds " + std::to_string(lag) +
             (lag == 1 ? " place" : " places") + " away, so no error here means anything";
    }
    case Verdict::kNone: return "; no requirement was stated";
    case Verdict::kNoData: return "; a requirement met nothing to judge, so there is no verdict";
  }
  return "";
}

}  // namespace

std::string within_sentence(const Summary& summary, const Scenario& scenario, Units units) {
  const WithinTolerance& within = summary.all.within[0];
  return share_words(within.sensed_ratio) + " of sensed seeds within " + tolerance_words(units) +
         where_words(scenario, units) + " (" + share_words(within.placed_ratio) + " of all placed)";
}

std::string speed_words(double speed_mps, Units units) {
  return shown_plain(speed_mps, Measure::kSpeed, units);
}

std::string run_sentence(const RunResult& result, Units units, const ReportExtras& extras) {
  const Figures& all = result.summary.all;
  if (all.seeds.placed == 0) return "No seed was placed: nothing to judge";
  std::string sentence;
  if (result.scenario.rate.continuous)
    sentence = shown(all.field_rate_m3pm2, Measure::kRate, units) + " as an unbroken stream" +
               where_words(result.scenario, units);
  else
    sentence =
        within_sentence(result.summary, result.scenario, units) + verdict_words(result.summary);
  if (!result.tuned.serves_rate)
    sentence += "; the rate asks for " + shown(result.tuned.flow_m3ps, Measure::kFlow, units) +
                " a row and full pressure passes " +
                shown(result.tuned.largest_flow_m3ps, Measure::kFlow, units);
  for (const ReportExtra& extra : extras) sentence += extra.words;
  return sentence;
}

std::string break_even_sentence(const Summary& summary, Units units) {
  const double scatter_m = summary.break_even_scatter_m;
  const std::string goal = "The goal, 95 % of sensed seeds within " + tolerance_words(units) + ",";
  if (!std::isfinite(scatter_m))
    return "How much further scatter the goal stands is not known: no seed was sensed.";
  if (scatter_m <= 0.0) return goal + " is not reached: there is no room for further scatter.";
  return goal + " stands up to " + shown(scatter_m, Measure::kPlace, units) +
         " (sd) of further scatter below the sensor.";
}

std::string sweep_sentence(const SweepResult& result, Units units) {
  std::size_t good = 0, unservable = 0, failed = 0;
  for (const SweepCell& cell : result.cells) {
    failed += cell.failed() ? 1 : 0;
    if (!cell.servable)
      ++unservable;
    else if (cell.summary.all.within[0].sensed_ratio >= kGoal_ratio)
      ++good;
  }
  std::string sentence;
  if (!result.shown.record.rows.empty())
    sentence = within_sentence(result.shown.summary, result.shown.scenario, units) + "; ";
  sentence += std::to_string(good) + " of " + std::to_string(result.cells.size()) +
              (result.sampling == Sampling::kGrid ? " cells reach 95 %" : " samples reach 95 %");
  if (unservable > 0)
    sentence += ", " + std::to_string(unservable) + " cannot be served with their outlet offset";
  if (failed > 0) sentence += ", " + std::to_string(failed) + " failed";
  return sentence;
}

std::string sweep_margin_sentence(const SweepResult& result, Units units) {
  double least_m = kNone_ratio, most_m = kNone_ratio;
  for (const SweepCell& cell : result.cells) {
    const double more_m = break_even_m(cell);
    if (!cell.served() || !(more_m > 0.0)) continue;
    least_m = std::isfinite(least_m) ? std::min(least_m, more_m) : more_m;
    most_m = std::isfinite(most_m) ? std::max(most_m, more_m) : more_m;
  }
  std::string sentence = break_even_sentence(result.shown.summary, units);
  if (std::isfinite(least_m))
    sentence +=
        " Over the cells that reach it: " +
        shown_number(least_m, shown_unit(Measure::kPlace, units), units == Units::kUs ? 2 : 1) +
        " to " + shown(most_m, Measure::kPlace, units) + ".";
  return sentence;
}

}  // namespace sim
