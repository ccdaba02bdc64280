// Short noisy passes of rows with fixed delays, tuned once: they give the figures of two builds
// without building two. A planted shift is added to the table's distance.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "sim/bench/pass.h"
#include "sim/bench/random.h"
#include "sim/study/check/paired_shift.h"
#include "sim/study/tune/tune.h"
#include "tests/sim/demo_scenario.h"

namespace sim_test {

class PairedPasses {
 public:
  PairedPasses()
      : scenario_(demo({"row.physics=ideal", "row.count=2", "seeds=60", "controller.row_trim=false",
                        "require=[]"})),
        tuned_(sim::tune::tune(scenario_)) {}
  /// By judged_metrics(), for the pass with that key.
  std::vector<double> figures_si(std::uint64_t key, double shift_m) const {
    sim::scenario::Scenario scenario = scenario_;
    scenario.rng_key = sim::bench::replica_key(7, key);
    sillion_attachment_table table = tuned_.table;
    table.delay_distance_um += static_cast<std::int32_t>(std::lround(shift_m * 1e6));
    table.check_sum = 0;
    sim::bench::PassRecord record = sim::bench::run_pass(scenario, table, {});
    return sim::check::judged_values_si(
        sim::measure::summarize(record.rows, scenario, record.simulated_s));
  }

 private:
  sim::scenario::Scenario scenario_;
  sim::tune::TunedTable tuned_;
};

inline bool alarms(const std::vector<sim::check::MetricShift>& shifts) {
  return std::any_of(shifts.begin(), shifts.end(), [](const sim::check::MetricShift& one) {
    return one.verdict == sim::check::ShiftVerdict::kShifted;
  });
}

}  // namespace sim_test
