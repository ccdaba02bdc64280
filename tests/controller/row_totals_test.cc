#include "controller/row_totals.h"

#include <gtest/gtest.h>

#include "controller/machine_controller.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::RowReportFrame;
using controller::RowTotals;

/// A machine of 8 rows at 4 m/s with bands of 75 mm; the set rate of 4677 nm is 267 mm3 per band
/// (4.677e-6 m x 0.762 m x 0.075 m).
struct Machine {
  sillion_config config = test::machine_config();
  RowTotals totals;
  std::int32_t speed_umps = 4'000'000;
  std::int32_t yaw_uradps = 0;

  void hear(std::uint16_t seeds, std::uint16_t bands, std::int32_t flow_mm3ps = 0,
            bool anew = false, std::uint8_t state = 0) {
    const RowReportFrame row{
        .row = 2,
        .state = static_cast<std::uint8_t>(state | (flow_mm3ps > 0 ? controller::kFlowValid : 0)),
        .seeds = seeds,
        .bands = bands,
        .flow_mm3ps = flow_mm3ps};
    take_counts(totals, row, anew, config, speed_umps, yaw_uradps);
  }
  const controller::RowTotal& row() const { return totals.rows[2]; }
};

TEST(RowTotals, AdvancesAreAddedAcrossTheWrapAndLostReports) {
  Machine machine;
  machine.hear(1000, 990);
  machine.hear(1010, 999);
  machine.hear(1500, 1400);  // some reports were lost
  EXPECT_EQ(machine.row().seeds, 1500u);
  EXPECT_EQ(machine.row().bands, 1400u);
  for (std::uint32_t seeds = 1500; seeds <= 150'000; seeds += 500)
    machine.hear(static_cast<std::uint16_t>(seeds), static_cast<std::uint16_t>(seeds - 100));
  EXPECT_EQ(machine.row().seeds, 150'000u);
  EXPECT_EQ(machine.row().bands, 149'900u);
  EXPECT_EQ(machine.totals.rows[3].seeds, 0u);
}

// Both counters go back, or the sequence does where the row has laid nothing.
TEST(RowTotals, ARowThatStartsAnewGoesOn) {
  Machine machine;
  machine.hear(700, 690);
  machine.hear(5, 3);
  EXPECT_EQ(machine.row().seeds, 705u);
  EXPECT_EQ(machine.row().bands, 693u);
  machine.hear(3, 3, 0, true);
  EXPECT_EQ(machine.row().seeds, 708u);
  EXPECT_EQ(machine.row().bands, 696u);
}

// Within 13 s of a row's first start its reports after a restart look overtaken: the fifth is
// taken, and nothing is lost but what the row had not yet reported.
TEST(RowTotals, ARowThatRestartsSoonIsHeardAfterFiveReports) {
  controller::MachineController machine =
      controller::machine_controller_for(test::machine_config(), nullptr, 0, 0);
  const auto hear = [&](std::uint16_t sequence, std::uint16_t count) {
    sillion_input in{};
    in.frame_count = 1;
    in.frames[0] = controller::encode(
        RowReportFrame{.sequence = sequence, .row = 2, .seeds = count, .bands = count});
    sillion_output out{};
    sillion_health health{};
    controller::Report report{out, health, 1000};
    controller::step(machine, in, report);
  };
  for (std::uint16_t k = 1; k <= 15; ++k) hear(k, static_cast<std::uint16_t>(4 * k));
  for (std::uint16_t k = 1; k <= 4; ++k) hear(k, static_cast<std::uint16_t>(10 * k));
  EXPECT_EQ(machine.totals.rows[2].bands, 60u);
  hear(5, 70);
  EXPECT_EQ(machine.totals.rows[2].bands, 130u);
  for (int k = 0; k < 9; ++k) hear(5, 70);  // repeated by the radio
  hear(6, 80);
  EXPECT_EQ(machine.totals.rows[2].bands, 140u);
}

// One flipped bit of a counter: a leap is not believed, a smaller advance is taken back.
TEST(RowTotals, ADamagedFrameLeavesNothingBehind) {
  for (int bit = 0; bit < 16; ++bit) {
    Machine machine;
    machine.hear(40'000, 39'000);
    machine.hear(40'006, static_cast<std::uint16_t>(39'006 ^ (1 << bit)));
    machine.hear(40'012, 39'012);
    EXPECT_EQ(machine.row().seeds, 40'012u) << bit;
    EXPECT_EQ(machine.row().bands, 39'012u) << bit;
  }
}

TEST(RowTotals, ALeapThatLastsIsBelieved) {
  Machine machine;
  machine.hear(100, 100);
  for (int k = 0; k < 6; ++k) machine.hear(9000, 9000);
  EXPECT_EQ(machine.row().bands, 9000u);
}

// 16 000 mm3/s for 75 mm at 4 m/s are 300 mm3 per band; without a flow the set rate counts, 267.
TEST(RowTotals, TheVolumeIsFlowTimesBandTime) {
  Machine machine;
  for (std::uint16_t k = 1; k <= 100; ++k)
    machine.hear(static_cast<std::uint16_t>(10 * k), static_cast<std::uint16_t>(10 * k), 16'000);
  EXPECT_EQ(machine.row().volume_ml, 300u);
  Machine unmetered;
  unmetered.hear(1000, 1000);
  EXPECT_NEAR(unmetered.row().volume_ml, 267.0, 1.0);
  // Row 2 of 8 sits 1.143 m to the left: 0.35 rad/s to the right are 0.4 m/s more there.
  Machine turning;
  turning.yaw_uradps = 349'956;
  turning.hear(1000, 1000, 16'000);
  EXPECT_NEAR(turning.row().volume_ml, 300.0 * 4.0 / 4.4, 1.0);
}

// A stream has no bands: 16 000 mm3/s for 200 ms of each report.
TEST(RowTotals, AStreamCountsByTime) {
  Machine machine;
  for (int k = 0; k < 10; ++k) machine.hear(0, 1, 16'000, false, controller::kStreaming);
  EXPECT_EQ(machine.row().volume_ml, 32u);
  // Without a flow the set rate: 4.677e-6 m x 0.762 m x 0.8 m are 2851 mm3 for each report.
  Machine unmetered;
  for (int k = 0; k < 10; ++k) unmetered.hear(0, 1, 0, false, controller::kStreaming);
  EXPECT_EQ(unmetered.row().volume_ml, 28u);
}

// At 0.05 m/s and below a row stands: a flow over a speed of next to nothing is no volume of a
// band, so the set rate's 267 mm3 count.
TEST(RowTotals, BandsOfAStandingRowCountTheSetRate) {
  Machine standing;
  standing.speed_umps = 50'000;
  standing.hear(1000, 1000, 16'000);
  EXPECT_NEAR(standing.row().volume_ml, 267.0, 1.0);
}

TEST(RowTotals, OnlySecondsInWhichSomethingWasCountedCount) {
  Machine machine;
  for (int ms = 0; ms < 5000; ++ms) {
    if (ms == 100) machine.hear(3, 3);
    if (ms == 3500) machine.hear(6, 6);
    count_seconds(machine.totals);
  }
  EXPECT_EQ(machine.totals.seconds, 2u);
}

}  // namespace
