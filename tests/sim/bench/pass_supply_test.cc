// Passes whose rows share a manifold or a battery, whose tank runs empty, whose valve is plugged,
// hot or worn.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "sim/bench/pass.h"
#include "sim/measure/summary.h"
#include "sim/study/tune/tune.h"
#include "tests/sim/demo_scenario.h"

namespace {

using sim_test::quiet_demo;

sim::bench::PassRecord pass(const sim::scenario::Scenario& scenario) {
  sim::bench::PassRecord record =
      sim::bench::run_pass(scenario, sim::tune::tune(scenario).table, {});
  return record;
}

std::vector<std::string> manifold(const std::vector<std::string>& more = {}) {
  std::vector<std::string> sets = {
      "supply.pump_flow=\"12 l/min\"",       "supply.pump_pressure=\"8 bar\"",
      "supply.relief_override=\"0.1 bar\"",  "supply.relief_lag=\"20 ms\"",
      "supply.manifold_modulus=\"200 bar\"", "seeds=40"};
  sets.insert(sets.end(), more.begin(), more.end());
  return sets;
}

double last_dose_m3(const sim::measure::RowRecord& row) {
  double dose_m3 = 0.0;
  int counted = 0;
  for (std::size_t k = row.bands.size() / 2; k + 1 < row.bands.size(); ++k, ++counted)
    dose_m3 += row.bands[k].dose_m3;
  return dose_m3 / counted;
}

// A huge manifold behind a stiff relief holds the pressure as an ideal source does; what is left is
// the relief's proportional band of 0.01 bar.
TEST(PassSupply, AHugeManifoldHoldsThePressure) {
  const sim::bench::PassRecord held =
      pass(quiet_demo({"seeds=40", "supply.pressure_lag=\"0 ms\""}));
  const sim::bench::PassRecord fed = pass(quiet_demo(
      manifold({"supply.manifold_volume=\"20 l\"", "supply.relief_override=\"0.001 bar\"",
                "supply.pump_flow=\"200 l/min\"", "supply.relief_lag=\"0 ms\""})));
  EXPECT_NEAR(last_dose_m3(fed.rows[0]) / last_dose_m3(held.rows[0]), 1.0, 0.01);
}

// The liquid balances over the whole machine: what the pump gave less what the relief took is what
// the rows drew and the manifold holds; each row's own balance closes too.
TEST(PassSupply, LiquidClosesOverTheWholeMachine) {
  const sim::bench::PassRecord record = pass(quiet_demo(manifold()));
  double rows_m3 = 0.0;
  for (const sim::measure::RowRecord& row : record.rows) {
    rows_m3 += row.inlet_volume_m3;
    EXPECT_NEAR(row.balance_residual_m3, 0.0, 1e-9 * row.inlet_volume_m3);
  }
  EXPECT_NEAR(rows_m3, record.manifold.rows_volume_m3, 1e-10 * rows_m3);
  const double start_m3 = 2e-3 / 2e7 * 0.2e5;
  EXPECT_NEAR(record.manifold.pump_volume_m3 - record.manifold.relief_volume_m3 - rows_m3,
              record.manifold.stored_m3 - start_m3, 1e-10 * record.manifold.pump_volume_m3);
}

// Rows couple: with seven neighbours on the same pump a row's share is less.
TEST(PassSupply, NeighboursTakeFromEachOther) {
  const double alone_m3 = last_dose_m3(
      pass(quiet_demo(manifold({"row.count=1", "supply.pump_flow=\"4 l/min\""}))).rows[0]);
  const double among_m3 = last_dose_m3(
      pass(quiet_demo(manifold({"row.count=8", "supply.pump_flow=\"4 l/min\""}))).rows[0]);
  EXPECT_LT(among_m3, 0.97 * alone_m3);
}

// 0.15 l for two rows of about 0.5 l/min each: empty after some seconds; then the manifold's 0.1 l,
// then what hose and tube hold (25 ml per row), then nothing.
TEST(PassSupply, AnEmptyTankEndsTheBands) {
  const sim::bench::PassRecord full = pass(quiet_demo(manifold({"seeds=300"})));
  const auto scenario = quiet_demo(manifold(
      {"seeds=300", "supply.tank_volume=\"0.02 l\"", "supply.manifold_volume=\"0.02 l\""}));
  sim::bench::PassRecord record = pass(scenario);
  const sim::measure::Summary summary =
      sim::measure::summarize(record.rows, scenario, record.simulated_s);  // matches
  EXPECT_TRUE(record.manifold.air);
  EXPECT_TRUE(record.manifold.air_at_row);
  double line_m3 = 0.0;
  for (const model::Line& line : {scenario.attachment.hose, scenario.attachment.tube})
    line_m3 += 0.25 * 3.14159265358979 * line.bore_m * line.bore_m * line.length_m;
  for (const sim::measure::RowRecord& row : record.rows) {
    ASSERT_TRUE(std::isfinite(row.air_from_s));
    ASSERT_TRUE(std::isfinite(row.dry_from_s));
    EXPECT_GT(row.dry_from_s, row.air_from_s);
    for (const sim::measure::SeedRecord& seed : row.seeds) {
      const bool none = seed.status == sim::measure::SeedStatus::kNoBand ||
                        seed.status == sim::measure::SeedStatus::kEdgeMissed;
      // its band is commanded tens of milliseconds after its edge
      if (seed.edge_s > row.dry_from_s) {
        EXPECT_TRUE(none);
      }
    }
    // liquid that came in before the air, and all that stood in the lines, has left
    EXPECT_NEAR(row.applied_volume_m3, row.inlet_volume_m3 + line_m3, 1e-3 * line_m3);
    EXPECT_NEAR(row.balance_residual_m3, 0.0, 1e-9 * row.applied_volume_m3);
  }
  EXPECT_GT(summary.all.seeds.no_band, 50);
  // tank, manifold and lines held all the liquid that there was
  double applied_m3 = 0.0;
  for (const sim::measure::RowRecord& row : record.rows) applied_m3 += row.applied_volume_m3;
  EXPECT_LT(applied_m3, 0.02e-3 + 0.02e-3 + 2.0 * line_m3 + 1e-6);
  EXPECT_GT(full.rows[0].applied_volume_m3, record.rows[0].applied_volume_m3);
}

// Nothing passes a wholly plugged seat: the hose takes no more than stretches it, and the outlet
// passes only what the plunger itself displaces, A_s times travel per stroke.
TEST(PassSupply, AWhollyPluggedValvePassesNothing) {
  auto scenario = quiet_demo({"seeds=40"});
  const sim::bench::PassRecord whole = pass(scenario);
  scenario.faults = {{.kind = "plugged_valve", .amount_ratio = 1.0}};
  const sim::bench::PassRecord record = pass(scenario);
  const model::Valve& valve = scenario.attachment.valve;
  const double stroke_m3 = 0.25 * 3.14159265358979 * valve.seat.diameter_m * valve.seat.diameter_m *
                           valve.plunger.travel_m;
  for (const sim::measure::RowRecord& row : record.rows) {
    EXPECT_LT(row.inlet_volume_m3, 2e-3 * whole.rows[0].inlet_volume_m3);
    EXPECT_GE(row.applied_volume_m3, 0.0);
    EXPECT_LT(row.applied_volume_m3, static_cast<double>(row.bands.size()) * stroke_m3);
    EXPECT_NEAR(row.balance_residual_m3, 0.0, 1e-9 * whole.rows[0].inlet_volume_m3);
  }
}

TEST(PassSupply, AWhollyPluggedOutletPassesNothing) {
  auto scenario = quiet_demo({"seeds=40"});
  const sim::bench::PassRecord whole = pass(scenario);
  scenario.faults = {{.kind = "plugged_outlet", .amount_ratio = 1.0}};
  const sim::bench::PassRecord record = pass(scenario);
  for (const sim::measure::RowRecord& row : record.rows) {
    EXPECT_GE(row.applied_volume_m3, 0.0);
    EXPECT_LT(row.applied_volume_m3, 1e-4 * whole.rows[0].applied_volume_m3);
    EXPECT_NEAR(row.balance_residual_m3, 0.0, 1e-9 * whole.rows[0].inlet_volume_m3);
  }
}

// Half the rim: seat and outlet in series. Q = sqrt(p/(Ks + Ko)), Ks times 4: less, but more than
// half, as the outlet takes most of the pressure here.
TEST(PassSupply, AHalfPluggedValvePassesLess) {
  auto scenario = quiet_demo({"seeds=40"});
  const double whole_m3 = last_dose_m3(pass(scenario).rows[0]);
  scenario.faults = {{.kind = "plugged_valve", .amount_ratio = 0.5}};
  const double half_m3 = last_dose_m3(pass(scenario).rows[0]);
  EXPECT_LT(half_m3, 0.98 * whole_m3);
  EXPECT_GT(half_m3, 0.5 * whole_m3);
}

double first_open_shift_m(const std::vector<std::string>& sets) {
  const auto scenario = quiet_demo(sets);
  sim::bench::PassRecord record = pass(scenario);
  const sim::measure::Summary summary =
      sim::measure::summarize(record.rows, scenario, record.simulated_s);
  return summary.all.placement_error.mean_m;
}

// Later opening lays the band further ahead. The lag hardly changes, so the centre moves by about
// half of the shift.
TEST(PassSupply, LessVoltageAndMoreHeatOpenLater) {
  const double cold_m = first_open_shift_m({});
  EXPECT_GT(first_open_shift_m({"attachment.valve.coil.temperature=\"80 C\""}), cold_m);
  EXPECT_GT(first_open_shift_m({"supply.harness_resistance=\"0.3 ohm\""}), cold_m);
  EXPECT_GT(first_open_shift_m({"supply.row_harness_resistance=\"0.3 ohm\""}), cold_m);
}

// Hold current 2.5 A through 0.2 ohm of the row's own is 0.5 V: the same as a supply that is 0.5 V
// lower only once the current is there, so the shift lies between none and that of 12.1 V.
TEST(PassSupply, TheSagOfARowsOwnHarnessIsItsCurrentTimesItsResistance) {
  const double whole_m = first_open_shift_m({});
  const double own_m = first_open_shift_m({"supply.row_harness_resistance=\"0.2 ohm\""});
  auto lower = quiet_demo();
  const auto table = sim::tune::tune(lower).table;
  lower.supply.voltage_v -= 0.5;
  sim::bench::PassRecord record = sim::bench::run_pass(lower, table, {});
  const double lower_m =
      sim::measure::summarize(record.rows, lower, record.simulated_s).all.placement_error.mean_m;
  EXPECT_GT(own_m, whole_m);
  EXPECT_LT(own_m, lower_m);
}

// A worn pair leaks between bands: more liquid lies outside them, and the row's balance still
// closes.
TEST(PassSupply, AWornValveWeeps) {
  const auto worn = quiet_demo({"seeds=40", "attachment.valve.wear.cycles=8e6",
                                "attachment.valve.wear.life_cycles=8e6",
                                "attachment.valve.wear.gap_at_life=\"20 um\""});
  const sim::bench::PassRecord record = pass(worn);
  const sim::bench::PassRecord fresh = pass(quiet_demo({"seeds=40"}));
  EXPECT_GT(record.rows[0].outside_volume_m3, fresh.rows[0].outside_volume_m3);
  EXPECT_NEAR(record.rows[0].balance_residual_m3, 0.0, 1e-9 * record.rows[0].inlet_volume_m3);
}

}  // namespace
