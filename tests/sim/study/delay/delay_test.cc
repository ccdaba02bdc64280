#include "sim/study/delay/delay.h"

#include <gtest/gtest.h>
#include <oneapi/tbb/global_control.h>

#include "controller/corrections.h"
#include "controller/set_point_table.h"
#include "sim/scenario/table_seal.h"
#include "sim/study/delay/delay_tables.h"
#include "sim/study/tune/table_reading.h"
#include "tests/sim/study/delay/delay_inputs.h"

namespace {

using sim_test::ideal_inputs;

sillion_attachment_table example_table() {
  sillion_attachment_table table{};
  table.delay_time_us = -4000;
  table.delay_distance_um = 150'000;
  table.reference_band_um = 75'000;
  table.reference_lead_us = 6000;
  table.points = 3;
  const int flows[] = {6000, 12'000, 30'000}, pressures[] = {20'000, 70'000, 400'000};
  for (int k = 0; k < 3; ++k) {
    table.flow_mm3ps[k] = flows[k];
    table.pressure_pa[k] = pressures[k];
    table.lead_us[k] = 15'000 - 4000 * k;
    table.lag_us[k] = 10'000 - 3000 * k;
  }
  table.shortest_on_us = 900;
  return table;
}

TEST(TableSeal, BenchAndControllerSumAlike) {
  const sillion_attachment_table table = example_table();
  EXPECT_EQ(sim::scenario::table_check_sum(table), controller::check_sum_of(table));
  EXPECT_TRUE(controller::usable(sim::scenario::sealed_table(table)));
}

TEST(TableReading, ReadsAsTheControllerDoes) {
  const sillion_attachment_table table = example_table();
  for (const int flow : {3000, 6000, 7000, 11'999, 20'000, 30'000, 50'000}) {
    const controller::SetPoint there = controller::set_point_for(table, flow);
    const sim::tune::TableReading here = sim::tune::read_table(table, flow * 1e-9);
    EXPECT_NEAR(here.lead_s * 1e6, there.lead_us, 1.0) << flow;
    EXPECT_NEAR(here.lag_s * 1e6, there.lag_us, 1.0) << flow;
    EXPECT_NEAR(here.pressure_pa, there.pressure_pa, 1.0) << flow;
  }
}

// An ideal row: lead 3 + 5 = 8 ms, lag 2 + 5 = 7 ms; a = -8 ms, b = 120 + 60 - 30 = 150 mm. The
// scenario sets both wrong by 0.5 ms and 5 mm; the study finds the two errors, and its table
// removes them.
TEST(Delay, AWrongTableIsFoundAndMended) {
  const sim::delay::DelayStudy study = sim::delay::run_delay_study(ideal_inputs(
      {"controller.delay_time_error=\"0.5 ms\"", "controller.delay_distance_error=\"5 mm\""}));
  EXPECT_NEAR(study.fit.whole.time.value_s, 0.5e-3, 0.1e-3);
  EXPECT_NEAR(study.fit.whole.distance.value_m, 5e-3, 1e-3);
  EXPECT_NEAR(study.left.time.value_s, 0.0, 0.1e-3);
  EXPECT_NEAR(study.left.distance.value_m, 0.0, 1e-3);
  const double delay_s = sim::tune::pulse_order(study.table, 1.5e-5, 4.0).delay_s;
  EXPECT_NEAR(delay_s, -8e-3 + 0.150 / 4.0, 0.2e-3);
}

TEST(Delay, AQuietIdealRowHoldsAtEverySpeedAndInTheWholeBox) {
  const sim::delay::DelayStudy study = sim::delay::run_delay_study(ideal_inputs());
  ASSERT_EQ(study.speeds.size(), 3u);
  for (const sim::delay::DelaySpeed& at : study.speeds) {
    EXPECT_TRUE(at.trimmed[0].holds) << at.speed_mps;
    EXPECT_LT(at.floor_sd_m, 1e-3);
    // 10 mm at v: D may be off by 10 mm/v less the remaining error, and no more
    EXPECT_LT(at.late_s, 10.5e-3 / at.speed_mps);
    EXPECT_GT(at.late_s, std::min(5e-3, 8.5e-3 / at.speed_mps) - 20e-6);
  }
  EXPECT_TRUE(study.box.voltage_si.low_open);
  const sim::delay::HeldRange held = sim::delay::speeds_held_mps(study, 0, true);
  EXPECT_EQ(held.high_si, study.speeds.back().speed_mps);
}

// The offset at which D would be 0 is the present offset of 60 mm less v D.
TEST(Delay, TheSmallestOffsetTakesTheDelayToZero) {
  const sim::delay::DelayStudy study = sim::delay::run_delay_study(ideal_inputs());
  for (const sim::delay::DelaySpeed& at : study.speeds)
    EXPECT_NEAR(at.smallest_offset_m, 0.030 + 8e-3 * at.speed_mps - 0.120, 1.5e-3);
}

TEST(Delay, ThreadsDoNotChangeAByte) {
  sim::delay::DelayStudy first;
  {
    const oneapi::tbb::global_control one(oneapi::tbb::global_control::max_allowed_parallelism, 1);
    first = sim::delay::run_delay_study(ideal_inputs());
  }
  sim::delay::DelayStudy second = sim::delay::run_delay_study(ideal_inputs());
  sim::delay::seal(first);
  sim::delay::seal(second);
  EXPECT_EQ(sim::delay::delay_summary_json(first), sim::delay::delay_summary_json(second));
}

}  // namespace
