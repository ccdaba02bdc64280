#include "sim/study/run/sentences.h"

#include <algorithm>
#include <cmath>

#include "sim/output/shown_units.h"
#include "sim/study/tune/tune.h"
#include "sim/study/tune/valve_opens.h"

namespace sim::run {
namespace {

// The goal's tolerance is a whole number of millimetres; people who read inches get both units.
std::string tolerance_words(output::Units units) {
  return units == output::Units::kUs
             ? "10 mm (" + output::shown(0.010, output::Measure::kPlace, units) + ")"
             : "10 mm";
}

std::string spacing_words(const scenario::Scenario& scenario, output::Units units) {
  return output::shown_plain(scenario.seeding.meter.spacing_m, output::Measure::kPlace, units);
}

std::string where_words(const scenario::Scenario& scenario, output::Units units) {
  const std::string speed = speed_words(tune::judged_speed_mps(scenario), units);
  return (scenario.travel.profile.empty() ? " at " : " at up to ") + speed + " and " +
         spacing_words(scenario, units);
}

std::string verdict_words(const measure::Summary& summary) {
  const auto& requirements = summary.requirements;
  const auto broken =
      std::count_if(requirements.begin(), requirements.end(),
                    [](const measure::RequirementResult& one) { return one.seen && !one.holds; });
  switch (summary.verdict) {
    case measure::Verdict::kHold: return "; every requirement holds";
    case measure::Verdict::kFail:
      return "; " + std::to_string(broken) + " of " + std::to_string(requirements.size()) +
             (requirements.size() == 1 ? " requirement" : " requirements") +
             (broken == 1 ? " is violated" : " are violated");
    case measure::Verdict::kWrongSeed: {
      const int lag = std::abs(summary.all.lag_seeds);
      return "; wrong seed: the bands follow the seeds " + std::to_string(lag) +
             (lag == 1 ? " place" : " places") + " away, so no error here means anything";
    }
    case measure::Verdict::kNone: return "; no requirement was stated";
    case measure::Verdict::kNoData:
      return "; a requirement found nothing to judge, so there is no verdict";
  }
  return "";
}

}  // namespace

std::string goal_share(double share_ratio) {
  return output::shown_beside(share_ratio, kGoal_ratio, output::Measure::kShare,
                              output::Units::kMetric);
}

std::string within_words(const measure::Summary& summary, output::Units units) {
  return goal_share(summary.all.within[0].sensed_ratio) + " of sensed seeds within " +
         tolerance_words(units);
}

const char* requirement_word(const measure::RequirementResult& requirement) {
  if (!requirement.seen) return "no data";
  return requirement.holds ? "holds" : "violated";
}

std::string margin_words(double margin_si, output::Measure measure, output::Units units) {
  const std::string text = output::shown_beside(margin_si, 0.0, measure, units);
  return margin_si > 0.0 ? "+" + text : text;
}

std::string goal_words(output::Units units) {
  return "The goal, 95 % of sensed seeds within " + tolerance_words(units) + ",";
}

std::string within_sentence(const measure::Summary& summary, const scenario::Scenario& scenario,
                            output::Units units) {
  return within_words(summary, units) + where_words(scenario, units) + " (" +
         goal_share(summary.all.within[0].placed_ratio) + " of all placed)";
}

std::string speed_words(double speed_mps, output::Units units) {
  return output::shown_plain(speed_mps, output::Measure::kSpeed, units);
}

namespace {

/// If nothing was laid because the valve never opens, the sentence says that first.
std::string closed_words(const RunResult& result, output::Units units) {
  const measure::Figures& all = result.summary.all;
  if (all.applied_volume_m3 > 0.0 || all.seeds.sensed == 0 || !result.scenario.work.lowered ||
      tune::valve_opens(result.scenario, result.tuned.pressure_pa))
    return "";
  return "The valve cannot open at " +
         output::shown(result.scenario.supply.voltage_v, output::Measure::kVoltage, units) +
         " and " + output::shown(result.tuned.pressure_pa, output::Measure::kPressure, units) +
         ", so nothing was laid; ";
}

}  // namespace

std::string run_sentence(const RunResult& result, output::Units units, const ReportExtras& extras) {
  const measure::Figures& all = result.summary.all;
  if (all.seeds.placed == 0) return "No seed was placed: nothing to judge";
  std::string sentence = closed_words(result, units);
  if (result.scenario.rate.continuous)
    sentence += output::shown(all.field_rate_m3pm2, output::Measure::kRate, units) +
                " as an unbroken stream" + where_words(result.scenario, units);
  else
    sentence +=
        within_sentence(result.summary, result.scenario, units) + verdict_words(result.summary);
  if (!result.tuned.serves_rate)
    sentence += "; the rate asks for " +
                output::shown(result.tuned.flow_m3ps, output::Measure::kFlow, units) +
                " per row and full pressure passes " +
                output::shown(result.tuned.largest_flow_m3ps, output::Measure::kFlow, units);
  for (const ReportExtra& extra : extras) sentence += extra.words;
  return sentence;
}

std::string break_even_sentence(const measure::Summary& summary, output::Units units) {
  const double scatter_m = summary.break_even_scatter_m;
  const std::string goal = goal_words(units);
  if (!std::isfinite(scatter_m))
    return "How much further scatter the goal tolerates is not known: no seed was sensed.";
  if (scatter_m <= 0.0) return goal + " is not reached: there is no room for further scatter.";
  return goal + " tolerates up to " + output::shown(scatter_m, output::Measure::kPlace, units) +
         " (sd) of further scatter below the sensor.";
}

}  // namespace sim::run
