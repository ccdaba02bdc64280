// Every fault of sensor, speed, valve, driver, supply, meter and inputs shows where it has to. No
// size is expected: the direction where physics gives one, else that there is an effect.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "sim/bench/pass.h"
#include "sim/measure/summary.h"
#include "sim/scenario/faults/catalog.h"
#include "sim/study/run/run.h"
#include "sim/study/tune/tune_once.h"
#include "sim/text/input_error.h"
#include "tests/sim/demo_scenario.h"

namespace {

using sim::bench::PassRecord;
using sim::scenario::FaultEntry;

PassRecord pass_with(const std::vector<FaultEntry>& faults, std::vector<std::string> more = {}) {
  more.insert(more.begin(), {"row.count=1", "seeds=80"});
  sim::scenario::Scenario scenario = sim_test::quiet_demo(more);
  const sillion_attachment_table table = sim::tune::tune_once(scenario).table;
  scenario.faults = faults;
  return sim::bench::run_pass(scenario, table, {});
}

double applied_m3(const PassRecord& record) { return record.rows[0].applied_volume_m3; }

/// Scatter of the instants at which the bands' valve was opened, about even spacing.
double scatter_s(const PassRecord& record) {
  const auto& bands = record.rows[0].bands;
  double sum_s2 = 0.0;
  std::size_t seen = 0;
  for (std::size_t k = 20; k + 1 < bands.size(); ++k, ++seen) {
    const double off_s = bands[k + 1].open_s - 2.0 * bands[k].open_s + bands[k - 1].open_s;
    sum_s2 += off_s * off_s;
  }
  return std::sqrt(sum_s2 / static_cast<double>(seen));
}

double mean_dose_m3(const PassRecord& record) {
  double sum_m3 = 0.0;
  std::size_t seen = 0;
  const auto& bands = record.rows[0].bands;
  for (std::size_t k = 20; k < bands.size(); ++k, ++seen) sum_m3 += bands[k].dose_m3;
  return seen == 0 ? 0.0 : sum_m3 / static_cast<double>(seen);
}

const PassRecord& plain() {
  static const PassRecord record = pass_with({});
  return record;
}

TEST(FaultEffects, JitterScattersTheBands) {
  EXPECT_GT(scatter_s(pass_with({{.kind = "jittered_edges", .by_s = 2e-3}})),
            5.0 * scatter_s(plain()));
}

// A speed that reads high asks for more flow and shortens the pulses to the band's length.
TEST(FaultEffects, AWrongSpeedMovesFlowAndBands) {
  const PassRecord high = pass_with({{.kind = "speed_too_high", .amount_ratio = 0.2}});
  const PassRecord low = pass_with({{.kind = "speed_too_low", .amount_ratio = 0.2}});
  const auto open_s = [](const PassRecord& record) {
    const auto& bands = record.rows[0].bands;
    return bands[60].close_s - bands[60].open_s;
  };
  EXPECT_LT(open_s(high), open_s(plain()));
  EXPECT_GT(open_s(low), open_s(plain()));
}

TEST(FaultEffects, AWeakSpringOpensSoonerAndClosesLater) {
  EXPECT_GT(mean_dose_m3(pass_with({{.kind = "weak_spring", .amount_ratio = 0.4}})),
            mean_dose_m3(plain()));
}

TEST(FaultEffects, AStickingPlungerChangesTheDose) {
  EXPECT_NE(mean_dose_m3(pass_with({{.kind = "sticking_plunger", .amount_ratio = 0.3}})),
            mean_dose_m3(plain()));
}

TEST(FaultEffects, ALeakAddsLiquid) {
  EXPECT_GT(applied_m3(pass_with({{.kind = "leaking_valve", .amount_ratio = 0.05}})),
            1.02 * applied_m3(plain()));
}

TEST(FaultEffects, AHotCoilOpensLater) {
  EXPECT_LT(mean_dose_m3(pass_with({{.kind = "hot_coil", .amount_ratio = 0.5}})),
            mean_dose_m3(plain()));
}

TEST(FaultEffects, AnOpenCoilAndADriverThatStaysOn) {
  const double before_m3 = applied_m3(pass_with({{.kind = "open_coil", .from_s = 1.0}}));
  EXPECT_LT(before_m3, 0.7 * applied_m3(plain()));
  EXPECT_GT(applied_m3(pass_with({{.kind = "driver_stuck_on", .from_s = 1.0}})),
            1.2 * applied_m3(plain()));
}

TEST(FaultEffects, WithoutFastDecayTheValveClosesLater) {
  EXPECT_GT(mean_dose_m3(pass_with({{.kind = "lost_fast_decay"}})), mean_dose_m3(plain()));
}

TEST(FaultEffects, PressureAndVoltage) {
  EXPECT_GT(mean_dose_m3(pass_with({{.kind = "pressure_rise", .amount_ratio = 0.3}})),
            1.05 * mean_dose_m3(plain()));
  EXPECT_NE(mean_dose_m3(pass_with({{.kind = "high_voltage", .amount_ratio = 0.3}})),
            mean_dose_m3(plain()));
  EXPECT_LT(applied_m3(pass_with({{.kind = "stuck_regulator"}})), applied_m3(plain()));
}

// The firmware trims its rate by the meter: one that counts too much makes it dose less.
TEST(FaultEffects, ADeadMeterAndOneThatLies) {
  const std::vector<std::string> fitted = {"flow_meter.pulses_per_litre=20000", "seeds=150"};
  const auto pulses = [&](const std::vector<FaultEntry>& faults) {
    return pass_with(faults, fitted);
  };
  const PassRecord honest = pulses({});
  EXPECT_NE(applied_m3(pulses({{.kind = "lying_meter", .amount_ratio = 0.2}})), applied_m3(honest));
  EXPECT_NE(applied_m3(pulses({{.kind = "dead_meter"}})), applied_m3(honest));
}

/// When the row first raises an alarm of these bits; 1e9 s: never.
double alarm_s(const PassRecord& record, int bits = ~0) {
  for (const sim::measure::EventMark& event : record.rows[0].events)
    if (event.code == SILLION_EVENT_ALARM && (event.a & bits) != 0) return event.at_s;
  return 1e9;
}

// 20 seeds at 16 km/h and 150 mm are 0.675 s; a row in order says nothing. No pressure at the hose
// is an empty line; a plug, a dead meter and a valve that stays shut leave the pressure standing.
TEST(FaultEffects, TheRowSaysWithinTwentySeedsWhatDoesNotFlowOrCome) {
  const std::vector<std::string> fitted = {"flow_meter.pulses_per_litre=20000", "seeds=150"};
  EXPECT_EQ(alarm_s(pass_with({}, fitted)), 1e9);
  const struct {
    FaultEntry fault;
    int bits;
  } cases[] = {
      {{.kind = "dead_meter", .from_s = 2.5}, SILLION_ALARM_NO_FLOW},
      {{.kind = "plugged_outlet", .from_s = 2.5, .amount_ratio = 1.0}, SILLION_ALARM_NO_FLOW},
      {{.kind = "plugged_outlet", .from_s = 2.5, .amount_ratio = 0.5}, SILLION_ALARM_LOW_FLOW},
      {{.kind = "lying_meter", .from_s = 2.5, .amount_ratio = 0.6}, SILLION_ALARM_HIGH_FLOW},
      {{.kind = "open_coil", .from_s = 2.5}, SILLION_ALARM_NO_FLOW},
      {{.kind = "pressure_sag", .from_s = 2.5, .amount_ratio = 1.0}, SILLION_ALARM_EMPTY_LINE},
      {{.kind = "pressure_sag", .from_s = 2.5, .amount_ratio = 0.9}, SILLION_ALARM_EMPTY_LINE},
      {{.kind = "lost_edges", .from_s = 2.5, .amount_ratio = 1.0}, SILLION_ALARM_NO_SEEDS}};
  for (const auto& [fault, bits] : cases) {
    const PassRecord record = pass_with({fault}, fitted);
    EXPECT_GT(alarm_s(record), 2.5) << fault.kind;
    EXPECT_LT(alarm_s(record, bits), 2.5 + 0.675 + 0.1)
        << fault.kind << ": a band is laid 0.03 s after its edge";
    constexpr int kOther = SILLION_ALARM_EMPTY_LINE | SILLION_ALARM_NO_FLOW;
    EXPECT_EQ(alarm_s(record, kOther & ~bits), 1e9) << fault.kind;
  }
}

// The pressure alone shows it, so a row without a meter says it too.
TEST(FaultEffects, AnEmptyLineNeedsNoMeter) {
  const PassRecord record =
      pass_with({{.kind = "pressure_sag", .from_s = 2.5, .amount_ratio = 1.0}}, {"seeds=150"});
  EXPECT_NEAR(alarm_s(record, SILLION_ALARM_EMPTY_LINE), 2.8, 0.02);
  EXPECT_EQ(alarm_s(record, ~SILLION_ALARM_EMPTY_LINE), 1e9);
  EXPECT_EQ(alarm_s(pass_with({}, {"seeds=150"})), 1e9);
}

TEST(FaultEffects, AStuckLiftSignalKeepsTheValvesAtWork) {
  const std::vector<std::string> lifted = {"work.lift_times=[\"2 s\"]"};
  EXPECT_GT(applied_m3(pass_with({{.kind = "stuck_lift_signal", .from_s = 1.5}}, lifted)),
            1.1 * applied_m3(pass_with({}, lifted)));
}

// 41 kinds before storage and dips of the supply, five of these, four of the network and the second
// regulator (tests/sim/bench/second_regulator_test.cc).
TEST(FaultEffects, ThereAreFiftyOneKinds) {
  EXPECT_EQ(sim::scenario::fault_kinds().size(), 51u);
  // Faults of the storage and of a controller's supply act in tests/sim/bench/storage_pass_test.cc.
}

// A fault that begins after the last seed, or that acts on nothing, is a mistake of its scenario.
TEST(FaultEffects, AFaultThatNeverActsIsAnError) {
  EXPECT_EQ(pass_with({{.kind = "hot_coil", .from_s = 100.0, .amount_ratio = 0.5},
                       {.kind = "weak_spring", .amount_ratio = 0.1},
                       {.kind = "late_edges", .by_s = 0.0}})
                .idle_faults,
            (std::vector<int>{0, 2}));
  sim::scenario::Scenario scenario = sim_test::quiet_demo({"row.count=1", "seeds=20"});
  scenario.faults = {{.kind = "hot_coil", .from_s = 100.0, .amount_ratio = 0.5}};
  scenario.faults[0].place = "my.toml:7";
  try {
    sim::run::run_scenario(scenario, {});
    FAIL() << "an idle fault was accepted";
  } catch (const sim::text::InputError& error) {
    EXPECT_NE(std::string(error.what()).find("my.toml:7: fault[0]: hot_coil from 100 s never took"),
              std::string::npos)
        << error.what();
  }
}

}  // namespace
