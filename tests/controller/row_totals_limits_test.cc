// What one report adds to a row's totals, worked by hand from the laws at the top of
// controller/row_totals.h. With a width of 1 m and bands of 1 m, 1 nm is 1 mm3 per band.
#include <gtest/gtest.h>

#include "controller/row_totals.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::kFlowValid;
using controller::kStreaming;
using controller::RowReportFrame;
using controller::RowTotal;
using controller::RowTotals;

struct Machine {
  Machine() {
    config.rows = 1;
    config.row_width_um = 1'000'000;
    config.band_length_um = 1'000'000;
    config.in_band_rate_nm = 333;
  }
  void report(std::uint32_t seeds, std::uint32_t bands, bool anew = false) {
    said.seeds = static_cast<std::uint16_t>(seeds);
    said.bands = static_cast<std::uint16_t>(bands);
    take_counts(totals, said, anew, config, speed_umps, yaw_uradps);
  }
  /// One of the two counters alone.
  void report_one(bool of_seeds, std::uint32_t count) {
    report(of_seeds ? count : said.seeds, of_seeds ? said.bands : count);
  }
  std::uint32_t total(bool of_seeds) const { return of_seeds ? own().seeds : own().bands; }
  const RowTotal& own() const { return totals.rows[said.row]; }

  sillion_config config = test::machine_config();
  RowTotals totals;
  RowReportFrame said;
  std::int32_t speed_umps = 2'000'000;
  std::int32_t yaw_uradps = 0;
};

TEST(RowTotalsLimits, BandsOfTheSetRateAddUpToMillilitres) {
  Machine machine;
  machine.report(3, 3);
  EXPECT_EQ(machine.own().volume_ml, 0u) << "999 mm3";
  EXPECT_EQ(machine.own().rest_mm3, 999u);
  machine.report(4, 4);
  EXPECT_EQ(machine.own().volume_ml, 1u);
  EXPECT_EQ(machine.own().rest_mm3, 332u);
}

// 0.1 mm x 5 m x 2 m are 1 l.
TEST(RowTotalsLimits, TheLargestBandIsALitre) {
  Machine machine;
  machine.config.in_band_rate_nm = 100'000;
  machine.config.row_width_um = 5'000'000;
  machine.config.band_length_um = 2'000'000;
  machine.report(1, 1);
  EXPECT_EQ(machine.own().volume_ml, 1000u);
  EXPECT_EQ(machine.own().rest_mm3, 0u);
  machine.report(1, 1);
  EXPECT_EQ(machine.own().volume_ml, 1000u) << "no band more, no volume more";
}

// 0.1 mm x 5 m x 20 m/s x 0.2 s are 2 l.
TEST(RowTotalsLimits, AStreamHasTheSetRateOverItsWay) {
  Machine machine;
  machine.config.in_band_rate_nm = 100'000;
  machine.config.row_width_um = 5'000'000;
  machine.speed_umps = 20'000'000;
  machine.said.state = kStreaming;
  machine.report(0, 0);
  EXPECT_EQ(machine.own().volume_ml, 2000u);
  EXPECT_EQ(machine.own().rest_mm3, 0u);
  machine.speed_umps = -20'000'000;
  machine.report(0, 0);
  EXPECT_EQ(machine.own().volume_ml, 2000u) << "backwards no way is laid";
  EXPECT_EQ(machine.own().rest_mm3, 0u);
}

// 20 001 mm3/s for 0.2 s are 4000.2 mm3.
TEST(RowTotalsLimits, AStreamWithAMeterHasItsFlow) {
  Machine machine;
  machine.said.state = kStreaming | kFlowValid;
  machine.said.flow_mm3ps = 20'001;
  machine.report(0, 0);
  EXPECT_EQ(machine.own().volume_ml, 4u);
  EXPECT_EQ(machine.own().rest_mm3, 0u);
}

// 10 000 mm3/s while 1 m is passed: 0.5 s at 2 m/s. At 50 mm/s the machine stands.
TEST(RowTotalsLimits, ABandWithAMeterHasTheFlowForItsTime) {
  Machine machine;
  machine.said.state = kFlowValid;
  machine.said.flow_mm3ps = 10'000;
  machine.report(1, 1);
  EXPECT_EQ(machine.own().volume_ml, 5u);
  EXPECT_EQ(machine.own().rest_mm3, 0u);
  machine.speed_umps = 50'001;
  machine.report(2, 2);
  EXPECT_EQ(machine.own().volume_ml, 5u + 199u) << "10 000 / 0.050001 = 199 996 mm3";
  EXPECT_EQ(machine.own().rest_mm3, 996u);
  machine.speed_umps = 50'000;
  machine.report(3, 3);
  EXPECT_EQ(machine.own().volume_ml, 5u + 199u + 1u) << "the set rate's 333 mm3";
  EXPECT_EQ(machine.own().rest_mm3, 329u);
}

