// A pass second by second: what the lines say against the record of the whole pass.
#include "sim/command/live_pass.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <memory>

#include "sim/study/run/run.h"
#include "tests/sim/demo_scenario.h"

namespace sim::command {
namespace {

// 5 l/min for a second are 83.3 ml; 4 m/s are 14.4 km/h or 8.9 mph.
TEST(LivePass, ItsLineIsInTheUnitsThatWereAskedFor) {
  const bench::LiveSecond second{.at_s = 12.0,
                                 .rows = 8,
                                 .seeds = 238,
                                 .pulses = 237,
                                 .speed_mps = 4.0,
                                 .pressure_pa = 2e5,
                                 .liquid_m3 = 83.3333e-6};
  const std::string metric = live_line(second, output::Units::kMetric);
  for (const char* word :
       {"12 s", "14.4 km/h", "8 rows", "238 seeds", "237 pulses", "5.00 l/min", "2.00 bar"})
    EXPECT_NE(metric.find(word), std::string::npos) << word << " in: " << metric;
  const std::string us = live_line(second, output::Units::kUs);
  for (const char* word : {"8.9 mph", "29.01 psi"})
    EXPECT_NE(us.find(word), std::string::npos) << word << " in: " << us;
}

TEST(LivePass, ItsSecondsAddUpToThePassAndChangeNothing) {
  const scenario::Scenario scenario =
      sim_test::demo({"row.count=2", "seeds=90", "controller.row_trim=false"});
  const run::RunResult plain = run::run_scenario(scenario);
  int seconds = 0, seeds = 0, pulses = 0;
  double liquid_m3 = 0.0;
  run::RunOptions options;
  options.on_second = [&](const bench::LiveSecond& second) {
    ++seconds;
    EXPECT_EQ(second.at_s, seconds);
    EXPECT_EQ(second.rows, 2);
    seeds += second.seeds, pulses += second.pulses, liquid_m3 += second.liquid_m3;
  };
  const run::RunResult shown = run::run_scenario(scenario, options);
  int sensed = 0, bands = 0;
  double applied_m3 = 0.0;
  for (std::size_t row = 0; row < 2; ++row) {
    const measure::RowRecord& record = shown.record.rows[row];
    for (const measure::SeedRecord& seed : record.seeds) sensed += seed.sensed ? 1 : 0;
    bands += static_cast<int>(record.bands.size());
    applied_m3 += record.applied_volume_m3;
    ASSERT_EQ(record.seeds.size(), plain.record.rows[row].seeds.size());
    for (std::size_t k = 0; k < record.seeds.size(); ++k) {
      const double was_m = plain.record.rows[row].seeds[k].placement_error_m;
      const double is_m = record.seeds[k].placement_error_m;
      EXPECT_TRUE(was_m == is_m || (was_m != was_m && is_m != is_m));
    }
  }
  EXPECT_GE(seconds, 4);
  // The last part of a second is not told; nothing happens there but the run-out.
  EXPECT_NEAR(seeds, sensed, 2);
  EXPECT_NEAR(pulses, bands, 2);
  EXPECT_NEAR(liquid_m3, applied_m3, 0.02 * applied_m3);
}

TEST(LivePass, APaceHoldsThePassBack) {
  const std::atomic<bool> stop{false};
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> nowhere(std::fopen("/dev/null", "w"),
                                                                std::fclose);
  LivePass live(20, output::Units::kMetric, nowhere.get(), stop);
  const auto before = std::chrono::steady_clock::now();
  for (int second = 1; second <= 5; ++second) live.second({.at_s = 1.0 * second});
  // Four seconds after the first, at twenty times real time.
  EXPECT_GE(std::chrono::steady_clock::now() - before, std::chrono::milliseconds(200));
  EXPECT_FALSE(LivePass(-1, output::Units::kMetric, nowhere.get(), stop).of_pass());
}

}  // namespace
}  // namespace sim::command
