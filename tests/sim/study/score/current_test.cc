// The opening that is read from a coil's recorded current is the pass's own.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <string>

#include "sim/scenario/loader.h"
#include "sim/study/score/current_dip.h"
#include "sim/study/score/score.h"
#include "sim/study/score/stimulus.h"
#include "sim/text/input_error.h"
#include "tests/support/run_program.h"

namespace {

using sim::score::CurrentDip;

/// A current that rises, dips and rises again: straight lines with corners at 3 ms and 4 ms.
double made_current_a(double at_s) {
  if (at_s < 3e-3) return 500.0 * at_s;
  if (at_s < 4e-3) return 1.5 - 300.0 * (at_s - 3e-3);
  return std::min(2.0, 1.2 + 400.0 * (at_s - 4e-3));
}

double stop_read_s(double step_s, double begun_s, double (*current_a)(double)) {
  CurrentDip dip;
  for (double at_s = begun_s; at_s < 0.0; at_s += step_s) dip.take(0.0, 1.0 + at_s);
  dip.begin(1.0);
  double last_s = begun_s;
  while (last_s < 0.0) last_s += step_s;
  for (double at_s = last_s; at_s < 9e-3; at_s += step_s) dip.take(current_a(at_s), 1.0 + at_s);
  return dip.end(1.009).stop_s - 1.0;
}

// The corner of two straight lines lies where they meet, whatever the samples' distance and place.
TEST(CurrentDip, TheCornerOfStraightLinesIsWhereTheyMeet) {
  for (const double step_s : {5e-6, 20e-6, 50e-6, 100e-6, 150e-6})
    for (const double begun_s : {-2.0 * step_s, -1.6 * step_s, -1.3 * step_s})
      EXPECT_NEAR(stop_read_s(step_s, begun_s, made_current_a), 4e-3, 0.34 * step_s + 1e-6)
          << step_s << " " << begun_s;
}

TEST(CurrentDip, WithoutADipNothingIsSeen) {
  const auto smooth = [](double at_s) { return 2.0 * (1.0 - std::exp(-at_s / 2e-3)); };
  EXPECT_TRUE(std::isnan(stop_read_s(50e-6, -1e-4, smooth)));
  EXPECT_TRUE(std::isnan(stop_read_s(200e-6, -4e-4, made_current_a)));  // too coarse
}

sim::scenario::Scenario scenario_of(const std::string& file) {
  return sim::scenario::load_scenario(
      std::string(SILLION_SOURCE_DIR) + "/scenarios/" + file,
      {"duration=3 s", "row.count=1", "sensor.missed=0 %", "sensor.doubled=0 %",
       "sensor.jitter=0 ms", "seeding.doubles=0 %", "controller.row_trim=false"});
}

sim::score::Score scored(const sim::scenario::Scenario& scenario, const sim::score::Pins& pins) {
  const support::ScratchFolder folder;
  const std::string path = (folder.path() / "pins.csv").string();
  std::ofstream(path) << sim::score::pins_csv(pins);
  const auto reader = sim::score::open_capture(path, {});
  return sim::score::score_of(scenario, *reader, {.folder = folder.path()});
}

// stimulus -> table with current -> score: the opening in the current is that of the same pulse in
// the pass that scores it, which is the same pass. Between two steps of the plant (50 us) its
// current is a straight line, so the corner is there to half a step, and read to a sample.
TEST(Current, TheOpeningReadIsThatOfThePass) {
  const sim::scenario::Scenario scenario = scenario_of("demo.toml");
  for (const std::int64_t step_ns : {20'000, 100'000}) {
    const sim::score::Pins pins =
        sim::score::stimulus_of(scenario, {.drives = true, .current_step_ns = step_ns});
    const sim::score::Score score = scored(scenario, pins);
    ASSERT_EQ(score.openings.size(), 1u);
    const sim::score::OpeningFigures& row = score.openings[0];
    std::printf(
        "a sample every %g us: %lld of %lld seen, off by %.1f us in the mean, at most %.1f\n",
        1e-3 * static_cast<double>(step_ns), row.seen, row.pulses,
        row.later_s.moments().mean() * 1e6, row.later_s.spread().max_abs_m * 1e6);
    EXPECT_NEAR(score.current_step_s, 1e-9 * static_cast<double>(step_ns), 1e-12);
    EXPECT_GT(row.pulses, 40);
    EXPECT_GE(row.seen, row.pulses * 95 / 100);
    EXPECT_LE(row.later_s.spread().max_abs_m, 25e-6 + 1e-9 * static_cast<double>(step_ns));
    EXPECT_LE(std::abs(row.later_s.moments().mean()), 10e-6);
    EXPECT_GT(row.opening_s.quantile(0.5), 0.5e-3);
  }
}

TEST(Current, ATooCoarseRecordingSaysSo) {
  const sim::scenario::Scenario scenario = scenario_of("demo.toml");
  const sim::score::Score score = scored(
      scenario, sim::score::stimulus_of(scenario, {.drives = true, .current_step_ns = 500'000}));
  EXPECT_EQ(score.openings.at(0).seen, 0);
  const auto lines = sim::score::recording_lines(score, sim::output::Units::kMetric);
  EXPECT_TRUE(std::any_of(lines.begin(), lines.end(), [](const std::string& line) {
    return line.find("a sample every 500 us is too coarse") != std::string::npos;
  }));
}

}  // namespace