// Two rows of 1 m: row 1 is 0.5 m to the right. In a right turn of 1 rad/s it goes 1.5 m/s, row 0
// 2.5 m/s.
TEST(RowTotalsLimits, InATurnEachRowHasItsOwnSpeed) {
  for (const auto& [row, wanted_ml] : {std::pair{0, 6u}, {1, 10u}}) {
    Machine machine;
    machine.config.rows = 2;
    machine.yaw_uradps = 1'000'000;
    machine.said.row = static_cast<std::uint8_t>(row);
    machine.said.state = kFlowValid;
    machine.said.flow_mm3ps = 15'000;
    machine.report(1, 1);
    EXPECT_EQ(machine.own().volume_ml, wanted_ml) << row;
    EXPECT_EQ(machine.own().rest_mm3, 0u);
  }
}

TEST(RowTotalsLimits, TheFirstReportIsBelieved) {
  Machine machine;
  machine.report(5000, 6000);
  EXPECT_EQ(machine.own().seeds, 5000u);
  EXPECT_EQ(machine.own().bands, 6000u);
}

TEST(RowTotalsLimits, ALeapIsBelievedAfterFiveReports) {
  for (const bool of_seeds : {true, false}) {
    Machine machine;
    machine.report(100, 100);
    machine.report_one(of_seeds, 2100);
    EXPECT_EQ(machine.total(of_seeds), 2100u) << "an advance of 2000 is none";
    for (std::uint32_t k = 0; k < 5; ++k) machine.report_one(of_seeds, 4101 + k);
    EXPECT_EQ(machine.total(of_seeds), 2100u) << "2001 and more is, five times";
    machine.report_one(of_seeds, 4106);
    EXPECT_EQ(machine.total(of_seeds), 4106u);
    for (std::uint32_t k = 0; k < 5; ++k) machine.report_one(of_seeds, 8000);
    EXPECT_EQ(machine.total(of_seeds), 4106u) << "five again";
    machine.report_one(of_seeds, 4107);
    EXPECT_EQ(machine.total(of_seeds), 4107u) << "one in order ends the doubt";
    for (std::uint32_t k = 0; k < 5; ++k) machine.report_one(of_seeds, 8000);
    EXPECT_EQ(machine.total(of_seeds), 4107u);
    machine.report_one(of_seeds, 8000);
    EXPECT_EQ(machine.total(of_seeds), 8000u);
    EXPECT_EQ(machine.total(!of_seeds), 100u);
  }
}

TEST(RowTotalsLimits, ALeapBackwardsCountsFromNothing) {
  for (const bool of_seeds : {true, false}) {
    Machine machine;
    machine.report(9000, 9000);
    machine.report_one(of_seeds, 7000);
    EXPECT_EQ(machine.total(of_seeds), 7000u) << "2000 are taken back";
    for (int k = 0; k < 5; ++k) machine.report_one(of_seeds, 4999);
    EXPECT_EQ(machine.total(of_seeds), 7000u);
    machine.report_one(of_seeds, 4999);
    EXPECT_EQ(machine.total(of_seeds), 7000u + 4999u);
  }
}

TEST(RowTotalsLimits, OneCounterBackIsTakenBackAndBothAreANewStart) {
  for (const bool of_seeds : {true, false}) {
    Machine machine;
    machine.report(100, 100);
    machine.report_one(of_seeds, 90);
    EXPECT_EQ(machine.total(of_seeds), 90u);
    EXPECT_EQ(machine.total(!of_seeds), 100u);
  }
  Machine both;
  both.report(100, 100);
  both.report(99, 98);
  EXPECT_EQ(both.own().seeds, 199u);
  EXPECT_EQ(both.own().bands, 198u);
  Machine anew;
  anew.report(100, 100);
  anew.report(5000, 6000, true);
  EXPECT_EQ(anew.own().seeds, 5100u) << "a new start is believed at once";
  EXPECT_EQ(anew.own().bands, 6100u);
}

