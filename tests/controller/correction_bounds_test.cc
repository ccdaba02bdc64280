// Corrections and the table's check sum at their limits: each exactly at it, one below and one
// above.
#include <gtest/gtest.h>

#include "controller/corrections.h"
#include "tests/controller/fake_hardware.h"

namespace {

using namespace controller;

/// 800 us at the first point, -200 at the second; lags 100 and 0.
sillion_correction between(std::int32_t first, std::int32_t second) {
  sillion_correction correction{};
  correction.points = 2;
  correction.at[0] = first;
  correction.at[1] = second;
  correction.lead_us[0] = 800;
  correction.lead_us[1] = -200;
  correction.lag_us[0] = 100;
  return correction;
}

// The ends belong to the range; beyond them the end's value holds, and is said to be held.
TEST(CorrectionBounds, TheEndsAreInside) {
  const sillion_correction voltage = between(11'000, 13'000);
  for (const std::int32_t at : {10'999, 11'000})
    EXPECT_EQ(shift_at(voltage, at).lead_us, 800) << at;
  for (const std::int32_t at : {13'000, 13'001})
    EXPECT_EQ(shift_at(voltage, at).lead_us, -200) << at;
  EXPECT_TRUE(shift_at(voltage, 10'999).held);
  EXPECT_FALSE(shift_at(voltage, 11'000).held);
  EXPECT_FALSE(shift_at(voltage, 11'001).held);
  EXPECT_FALSE(shift_at(voltage, 13'000).held);
  EXPECT_TRUE(shift_at(voltage, 13'001).held);
  // 1000 us over 2000 mV: 2 mV from either end are 1 us.
  EXPECT_EQ(shift_at(voltage, 11'002).lead_us, 799);
  EXPECT_EQ(shift_at(voltage, 12'998).lead_us, -199);
}

TEST(CorrectionBounds, OnePointHoldsOnBothSides) {
  sillion_correction one = between(500, 0);
  one.points = 1;
  for (const std::int32_t at : {499, 500, 501}) {
    EXPECT_EQ(shift_at(one, at).lead_us, 800) << at;
    EXPECT_EQ(shift_at(one, at).lag_us, 100) << at;
    EXPECT_EQ(shift_at(one, at).held, at != 500) << at;
  }
}

// Without points there is nothing to add and nothing to be outside of, whatever the entries hold
// that are not used.
TEST(CorrectionBounds, WithoutPointsNothingIsAdded) {
  sillion_correction none = between(500, 600);
  none.points = 0;
  for (int k = 0; k < SILLION_CORRECTION_POINTS; ++k) none.at[k] = none.lead_us[k] = 7;
  for (const std::int32_t at : {-1, 0, 550}) {
    EXPECT_EQ(shift_at(none, at).lead_us, 0);
    EXPECT_EQ(shift_at(none, at).lag_us, 0);
    EXPECT_FALSE(shift_at(none, at).held);
  }
}

// 1000 us over 10 steps: the first step is worth 100.
TEST(CorrectionBounds, EveryStepBetweenPointsCounts) {
  sillion_correction steep{};
  steep.points = 3;
  for (int k = 0; k < 3; ++k) {
    steep.at[k] = 10 * k;
    steep.lead_us[k] = 1000 * k * k;
  }
  const std::int32_t expected_us[] = {0, 100, 200, 900, 1000, 1300, 3700, 4000};
  const std::int32_t at[] = {0, 1, 2, 9, 10, 11, 19, 20};
  for (int k = 0; k < 8; ++k) EXPECT_EQ(shift_at(steep, at[k]).lead_us, expected_us[k]) << at[k];
}

// The pressure's factor in 1/4096: 6144 is one and a half. It needs a viscosity and a point.
TEST(CorrectionBounds, ThePressureNeedsAPointAndAViscosity) {
  sillion_config config = test::row_config();
  config.attachment.viscosity_pressure_q12[0] = 6144;
  const auto today_pa = [&](std::int32_t points, std::int32_t viscosity_upas) {
    config.attachment.viscosity.points = points;
    config.attachment.viscosity.at[0] = 1000;
    config.liquid_viscosity_upas = viscosity_upas;
    return pressure_today_pa(config, 200'000);
  };
  EXPECT_EQ(today_pa(0, 0), 200'000);
  EXPECT_EQ(today_pa(0, 1000), 200'000);
  EXPECT_EQ(today_pa(1, 0), 200'000);
  EXPECT_EQ(today_pa(1, 1), 300'000);
  EXPECT_EQ(pressure_in_table_pa(config, 300'000), 200'000);
}

// 10 mV per count. The first sample stands for the past; each further one counts 1/64: from 12 V by
// 10 V to (63 x 12 + 10)/64 = 11.968 V.
TEST(CorrectionBounds, TheSupplyIsAMeanOf64Samples) {
  Corrections state;
  take_supply(state, 1000, 10, 12'276);  // 1000 of 1023: 12.000 V
  EXPECT_EQ(supply_mv(state), 12'000);
  EXPECT_EQ(state.supply_q6_mv, 64 * 12'000);
  take_supply(state, 1000, 10, 10'230);
  EXPECT_EQ(state.supply_q6_mv, 63 * 12'000 + 10'000);
  EXPECT_EQ(supply_mv(state), 11'968);
  for (int k = 0; k < 640; ++k) take_supply(state, 1000, 10, 10'230);
  EXPECT_NEAR(supply_mv(state), 10'000, 2);  // 2 V e^-10 and what 1/64 mV leaves
}

// Each excursion is told once, and again when there was none in between.
TEST(CorrectionBounds, EachExcursionIsToldOnce) {
  sillion_config config = test::row_config();
  config.attachment.voltage = between(11'000, 13'000);
  Corrections state;
  sillion_health health{};
  const auto told = [&](std::int32_t supply_mv) {
    state.supply_q6_mv = std::int64_t{64} * supply_mv;
    sillion_output out{};
    Report report{out, health, 0};
    shift_now(state, config, report);
    if (out.event_count == 1) {
      EXPECT_EQ(out.events[0].b, supply_mv);
    }
    return out.event_count;
  };
  EXPECT_EQ(told(12'000), 0u);
  EXPECT_EQ(told(13'001), 1u);
  EXPECT_EQ(told(13'002), 0u);
  EXPECT_EQ(told(13'000), 0u);
  EXPECT_EQ(told(10'999), 1u);
  EXPECT_EQ(told(10'998), 0u);
}

// A correction has 0 to 4 points (SILLION_CORRECTION_POINTS). A fifth would lie in the leads, and
// these rise here like points.
TEST(CorrectionBounds, MorePointsThanThereIsRoomForAreRefused) {
  sillion_correction many[2] = {};
  for (int k = 0; k < SILLION_CORRECTION_POINTS; ++k) {
    many[0].at[k] = k + 1;
    many[0].lead_us[k] = k + 5;
  }
  for (const std::int32_t points : {0, 1, 3, 4}) {
    many[0].points = points;
    EXPECT_TRUE(usable(many[0])) << points;
  }
  for (const std::int32_t points : {-1, 5}) {
    many[0].points = points;
    EXPECT_FALSE(usable(many[0])) << points;
  }
}

/// CRC-32 of ISO 3309, bit by bit: reflected, polynomial 0xEDB88320, begun and ended with ones.
std::uint32_t crc_of(const void* bytes, std::size_t count) {
  std::uint32_t crc = 0xffff'ffffu;
  for (std::size_t k = 0; k < count; ++k) {
    crc ^= static_cast<const unsigned char*>(bytes)[k];
    for (int bit = 0; bit < 8; ++bit) crc = (crc >> 1) ^ ((crc & 1u) != 0 ? 0xedb8'8320u : 0u);
  }
  return ~crc;
}

// The sum covers the members before it; opening_us, the last of these, only where it is stated. It
// does not cover itself.
TEST(CorrectionBounds, TheSumOfATableEndsBeforeItself) {
  EXPECT_EQ(crc_of("123456789", 9), 0xcbf4'3926u);  // the standard's check value
  sillion_attachment_table table = test::row_config().attachment;
  for (const std::uint32_t stated : {0u, 0xabcd'1234u}) {
    table.check_sum = stated;
    table.opening_us[7] = 0;
    EXPECT_EQ(check_sum_of(table), crc_of(&table, offsetof(sillion_attachment_table, opening_us)));
    table.opening_us[7] = 2500;
    EXPECT_EQ(check_sum_of(table), crc_of(&table, offsetof(sillion_attachment_table, check_sum)));
  }
}

// No sample of the supply: nothing is known, nothing is added, although 0 mV lies beyond the end.
TEST(CorrectionBounds, WithoutASampleTheSupplyAddsNothing) {
  sillion_config config = test::row_config();
  config.attachment.voltage = between(11'000, 13'000);
  Corrections state;
  EXPECT_EQ(voltage_lead_us(state, config.attachment), 0);
  sillion_output out{};
  sillion_health health{};
  Report report{out, health, 0};
  EXPECT_EQ(shift_now(state, config, report).lead_us, 0);
  EXPECT_EQ(out.event_count, 0u);
  state.supply_q6_mv = 1;
  EXPECT_EQ(voltage_lead_us(state, config.attachment), 800);
  EXPECT_EQ(shift_now(state, config, report).lead_us, 800);
  ASSERT_EQ(out.event_count, 1u);
  EXPECT_EQ(out.events[0].a, SILLION_CORRECTS_VOLTAGE);
}

// A viscosity of 0 is not known; the least that can be entered, 1e-6 Pa s, is.
TEST(CorrectionBounds, TheLeastViscosityCounts) {
  sillion_config config = test::row_config();
  config.attachment.viscosity = between(1000, 50'000);
  for (const std::int32_t viscosity : {0, 1, 2}) {
    config.liquid_viscosity_upas = viscosity;
    Corrections state;
    sillion_output out{};
    sillion_health health{};
    Report report{out, health, 0};
    const Shift shift = shift_now(state, config, report);
    EXPECT_EQ(shift.lead_us, viscosity == 0 ? 0 : 800) << viscosity;
    EXPECT_EQ(shift.lag_us, viscosity == 0 ? 0 : 100) << viscosity;
    ASSERT_EQ(out.event_count, viscosity == 0 ? 0u : 1u);
    if (viscosity == 0) continue;
    EXPECT_EQ(out.events[0].a, SILLION_CORRECTS_VISCOSITY);
    EXPECT_EQ(out.events[0].b, viscosity);
  }
}

}  // namespace
