#include "sim/study/sweep/precision.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "sim/output/json_text.h"
#include "sim/output/shown_units.h"
#include "sim/study/run/plots.h"
#include "sim/study/sweep/cell_maps.h"

namespace sim::sweep {
namespace {

using Json = nlohmann::ordered_json;

std::string watched(double value_si, const SweepResult& result, output::Units units) {
  return output::shown(value_si, output::measure_of(result.stop.unit), units);
}

// The half width was entered by a person, so it is shown with as many digits as it needs.
std::string wanted(const SweepResult& result, output::Units units) {
  return "± " + output::shown_plain(result.stop.plan.half_width_si,
                                    output::measure_of(result.stop.unit), units, 1);
}

std::string counted(int count, const char* one, const char* many) {
  return std::to_string(count) + " " + (count == 1 ? one : many);
}

const char* state_word(StopState state) {
  return state == StopState::kEnough ? "enough" : "not enough";
}

std::string place_words(const SweepResult& result) {
  return result.sampling == scenario::Sampling::kGrid ? "cell" : "combination of the listed axes";
}

}  // namespace

std::string observed_words(const SweepResult& result, int count) {
  if (result.stop.observed == "pass") return counted(count, "pass", "passes");
  if (result.stop.observed == "sample") return counted(count, "sample", "samples");
  return counted(count, "net", "nets") + " of " + std::to_string(result.stop.per_observation) +
         " samples";
}

nlohmann::ordered_json stop_fields(const SweepResult& result) {
  const StopPlan& plan = result.stop.plan;
  return {{"metric", result.stop.metric},
          {"unit", result.stop.unit},
          {"half_width", output::number_or_null(plan.half_width_si)},
          {"observed", result.stop.observed},
          {"samples_of_an_observation", result.stop.per_observation},
          {"batch", plan.batch},
          {"most", plan.most},
          {"looks", looks_of(plan)},
          {"confidence_of_a_look_ratio", output::number_or_null(1.0 - look_miss_ratio(plan))}};
}

nlohmann::ordered_json precision_fields(const SweepResult& result, const SweepPrecision& one) {
  Json held = Json::object();
  for (std::size_t axis = 0; axis < result.axes.size(); ++axis)
    if (!one.held[axis].empty()) held[result.axes[axis].key] = one.held[axis];
  Json fields = {{"held", held},
                 {"first_cell", one.first_cell},
                 {"cells", one.cells},
                 {"observations", one.observations},
                 {"not_servable", one.not_served},
                 {"mean", output::number_or_null(one.interval.mean_si)},
                 {"low95", output::number_or_null(one.interval.low_si)},
                 {"high95", output::number_or_null(one.interval.high_si)},
                 {"half_width", output::number_or_null(one.interval.half_width_si)},
                 {"state", state_word(one.state)},
                 {"needed", one.needed > 0 ? Json(one.needed) : Json()}};
  if (one.failed > 0) fields["failed"] = one.failed;
  return fields;
}

std::string precision_words(const SweepResult& result, const SweepPrecision& one,
                            output::Units units) {
  if (one.observations == 0) return one.failed > 0 ? "failed" : "nothing was served";
  if (one.state == StopState::kEnough)
    return result.stop.plan.most > 0 ? "enough: stopped by the interval" : "enough";
  const std::string cap =
      result.stop.plan.most > 0 ? "not enough, stopped by the cap" : "not enough";
  if (one.observations == 1) return cap + ": one " + result.stop.observed + " has no interval";
  if (one.needed == 0) return cap + ": a value is missing";
  return cap + ": about " + observed_words(result, std::max(1, one.needed - one.observations)) +
         " more needed for " + wanted(result, units);
}

std::string stop_sentence(const SweepResult& result, output::Units units) {
  const StopPlan& plan = result.stop.plan;
  const int looks = looks_of(plan);
  std::string text = "Watched: the mean of " + result.stop.metric + " in each " +
                     place_words(result) + ", wanted to " + wanted(result, units) +
                     ". One observation is a " + result.stop.observed +
                     "; Student's interval over them, for a share of seeds never narrower than "
                     "Wilson's of the pooled counts.";
  if (plan.most == 0)
    return text + " Nothing was added; `stop` with `most` adds until it is enough.";
  text += " Batches of " + observed_words(result, plan.batch) + ", at most " +
          observed_words(result, plan.most) + ".";
  return text + " " + std::to_string(looks) + (looks == 1 ? " look is" : " looks are") +
         " planned, so each is taken at " +
         output::shown(1.0 - look_miss_ratio(plan), output::Measure::kShare, output::Units::kMetric,
                       2) +
         " (Bonferroni): the interval at which it stops holds with 95 % or more.";
}

std::string precision_sentence(const SweepResult& result, output::Units units) {
  int enough = 0;
  for (const SweepPrecision& one : result.precision) enough += one.state == StopState::kEnough;
  return result.stop.metric + " to " + wanted(result, units) + ": enough in " +
         std::to_string(enough) + " of " + std::to_string(result.precision.size()) +
         (result.sampling == scenario::Sampling::kGrid ? " cells" : " combinations");
}

output::Table precision_table(const SweepResult& result, output::Units units) {
  output::Table table{"", {}, {}, 0};
  for (const SweepAxis& axis : result.axes)
    if (axis.drawn.empty()) table.head.push_back(axis_words(axis.key));
  table.words = table.head.size();
  for (const char* head : {"Mean", "95 % interval", "Observed", "Enough?"})
    table.head.emplace_back(head);
  for (const SweepPrecision& one : result.precision) {
    std::vector<std::string> line;
    for (std::size_t axis = 0; axis < result.axes.size(); ++axis)
      if (result.axes[axis].drawn.empty()) line.push_back(one.held[axis]);
    line.push_back(watched(one.interval.mean_si, result, units));
    line.push_back(std::isfinite(one.interval.low_si)
                       ? watched(one.interval.low_si, result, units) + " to " +
                             watched(one.interval.high_si, result, units)
                       : "none");
    line.push_back(
        observed_words(result, one.observations) +
        (one.not_served > 0 ? ", " + std::to_string(one.not_served) + " not servable" : "") +
        (one.failed > 0 ? ", " + std::to_string(one.failed) + " failed" : ""));
    line.push_back(precision_words(result, one, units));
    table.lines.push_back(line);
  }
  return table;
}

}  // namespace sim::sweep
