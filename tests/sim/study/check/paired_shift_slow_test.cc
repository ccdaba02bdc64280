// The rates that the comparison of two builds promises, with the promised number of passes: 200
// comparisons of a build with itself on other seeds raise at most 1 % alarms, and a planted 0.5 mm
// is found in at least 95 of 100. Every comparison has passes of its own.
#include <gtest/gtest.h>

#include "tests/sim/study/check/paired_passes.h"

namespace sim::check {
namespace {

constexpr std::size_t kRuns = 8;

int alarms_of(std::size_t comparisons, bool other_seeds, double shift_m) {
  const sim_test::PairedPasses passes;
  std::uint64_t key = 1000;
  int alarms = 0;
  for (std::size_t c = 0; c < comparisons; ++c) {
    std::vector<std::vector<double>> sides[2];
    for (std::size_t run = 0; run < kRuns; ++run) {
      sides[0].push_back(passes.figures_si(key++, 0.0));
      sides[1].push_back(passes.figures_si(other_seeds ? key++ : key - 1, shift_m));
    }
    alarms += sim_test::alarms(paired_shifts(sides[0], sides[1], margins_of_si(Suite{})));
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
}  // namespace sim::check