// Of 16 bits, 63 536 and more look like a step back from 0; from its start on a counter makes none.
TEST(RowTotalsLimits, ACounterThatBeginsDoesNotGoBack) {
  for (const std::uint32_t count : {63'535u, 63'536u, 65'535u}) {
    Machine first;
    first.report(count, 1);
    EXPECT_EQ(first.own().seeds, count) << "of the first report";
    EXPECT_EQ(first.own().bands, 1u);
    Machine both;
    both.report(count, count);
    EXPECT_EQ(both.own().seeds, count);
    EXPECT_EQ(both.own().bands, count);
    EXPECT_EQ(both.own().volume_ml, count * 333 / 1000);
    Machine anew;
    anew.report(100, 100);
    anew.report(count, count, true);
    EXPECT_EQ(anew.own().seeds, 100 + count);
    EXPECT_EQ(anew.own().bands, 100 + count);
  }
}

TEST(RowTotalsLimits, CountersWrapAfter65535) {
  Machine machine;
  for (std::uint32_t count = 2000; count < 65'535; count += 2000) machine.report(count, count);
  machine.report(65'535, 65'535);
  machine.report(3, 4);
  EXPECT_EQ(machine.own().seeds, 65'539u);
  EXPECT_EQ(machine.own().bands, 65'540u);
}

void count_ms(RowTotals& totals, int ms) {
  for (int k = 0; k < ms; ++k) count_seconds(totals);
}

TEST(RowTotalsLimits, ASecondInWhichSomethingCameCounts) {
  for (const auto& [seeds, bands] : {std::pair{1u, 0u}, {0u, 1u}}) {
    Machine machine;
    count_ms(machine.totals, 1000);
    EXPECT_EQ(machine.totals.seconds, 0u);
    machine.report(seeds, bands);
    EXPECT_TRUE(machine.totals.counted);
    count_ms(machine.totals, 999);
    EXPECT_EQ(machine.totals.seconds, 0u);
    count_ms(machine.totals, 1);
    EXPECT_EQ(machine.totals.seconds, 1u);
    count_ms(machine.totals, 1000);
    EXPECT_EQ(machine.totals.seconds, 1u) << "nothing came";
    machine.report(2, 2);
    count_ms(machine.totals, 999);
    EXPECT_EQ(machine.totals.seconds, 1u);
    count_ms(machine.totals, 1);
    EXPECT_EQ(machine.totals.seconds, 2u);
  }
}

TEST(RowTotalsLimits, AReportWithNothingNewCountsNoSecond) {
  Machine machine;
  machine.report(0, 0);
  EXPECT_FALSE(machine.totals.counted);
  count_ms(machine.totals, 1000);
  EXPECT_EQ(machine.totals.seconds, 0u);
}

TEST(RowTotalsLimits, BandsAloneThatBeginDoNotGoBack) {
  for (const std::uint32_t bands : {63'535u, 63'536u, 65'535u}) {
    Machine machine;
    machine.report(1, bands);
    EXPECT_EQ(machine.own().bands, bands);
    EXPECT_EQ(machine.own().volume_ml, bands * 333 / 1000);
  }
}

// It begins with its first report and not again when it passes 0, nor after frames in doubt.
TEST(RowTotalsLimits, ACounterBeginsOnce) {
  for (const bool of_seeds : {true, false}) {
    Machine wraps;
    wraps.report(1, 1);
    for (std::uint32_t count = 2000; count < 65'535; count += 2000)
      wraps.report_one(of_seeds, count);
    wraps.report_one(of_seeds, 65'535);
    wraps.report_one(of_seeds, 65'536);
    EXPECT_EQ(wraps.total(of_seeds), 65'536u);
    wraps.report_one(of_seeds, 65'535);
    EXPECT_EQ(wraps.total(of_seeds), 65'535u) << "one is taken back";
    Machine full;
    full.report(of_seeds ? 65'535 : 1, of_seeds ? 1 : 65'535);
    full.report_one(of_seeds, 65'536);
    full.report_one(of_seeds, 65'535);
    EXPECT_EQ(full.total(of_seeds), 65'535u) << "one is taken back";
    Machine doubted;
    doubted.report(100, 100);
    for (int k = 0; k < 5; ++k) doubted.report_one(of_seeds, 9000);
    doubted.report_one(of_seeds, 90);
    EXPECT_EQ(doubted.total(of_seeds), 90u) << "ten are taken back";
  }
}

TEST(RowTotalsLimits, ALeapInDoubtAddsNoVolume) {
  Machine machine;
  machine.report(1, 1);
  for (int k = 0; k < 5; ++k) machine.report(1, 9000);
  EXPECT_EQ(machine.own().volume_ml, 0u);
  EXPECT_EQ(machine.own().rest_mm3, 333u) << "of the first band";
}

}  // namespace
