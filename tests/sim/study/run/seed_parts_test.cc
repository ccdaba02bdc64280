// Which part caused a seed's error: known here, because the scenario is made to get that part
// wrong.
#include "sim/study/run/seed_parts.h"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/sim/demo_scenario.h"

namespace {

sim::run::RunResult watched(const std::vector<std::string>& sets, int seed = 30) {
  return sim::run::run_scenario(sim_test::quiet_demo(sets), {.watch = {0, seed}});
}

sim::run::SeedParts parts_of(const sim::run::RunResult& result, int seed = 30) {
  return sim::run::seed_parts(result, 0, seed);
}

TEST(SeedParts, SumToThePlacementError) {
  const sim::run::RunResult result =
      watched({"delivery.rest_scatter=5 mm", "sensor.jitter=0.5 ms", "noise.outlet_mount=3 mm"});
  for (int seed = 5; seed < 35; ++seed) {
    const sim::measure::SeedRecord& one =
        result.record.rows[0].seeds[static_cast<std::size_t>(seed)];
    if (std::isnan(one.placement_error_m)) continue;
    const sim::run::SeedParts parts = parts_of(result, seed);
    EXPECT_NEAR(parts.seed_m + parts.controller_m + parts.row_m, one.placement_error_m, 1e-12);
  }
}

// Without noise, seed and command contribute nothing; the row's part is the error of the table.
TEST(SeedParts, OfAQuietRowAreSmall) {
  const sim::run::SeedParts parts = parts_of(watched({}));
  EXPECT_NEAR(parts.seed_m, 0.0, 1e-6);
  EXPECT_NEAR(parts.controller_m, 0.0, 0.5e-3);
  EXPECT_NEAR(parts.row_m, 0.0, 1e-3);
}

// A table that fires 2 ms late at 16 km/h lays 2 ms * 4.444 m/s = 8.9 mm ahead, by the command.
TEST(SeedParts, ALateTableIsTheCommands) {
  const auto late = sim_test::quiet_demo({"controller.delay_time_error=2 ms"});
  sim::run::RunResult result = sim::run::run_scenario(late, {.watch = {0, 30}});
  // seen from the table that was meant, not from the one that was carried
  result.tuned.table.delay_time_us -= 2000;
  const sim::run::SeedParts parts = sim::run::seed_parts(result, 0, 30);
  EXPECT_NEAR(parts.controller_m, 2e-3 * 16.0 / 3.6, 0.5e-3);
  EXPECT_NEAR(parts.seed_m, 0.0, 1e-6);
}

// Where only places of rest scatter, the error is the seed's: two passes differ by nothing else.
TEST(SeedParts, ScatterOfTheRestIsTheSeeds) {
  const sim::run::RunResult still = watched({});
  const sim::run::RunResult thrown = watched({"delivery.rest_scatter=5 mm"});
  double largest_m = 0.0;
  for (int seed = 10; seed < 30; ++seed) {
    const auto k = static_cast<std::size_t>(seed);
    const sim::measure::SeedRecord &a = still.record.rows[0].seeds[k],
                                   &b = thrown.record.rows[0].seeds[k];
    if (std::isnan(a.placement_error_m) || std::isnan(b.placement_error_m)) continue;
    EXPECT_NEAR(parts_of(thrown, seed).seed_m, a.rest_x_ground_m - b.rest_x_ground_m, 1e-6);
    largest_m = std::max(largest_m, std::abs(a.rest_x_ground_m - b.rest_x_ground_m));
  }
  EXPECT_GT(largest_m, 2e-3);
}

}  // namespace
