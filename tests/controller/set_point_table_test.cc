#include "controller/set_point_table.h"

#include <gtest/gtest.h>

#include "tests/controller/fake_hardware.h"

namespace {

using namespace controller;

// Rates of the domain: 5 gal/ac = 4677 nm, 0.762 m rows, 16 km/h: 15.84 ml/s (5 gal/ac * 9.942 mph
// * 30 in / 5940 = 0.2511 gal/min = 15.84 ml/s).
TEST(SetPointTable, WantedFlowIsRateTimesWidthTimesSpeed) {
  EXPECT_NEAR(wanted_flow_mm3ps(4677, 762'000, 4'444'444), 15'840, 5);
  EXPECT_EQ(wanted_flow_mm3ps(4677, 762'000, 0), 0);
  EXPECT_EQ(wanted_flow_mm3ps(4677, 762'000, -1'000'000), 0);
}

// Root law p = p0 + c Q^2 through (4000, 20 kPa) and (20000, 500 kPa): at 12000
// (144e6 - 16e6)/(400e6 - 16e6) = 1/3, so 20 + 480/3 = 180 kPa.
TEST(SetPointTable, PressureFollowsTheSquareOfTheFlow) {
  const sillion_attachment_table table = test::row_config().attachment;
  EXPECT_EQ(set_point_for(table, 12'000).pressure_pa, 180'000);
  EXPECT_NEAR(flow_at_pressure_mm3ps(table, 180'000), 12'000, 1);
}

TEST(SetPointTable, TimesAndCurrentAreLinearInTheFlow) {
  sillion_attachment_table table = test::row_config().attachment;
  table.lead_us[1] = 8000;
  table.lag_us[1] = 2000;
  table.current_ma[1] = 3000;
  const SetPoint set = set_point_for(table, 8000);
  EXPECT_EQ(set.lead_us, 5000);
  EXPECT_EQ(set.lag_us, 2750);
  EXPECT_EQ(set.current_ma, 2250);
  EXPECT_TRUE(set.in_range);
}

TEST(SetPointTable, OutsideItStopsAndSaysSo) {
  const sillion_attachment_table table = test::row_config().attachment;
  EXPECT_EQ(set_point_for(table, 30'000).pressure_pa, 500'000);
  EXPECT_FALSE(set_point_for(table, 30'000).in_range);
  EXPECT_EQ(set_point_for(table, 30'000).reachable_mm3ps, 20'000);
  EXPECT_EQ(set_point_for(table, 100).pressure_pa, 20'000);
  EXPECT_FALSE(set_point_for(table, 100).in_range);
  EXPECT_TRUE(set_point_for(table, 20'000).in_range);
  EXPECT_EQ(flow_at_pressure_mm3ps(table, 0), 4000);
  EXPECT_EQ(flow_at_pressure_mm3ps(table, INT32_MAX), 20'000);
}

TEST(SetPointTable, RootIsTheLargestIntegerBelow) {
  for (const std::int64_t n : {std::int64_t{0}, std::int64_t{1}, std::int64_t{2}, std::int64_t{3},
                               std::int64_t{4}, std::int64_t{15}, std::int64_t{16},
                               std::int64_t{144'000'000}, std::int64_t{999'999'999'999}}) {
    const std::int64_t root = root_of(n);
    EXPECT_LE(root * root, n);
    EXPECT_GT((root + 1) * (root + 1), n);
  }
  EXPECT_EQ(root_of(-1), 0);
}

TEST(SetPointTable, UselessTablesAreRefused) {
  const sillion_attachment_table good = test::row_config().attachment;
  EXPECT_TRUE(usable(good));
  sillion_attachment_table bad = good;
  bad.points = 0;
  EXPECT_FALSE(usable(bad));
  bad.points = SILLION_TABLE_POINTS + 1;
  EXPECT_FALSE(usable(bad));
  bad = good;
  bad.flow_mm3ps[1] = bad.flow_mm3ps[0];
  EXPECT_FALSE(usable(bad));
  bad = good;
  bad.pressure_pa[1] = 0;
  EXPECT_FALSE(usable(bad));
  bad = good;
  bad.flow_mm3ps[1] = INT32_MAX;
  EXPECT_FALSE(usable(bad));
}

// Each column of the table by itself, at both of its points: the value at its bound is taken, one
// step beyond it the table is refused. Bounds: 100 bar, 100 A, 1 s; nothing flows backwards.
TEST(SetPointTable, EveryColumnHasItsBounds) {
  struct Column {
    const char* name;
    std::int32_t* (*of)(sillion_attachment_table&);
    std::int32_t least;
    std::int32_t most;
  };
  constexpr Column kColumns[] = {
      {"pressure", [](auto& table) { return table.pressure_pa; }, 0, 10'000'000},
      {"current", [](auto& table) { return table.current_ma; }, 0, 100'000},
      {"lead", [](auto& table) { return table.lead_us; }, -1'000'000, 1'000'000},
      {"lag", [](auto& table) { return table.lag_us; }, -1'000'000, 1'000'000},
      {"opening", [](auto& table) { return table.opening_us; }, 0, 1'000'000},
  };
  for (const Column& column : kColumns)
    for (const int at : {0, 1}) {
      const auto takes = [&](std::int32_t value) {
        sillion_attachment_table table = test::row_config().attachment;
        table.pressure_pa[0] = 0;
        table.pressure_pa[1] = 10'000'000;
        column.of(table)[at] = value;
        return usable(table);
      };
      const bool rises = column.least == 0 && column.most == 10'000'000;
      EXPECT_TRUE(takes(rises && at == 1 ? column.most : column.least)) << column.name << at;
      EXPECT_TRUE(takes(column.most)) << column.name << at;
      EXPECT_FALSE(takes(column.least - 1)) << column.name << at;
      EXPECT_FALSE(takes(column.most + 1)) << column.name << at;
    }
}

TEST(SetPointTable, ABadCorrectionRefusesTheTable) {
  const sillion_attachment_table good = test::row_config().attachment;
  for (sillion_correction sillion_attachment_table::* one :
       {&sillion_attachment_table::voltage, &sillion_attachment_table::viscosity,
        &sillion_attachment_table::rest}) {
    sillion_attachment_table bad = good;
    (bad.*one).points = -1;
    EXPECT_FALSE(usable(bad));
  }
  // The factor of the pressure lies in 1/4096: from 1/4096 to 256.
  sillion_attachment_table table = good;
  table.viscosity.points = 1;
  for (const auto& [factor_q12, taken] :
       {std::pair{0, false}, {1, true}, {1 << 20, true}, {(1 << 20) + 1, false}}) {
    table.viscosity_pressure_q12[0] = factor_q12;
    EXPECT_EQ(usable(table), taken) << factor_q12;
  }
}

// A third point (28 000, 980 kPa) lies on the same root law: (784 - 16)/(400 - 16) = 2 times 480
// kPa above 20. At 24 000: 20 + (576 - 16)/384 x 480 = 720 kPa, and back.
TEST(SetPointTable, TheStretchIsTheOneAround) {
  sillion_attachment_table table = test::row_config().attachment;
  table.points = 3;
  table.flow_mm3ps[2] = 28'000;
  table.pressure_pa[2] = 980'000;
  table.lead_us[2] = 8000;
  EXPECT_EQ(set_point_for(table, 24'000).pressure_pa, 720'000);
  EXPECT_EQ(set_point_for(table, 24'000).lead_us, 6000);
  EXPECT_NEAR(flow_at_pressure_mm3ps(table, 720'000), 24'000, 1);
}

// Where the second stretch is twice as steep, each of them has its own line: at 12 000, 20 + (144 -
// 16)/384 x 480 = 180 kPa, at 24 000, 500 + (576 - 400)/384 x 960 = 940 kPa.
TEST(SetPointTable, EachStretchHasItsOwnLine) {
  sillion_attachment_table table = test::row_config().attachment;
  table.points = 3;
  table.flow_mm3ps[2] = 28'000;
  table.pressure_pa[2] = 1'460'000;
  EXPECT_EQ(set_point_for(table, 12'000).pressure_pa, 180'000);
  EXPECT_EQ(set_point_for(table, 24'000).pressure_pa, 940'000);
  EXPECT_EQ(flow_at_pressure_mm3ps(table, 180'000), 12'000);
  EXPECT_EQ(flow_at_pressure_mm3ps(table, 940'000), 24'000);
  for (const std::int32_t i : {0, 1, 2})
    EXPECT_EQ(flow_at_pressure_mm3ps(table, table.pressure_pa[i]), table.flow_mm3ps[i]);
}

// A lift that can be set gives several flows at one pressure: any of them is the table's.
TEST(SetPointTable, EqualPressuresGiveOneOfTheirFlows) {
  sillion_attachment_table table = test::row_config().attachment;
  table.points = 3;
  table.flow_mm3ps[2] = 28'000;
  for (const std::int32_t highest_pa : {20'000, 500'000}) {
    table.pressure_pa[1] = 20'000;
    table.pressure_pa[2] = highest_pa;
    ASSERT_TRUE(usable(table));
    const std::int32_t flow = flow_at_pressure_mm3ps(table, 20'000);
    EXPECT_EQ(flow, 4000) << "held at the lowest";
    EXPECT_EQ(flow_at_pressure_mm3ps(table, 19'999), 4000);
  }
  EXPECT_EQ(flow_at_pressure_mm3ps(table, 500'000), 28'000);
}

TEST(SetPointTable, OnePointIsATable) {
  sillion_attachment_table table = test::row_config().attachment;
  for (const auto& [points, taken] :
       {std::pair{0, false}, {1, true}, {SILLION_TABLE_POINTS + 1, false}}) {
    table.points = points;
    EXPECT_EQ(usable(table), taken) << points;
  }
  table.points = 1;
  EXPECT_EQ(set_point_for(table, 9000).pressure_pa, 20'000);
  EXPECT_EQ(flow_at_pressure_mm3ps(table, 300'000), 4000);
}

// 1000 nm x 1 m x 0.5 mm/s are half a mm3/s.
TEST(SetPointTable, TheWantedFlowIsRoundedToTheNearest) {
  EXPECT_EQ(wanted_flow_mm3ps(1000, 1'000'000, 500), 1);
  EXPECT_EQ(wanted_flow_mm3ps(1000, 1'000'000, 499), 0);
  EXPECT_EQ(wanted_flow_mm3ps(1000, 1'000'000, 1'499), 1);
  EXPECT_EQ(wanted_flow_mm3ps(1000, 1'000'000, 1'500), 2);
  EXPECT_EQ(wanted_flow_mm3ps(1000, 1'000'000, 0), 0);
  EXPECT_EQ(wanted_flow_mm3ps(1000, 1'000'000, -1'000'000), 0);
}

// A gravity-fed outlet stands under little pressure: 0.2 to 0.27 m of water are some 2000 to 2700
// Pa, fewer than its flow has mm3/s. Each point that the table has room for is judged.
TEST(SetPointTable, AFullTableOfLowPressuresIsUsable) {
  sillion_attachment_table table = test::row_config().attachment;
  table.points = SILLION_TABLE_POINTS;
  for (std::int32_t i = 0; i < SILLION_TABLE_POINTS; ++i) {
    table.flow_mm3ps[i] = 4000 + 1000 * i;
    table.pressure_pa[i] = 2000 + 100 * i;
  }
  EXPECT_TRUE(usable(table));
  table.flow_mm3ps[SILLION_TABLE_POINTS - 1] = table.flow_mm3ps[SILLION_TABLE_POINTS - 2];
  EXPECT_FALSE(usable(table));
}

TEST(SetPointTable, ItsEndsAreInside) {
  const sillion_attachment_table table = test::row_config().attachment;
  EXPECT_FALSE(set_point_for(table, 3999).in_range);
  EXPECT_TRUE(set_point_for(table, 4000).in_range);
  EXPECT_TRUE(set_point_for(table, 20'000).in_range);
  EXPECT_FALSE(set_point_for(table, 20'001).in_range);
}

// From the highest pressure on the table ends, and its end is held.
TEST(SetPointTable, AtTheHighestPressureTheFlowIsTheHighest) {
  sillion_attachment_table table = test::row_config().attachment;
  table.points = 3;
  table.flow_mm3ps[2] = 28'000;
  table.pressure_pa[2] = table.pressure_pa[1];
  ASSERT_TRUE(usable(table));
  EXPECT_EQ(flow_at_pressure_mm3ps(table, 500'000), 28'000);
  EXPECT_EQ(flow_at_pressure_mm3ps(table, 500'001), 28'000);
}

// 2^31 squared is 2^62; 3 037 000 499 squared is 9 223 372 030 926 249 001, below 2^63, and the
// next square is above it.
TEST(SetPointTable, ARootIsExactUpToTheLargestNumber) {
  constexpr std::int64_t kSquare = std::int64_t{1} << 62;
  EXPECT_EQ(root_of(kSquare - 1), (std::int64_t{1} << 31) - 1);
  EXPECT_EQ(root_of(kSquare), std::int64_t{1} << 31);
  EXPECT_EQ(root_of(9'223'372'030'926'249'000), 3'037'000'498);
  EXPECT_EQ(root_of(9'223'372'030'926'249'001), 3'037'000'499);
  EXPECT_EQ(root_of(INT64_MAX), 3'037'000'499);
}

}  // namespace
