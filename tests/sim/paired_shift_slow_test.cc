// The rates that the comparison of two builds promises, at the size at which they are promised: 200
// comparisons of a build with itself on other seeds raise at most 1 % alarms, and a planted 0.5 mm
// is found in at least 95 of 100. Every comparison has passes of its own.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "sim/bench/pass.h"
#include "sim/bench/random.h"
#include "sim/study/paired_shift.h"
#include "sim/study/tune.h"
#include "tests/sim/demo_scenario.h"

namespace sim {
namespace {

constexpr std::size_t kRuns = 8;

int alarms_of(std::size_t comparisons, bool other_seeds, double shift_m) {
  const Scenario base = sim_test::demo(
      {"row.physics=ideal", "row.count=2", "seeds=60", "controller.row_trim=false", "require=[]"});
  const TunedTable tuned = tune(base);
  std::uint64_t key = 0;
  const auto figures_si = [&](std::uint64_t of, double by_m) {
    Scenario scenario = base;
    scenario.rng_key = replica_key(11, of);
    sillion_attachment_table table = tuned.table;
    table.delay_distance_um += static_cast<std::int32_t>(std::lround(by_m * 1e6));
    table.check_sum = 0;
    PassRecord record = run_pass(scenario, table, {});
    return judged_values_si(summarize(record.rows, scenario, record.simulated_s));
  };
  int alarms = 0;
  for (std::size_t c = 0; c < comparisons; ++c) {
    std::vector<std::vector<double>> sides[2];
    for (std::size_t run = 0; run < kRuns; ++run) {
      sides[0].push_back(figures_si(key++, 0.0));
      sides[1].push_back(figures_si(other_seeds ? key++ : key - 1, shift_m));
    }
    const auto shifts = paired_shifts(sides[0], sides[1], margins_of_si(Suite{}));
    alarms += std::any_of(shifts.begin(), shifts.end(), [](const MetricShift& one) {
      return one.verdict == ShiftVerdict::kShifted;
    });
  }
  return alarms;
}

TEST(PairedShiftRates, TwoHundredComparisonsWithItself) {
  const int alarms = alarms_of(200, true, 0.0);
  RecordProperty("false_alarms_of_200", alarms);
  EXPECT_LE(alarms, 2);
}

TEST(PairedShiftRates, AHundredPlantedHalfMillimetres) {
  const int found = alarms_of(100, false, 0.5e-3);
  RecordProperty("found_of_100", found);
  EXPECT_GE(found, 95);
}

}  // namespace
}  // namespace sim
