// A waveform: events between steps stand at their own instants, and marks say whose liquid leaves.
#include "sim/bench/wave_recorder.h"

#include <gtest/gtest.h>

#include <cmath>

#include "sim/study/run/run.h"
#include "tests/sim/demo_scenario.h"

namespace sim::bench {
namespace {

using shared::Instant;
using shared::microseconds;

constexpr sillion_bridge_command kDrive{SILLION_BRIDGE_DRIVE, 32768, 2000};
constexpr sillion_bridge_command kDecay{SILLION_BRIDGE_FAST_DECAY, 0, 0};

TEST(WaveRecorder, ChangesStandAtTheirOwnInstantsBetweenTheSteps) {
  WaveRecorder recorder(Instant{} + microseconds(100), Instant{} + microseconds(400));
  recorder.bridge(Instant{} + microseconds(50), kDrive);  // before the window: its first state
  for (const std::int64_t end_us : {90, 150, 250, 350, 450})
    recorder.step({.end = Instant{} + microseconds(end_us), .lowered = true},
                  {.lift_m = 1e-6 * static_cast<double>(end_us)});
  recorder.bridge(Instant{} + microseconds(220), kDecay);
  const std::vector<measure::WaveInstant> told =
      recorder.instants({{.rising_s = 180e-6, .falling_s = 260e-6}},
                        {{.at = Instant{} + microseconds(300), .record = {}}});
  std::vector<std::int64_t> at_us;
  for (const measure::WaveInstant& one : told) at_us.push_back(one.at.ns / 1000);
  EXPECT_EQ(at_us, (std::vector<std::int64_t>{100, 150, 180, 220, 250, 260, 300, 350}));
  EXPECT_TRUE(told[0].drive && told[0].valve_commanded && !told[0].covered);
  EXPECT_TRUE(told[2].covered && told[2].drive);
  EXPECT_DOUBLE_EQ(told[2].lift_m, 150e-6);
  EXPECT_TRUE(told[3].fast_decay && !told[3].drive && !told[3].valve_commanded);
  EXPECT_FALSE(told[5].covered);
  EXPECT_TRUE(told[6].event);
  EXPECT_FALSE(told[7].event);
}

TEST(WaveRecorder, NothingInsideTheWindowIsNoWaveform) {
  const WaveRecorder recorder(Instant{} + microseconds(100), Instant{} + microseconds(400));
  EXPECT_TRUE(recorder.instants({}, {}).empty());
}

// One seed without noise: the edge, the command after the delay, then lift and flow; the liquid
// that leaves is the seed's own and lands where it is wanted, as placement says.
TEST(Waveform, ShowsTheWatchedSeedsPulseAndItsLiquid) {
  const scenario::Scenario scenario = sim_test::quiet_demo({"row.count=1", "seeds=30"});
  const run::RunResult result =
      run::run_scenario(scenario, {.watch = {.row = 0, .seed = 20}, .wave = true});
  const measure::RowRecord& row = result.record.rows[0];
  const measure::SeedRecord& seed = row.seeds[20];
  const measure::BandRecord& band = row.bands[static_cast<std::size_t>(seed.band)];
  const std::vector<measure::WaveInstant>& wave = result.record.wave;
  ASSERT_GT(wave.size(), 1000u);
  double rise_s = NAN, command_s = NAN, lift_s = NAN, volume_m3 = 0.0, wanted_m3 = 0.0;
  for (std::size_t k = 1; k < wave.size(); ++k) {
    const measure::WaveInstant& now = wave[k];
    const double at_s = now.at.seconds();
    ASSERT_LE(wave[k - 1].at, now.at);
    if (now.covered && std::isnan(rise_s) && at_s > seed.edge_s - 1e-4) rise_s = at_s;
    if (now.valve_commanded && std::isnan(command_s) && at_s > band.open_s - 1e-4) command_s = at_s;
    if (now.lift_m > 0.0 && std::isnan(lift_s) && at_s > band.open_s) lift_s = at_s;
    // a flow is the mean of the step that ended here
    const double dt_s = at_s - wave[k - 1].at.seconds();
    if (now.seed_number == 20) volume_m3 += now.outlet_flow_m3ps * dt_s;
    if (now.wanted && now.outlet_flow_m3ps > 0.0) wanted_m3 += now.outlet_flow_m3ps * dt_s;
  }
  EXPECT_NEAR(rise_s, seed.edge_s, 1e-9);
  EXPECT_NEAR(command_s, band.open_s, 1e-9);
  EXPECT_GT(lift_s, band.open_s);
  EXPECT_LT(lift_s, band.open_s + 2e-3);
  EXPECT_NEAR(volume_m3, band.dose_m3, 0.01 * band.dose_m3);
  EXPECT_NEAR(wanted_m3, seed.on_target_ratio * band.dose_m3, 0.03 * band.dose_m3);
}

}  // namespace
}  // namespace sim::bench
