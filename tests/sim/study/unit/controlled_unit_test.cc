// A row with its controller, imported: seeds of a pass that are played in give commands where the
// pass has them.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <vector>

#include "sim/bench/pass.h"
#include "sim/bench/seed_way.h"
#include "sim/bench/supply_line.h"
#include "sim/bench/travel_of.h"
#include "sim/study/tune/tune.h"
#include "sim/study/unit/row_instance.h"
#include "tests/sim/study/unit/unit_cases.h"
#include "tests/support/imported_unit.h"

namespace {

constexpr double kCommunication_s = 0.5e-3;
constexpr double kStart_s = 2.0;  // of the importer; instants of the unit count on its clock

struct Commands {
  std::vector<double> on_s, off_s;
};

/// The importer's side of the supply: a regulator that follows the unit's set point with the
/// scenario's lag, as the bench has one (sim/bench/supply_line.h).
class Regulator {
 public:
  explicit Regulator(const sim::scenario::SupplySection& supply)
      : supply_(supply), state_{supply.pressure_min_pa, supply.pressure_min_pa} {}
  double follow(double setpoint_pa) {
    state_.setpoint_pa = setpoint_pa;
    sim::bench::advance_regulator(state_, supply_, kCommunication_s);
    return state_.pressure_pa;
  }

 private:
  const sim::scenario::SupplySection& supply_;
  sim::bench::RegulatorState state_;
};

Commands imported(const sim::unit::UnitContents& contents, const sim::scenario::Scenario& scenario,
                  const std::vector<sim::bench::EdgePair>& edges, double end_s) {
  const support::UnpackedUnit unpacked(sim::unit::unit_archive(contents, unit_cases::library()));
  const support::UnitLibrary library(unpacked);
  support::UnitInstance unit(unpacked, library);
  EXPECT_NE(unit.get(), nullptr);
  EXPECT_EQ(unit.set("ground_speed", scenario.travel.speed_mps), fmi3OK);
  EXPECT_EQ(unit.initialize(kStart_s), fmi3OK);
  EXPECT_EQ(unit.real("last_on"), -1.0);
  Regulator regulator(scenario.supply);
  Commands commands;
  std::size_t next = 0;
  int seen = 0;
  double off_s = -1.0;
  for (int k = 0; k * kCommunication_s < end_s; ++k) {
    const double from_s = k * kCommunication_s;
    // An edge is set at the communication point that lies nearest to it.
    while (next < 2 * edges.size()) {
      const bool rises = next % 2 == 0;
      const double at_s = rises ? edges[next / 2].rising_s : edges[next / 2].falling_s;
      if (at_s > from_s + 0.5 * kCommunication_s) break;
      EXPECT_EQ(unit.set_flag("seed_sensor", rises), fmi3OK);
      ++next;
    }
    EXPECT_EQ(unit.set("supply_pressure", regulator.follow(unit.real("pressure_setpoint"))),
              fmi3OK);
    EXPECT_EQ(unit.step(kStart_s + from_s, kCommunication_s), fmi3OK);
    if (unit.whole("openings") > seen) {
      seen = unit.whole("openings");
      commands.on_s.push_back(unit.real("last_on") - kStart_s);
    }
    if (unit.real("last_off") > off_s) {
      off_s = unit.real("last_off");
      commands.off_s.push_back(off_s - kStart_s);
    }
  }
  EXPECT_FALSE(unit.flag("safe_closed"));
  EXPECT_EQ(unit.whole("last_alarm"), 0);
  EXPECT_GT(unit.real("total_volume"), 0.0);
  EXPECT_TRUE(unit.log().empty());
  return commands;
}

TEST(ControlledUnit, FiresWhereThePassFires) {
  const sim::scenario::Scenario scenario = unit_cases::row_scenario({"seeds=14"});
  // Any table serves both; that of ideal rows is tuned in a moment.
  const sim::scenario::Scenario ideal =
      unit_cases::row_scenario({"seeds=14", "row.physics=\"ideal\""});
  const sillion_attachment_table table = sim::tune::tune(ideal).table;
  const sim::bench::PassRecord record = sim::bench::run_pass(scenario, table, {});
  const auto& bands = record.rows[0].bands;
  ASSERT_EQ(bands.size(), 14u);

  const sim::unit::UnitContents contents{.scenario = sim::unit::carried(scenario),
                                         .row = 0,
                                         .drawn = true,
                                         .with_controller = true,
                                         .table = table};
  const model::Travel travel = sim::bench::travel_of(scenario);
  const sim::bench::SeedWay way = sim::bench::lay_out_seeds(
      scenario, travel, sim::bench::drawn_row(scenario, 0), {.rng_key = scenario.rng_key}, 0);
  const Commands commands = imported(contents, scenario, way.edges, bands.back().close_s + 0.02);
  ASSERT_EQ(commands.on_s.size(), bands.size());
  ASSERT_EQ(commands.off_s.size(), bands.size());
  double worst_s = 0.0;
  for (std::size_t k = 0; k < bands.size(); ++k) {
    EXPECT_NEAR(commands.on_s[k], bands[k].open_s, kCommunication_s) << k;
    EXPECT_NEAR(commands.off_s[k], bands[k].close_s, kCommunication_s) << k;
    worst_s = std::max(worst_s, std::abs(commands.on_s[k] - bands[k].open_s));
  }
  RecordProperty("worst_us", std::to_string(worst_s * 1e6));
  std::printf("commands lie up to %.0f us beside those of the pass\n", worst_s * 1e6);
}

// Raised, or without a speed, the row stays shut whatever passes its sensor.
TEST(ControlledUnit, StaysShutWhileRaised) {
  const sim::scenario::Scenario scenario = unit_cases::row_scenario();
  const sillion_attachment_table table =
      sim::tune::tune(unit_cases::row_scenario({"row.physics=\"ideal\""})).table;
  const sim::unit::UnitContents contents{
      .scenario = sim::unit::carried(scenario), .with_controller = true, .table = table};
  sim::unit::UnitInputs inputs = sim::unit::start_inputs(contents);
  inputs.ground_speed_mps = 4.0;
  inputs.lowered = false;
  sim::unit::RowInstance row(contents, inputs);
  for (int k = 1; k <= 40; ++k) {
    const shared::Instant at = shared::instant_of(k * 10e-3);
    row.advance(at);
    inputs.seed_sensor = k % 2 == 0;
    row.set(inputs, at);
  }
  EXPECT_TRUE(row.outputs().safe_closed);
  EXPECT_EQ(row.outputs().openings, 0);
}

}  // namespace
