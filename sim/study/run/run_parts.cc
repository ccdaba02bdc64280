#include "sim/study/run/run_parts.h"

#include <algorithm>

#include "sim/study/tune/strip_trim.h"
#include "sim/study/tune/tune.h"

namespace sim::run {
namespace {

/// Approximate simulated row-seconds of the trains on which a table is tuned.
constexpr double kTableRowTime_s = 30.0;
/// Approximate duration of a pass before its first seed and after its last one.
constexpr double kPassEnds_s = 2.5;

double row_time_s(const scenario::Scenario& pass) {
  const double speed_mps = std::max(tune::judged_speed_mps(pass), 0.1);
  const double lasts_s = pass.duration_s > 0.0
                             ? pass.duration_s
                             : pass.seeds * pass.seeding.meter.spacing_m / speed_mps + kPassEnds_s;
  return lasts_s * pass.row.count;
}

}  // namespace

RunParts parts_of_run(const scenario::Scenario& scenario) {
  const double strip_s =
      scenario.controller.row_trim ? row_time_s(tune::strip_scenario(scenario)) : 0.0;
  const double all_s = kTableRowTime_s + strip_s + row_time_s(scenario);
  return {.strip_from_ratio = kTableRowTime_s / all_s,
          .pass_from_ratio = (kTableRowTime_s + strip_s) / all_s};
}

std::string_view part_under_way(const RunParts& parts, double done_ratio) {
  if (done_ratio < parts.strip_from_ratio) return "delay table";
  return done_ratio < parts.pass_from_ratio ? "strip test" : "pass";
}

}  // namespace sim::run
