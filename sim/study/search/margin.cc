#include "sim/study/search/margin.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/bench/errors.h"
#include "sim/measure/tightness.h"
#include "sim/output/shown_units.h"
#include "sim/text/input_error.h"

namespace sim::search {
namespace {

constexpr double kFarthest_ratio = 10.0;
constexpr double kMissing_ratio = -1.0;

double margin_of_ratio(const measure::RequirementResult& one) {
  const double tightness_ratio = measure::tightness_ratio(one);
  if (std::isnan(tightness_ratio)) return kMissing_ratio;
  return std::clamp(tightness_ratio, -kFarthest_ratio, kFarthest_ratio);
}

std::string shown_value(const measure::RequirementResult& one, double value_si) {
  const output::Measure measure = output::measure_of(one.unit);
  return output::shown_plain(value_si, measure, output::Units::kMetric, 2);
}

}  // namespace

JudgedPass judged_pass(const run::RunResult& result, std::size_t own_faults) {
  JudgedPass judged;
  if (!result.record.fault.text.empty())
    return {PassState::kControllerFault, -kFarthest_ratio, "", result.record.fault.text};
  for (const int idle : result.record.idle_faults)
    if (static_cast<std::size_t>(idle) < own_faults)
      return {PassState::kNotServed, kFarthest_ratio, "",
              fmt::format("fault[{}] of the scenario itself never took effect", idle)};
  judged.idle_fault = !result.record.idle_faults.empty();
  const measure::Summary& summary = result.summary;
  bool holds = true;  // the tightest so far
  for (const measure::RequirementResult& one : summary.requirements) {
    if (!one.seen) continue;
    const double margin_ratio = margin_of_ratio(one);
    // A rule that is violated in a single instant has the margin 0, like one that is just held.
    const bool tighter = one.holds == holds ? margin_ratio < judged.margin_ratio : !one.holds;
    if (!tighter) continue;
    holds = one.holds;
    judged.margin_ratio = margin_ratio;
    judged.requirement = one.name;
    judged.words =
        fmt::format("limit {}, value {}", shown_value(one, one.limit), shown_value(one, one.value));
  }
  switch (summary.verdict) {
    case measure::Verdict::kFail: judged.state = PassState::kViolated; break;
    case measure::Verdict::kWrongSeed:
      judged.state = PassState::kViolated;
      judged.margin_ratio = std::min(judged.margin_ratio, kMissing_ratio);
      judged.requirement = "bands at their own seeds";
      judged.words = fmt::format("the bands follow seeds {} places away", summary.all.lag_seeds);
      break;
    case measure::Verdict::kNoData:
    case measure::Verdict::kNone:
      return {PassState::kNoData, kFarthest_ratio, "", "nothing to judge a requirement by"};
    case measure::Verdict::kHold: break;
  }
  return judged;
}

JudgedPass judge_scenario(const scenario::Scenario& scenario, std::size_t own_faults,
                          const std::atomic<bool>* stop) {
  run::RunOptions options{.watch = {}, .stop = stop};
  options.keep_fault = options.keep_idle_faults = true;
  try {
    return judged_pass(run::run_scenario(scenario, options), own_faults);
  } catch (const bench::ControllerError& error) {
    return {PassState::kControllerFault, -kFarthest_ratio, "", error.what()};
  } catch (const bench::BenchError& error) {
    return {PassState::kBenchFault, -kFarthest_ratio, "", error.what()};
  } catch (const text::InputError& error) {
    return {PassState::kNotServed, kFarthest_ratio, "", error.what()};
  }
}

const char* state_word(PassState state) {
  switch (state) {
    case PassState::kHeld: return "held";
    case PassState::kViolated: return "violated";
    case PassState::kNoData: return "no data";
    case PassState::kNotServed: return "not served";
    case PassState::kControllerFault: return "controller failed";
    case PassState::kBenchFault: return "bench failed";
  }
  return "";
}

}  // namespace sim::search
