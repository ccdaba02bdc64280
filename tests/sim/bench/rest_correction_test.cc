// What the delay table's correction by the time since the last closing is worth in mm: an even
// train of 30 bands per second (4.5 m/s, 150 mm), the same table with and without it.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>
#include <utility>

#include "sim/bench/pass.h"
#include "sim/study/tune/tune.h"
#include "tests/sim/demo_scenario.h"

namespace {

struct Ends {
  double start_mm = 0.0, end_mm = 0.0, centre_mm = 0.0;
};

/// How far the bands' ends and middles lie ahead of where they belong, in the mean.
Ends off_of(const sim::scenario::Scenario& scenario, const sillion_attachment_table& table) {
  const sim::bench::PassRecord record = sim::bench::run_pass(scenario, table, {});
  const auto& row = record.rows.front();
  const double half_m = 0.5 * scenario.rate.band_length_m;
  Ends off;
  double seen_ratio = 0.0;  // a count
  for (std::size_t k = 20; k + 20 < row.bands.size(); ++k) {
    const auto& band = row.bands[k];
    const auto nearest =
        std::min_element(row.seeds.begin(), row.seeds.end(), [&](const auto& a, const auto& b) {
          return std::abs(a.rest_x_ground_m - band.centre_x_ground_m) <
                 std::abs(b.rest_x_ground_m - band.centre_x_ground_m);
        });
    const double seed_m = nearest->rest_x_ground_m;
    off.start_mm += 1e3 * (band.start_x_ground_m - (seed_m - half_m));
    off.end_mm += 1e3 * (band.end_x_ground_m - (seed_m + half_m));
    off.centre_mm += 1e3 * (band.centre_x_ground_m - seed_m);
    seen_ratio += 1.0;
  }
  return {off.start_mm / seen_ratio, off.end_mm / seen_ratio, off.centre_mm / seen_ratio};
}

struct Gain {
  Ends with, without;
};
Gain gain_of(const std::string& attachment, const std::string& file) {
  sim::scenario::Scenario scenario = sim_test::quiet_demo(
      {"row.count=1", "seeds=100", "travel.speed=4.5 m/s", "attachment.name=\"" + attachment + "\"",
       "controller.delay=table", "controller.table=\"catalog/attachments/" + file + "\""});
  const sillion_attachment_table table = sim::tune::tune(scenario).table;
  const Ends with = off_of(scenario, table);
  scenario.controller.rest_correction = false;
  const Gain gain{with, off_of(scenario, table)};
  for (const auto& [words, off] : {std::pair{"with   ", gain.with}, {"without", gain.without}})
    std::printf("%-10s %s the rest correction: start %+.2f mm, end %+.2f mm, centre %+.2f mm\n",
                attachment.c_str(), words, off.start_mm, off.end_mm, off.centre_mm);
  return gain;
}

// A tube that rings long: what the closing before has left in the column brings the liquid late:
// its band lies ahead.
TEST(RestCorrection, ALongTubeGainsMillimetres) {
  const Gain gain = gain_of("swan neck", "swan_neck.delay.toml");
  EXPECT_GT(gain.without.centre_mm, 3.0);
  EXPECT_LT(std::abs(gain.with.centre_mm), 1.5);
}

// A short one is at rest again within 19 ms: its correction is worth a tenth of a millimetre.
TEST(RestCorrection, AShortTubeHardlyNeedsIt) {
  const Gain gain = gain_of("short rake", "short_rake.delay.toml");
  EXPECT_LT(std::abs(gain.without.centre_mm - gain.with.centre_mm), 0.3);
}

}  // namespace
