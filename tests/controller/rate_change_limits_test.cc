// A changed rate call by call: what is taken from the bus, when the pressure has come, and what the
// rows are told until then. The table is test::row_config()'s: 4000 mm3/s at 20 kPa, 20 000 at 500,
// so that Q^2 = 16e6 + 800 (p - 20 000).
#include <gtest/gtest.h>

#include "controller/rate_change.h"
#include "tests/controller/pressed_machine.h"

namespace {

using controller::RateChange;
using controller::Told;

constexpr std::uint32_t kCame = 0xffff'ff00u;  // the counter wraps behind it

sillion_frame field_frame(std::int32_t field_e11) {
  sillion_frame frame = test::rate_frame(0);
  for (int k = 0; k < 4; ++k)
    frame.bytes[4 + k] = static_cast<std::uint8_t>((field_e11 >> (8 * k)) & 0xff);
  return frame;
}

struct Machine {
  bool take(const sillion_frame& frame, std::int32_t pressure_pa = 100'000) {
    controller::Report report{out, health, ticks};
    return take_rate(change, frame, config, pressure_pa, report);
  }
  Told told(std::int32_t set_pa, std::int32_t measured_pa) {
    controller::Report report{out, health, ticks};
    return told_now(change, config, set_pa, measured_pa, report);
  }

  sillion_config config = test::machine_config();
  RateChange change{.rate_nm = 4000, .old_nm = 4000};
  std::uint32_t ticks = kCame;
  sillion_output out{};
  sillion_health health{};
};

TEST(RateChangeLimits, TheRateInTheBandIsTheFieldsTimesSpacingOverBand) {
  Machine machine;
  EXPECT_TRUE(machine.take(field_frame(233'850)));
  EXPECT_EQ(machine.change.rate_nm, 4677) << "23.385 l/ha in bands of half the spacing";
  EXPECT_FALSE(machine.take(field_frame(233'850))) << "it is the same";
}

TEST(RateChangeLimits, WhereBandsTouchTheRateIsTheFields) {
  for (const std::int32_t band_um : {149'999, 150'000, 150'001, 300'000}) {
    Machine machine;
    machine.config.band_length_um = band_um;
    machine.take(field_frame(467'700));
    EXPECT_EQ(machine.change.rate_nm, 4677) << band_um;
  }
  Machine stream;
  stream.config.continuous = 1;
  stream.take(field_frame(467'700));
  EXPECT_EQ(stream.change.rate_nm, 4677);
}

// 1000 l/ha are 100 000 nm and 10 000 000 of the bus.
TEST(RateChangeLimits, ARateBeyondAThousandLitresIsBad) {
  Machine field;
  field.config.continuous = 1;
  EXPECT_TRUE(field.take(field_frame(10'000'000)));
  EXPECT_EQ(field.change.rate_nm, 100'000);
  Machine band;
  EXPECT_TRUE(band.take(field_frame(5'000'000)));
  EXPECT_EQ(band.change.rate_nm, 100'000);
  EXPECT_EQ(band.health.bad_frames, 0u);
  EXPECT_FALSE(band.take(field_frame(5'000'050))) << "100 001 nm";
  EXPECT_EQ(band.change.rate_nm, 100'000);
  EXPECT_EQ(band.health.bad_frames, 1u);
  ASSERT_EQ(band.out.event_count, 1u);
  EXPECT_EQ(band.out.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_BAD_FRAME));
  EXPECT_EQ(band.out.events[0].a, SILLION_BUS_RATE);
}

TEST(RateChangeLimits, AFrameThatSetsNoRateIsNotBad) {
  Machine machine;
  sillion_frame other = field_frame(233'850);
  other.bytes[2] = 2;
  EXPECT_FALSE(machine.take(other));
  EXPECT_EQ(machine.change.rate_nm, 4000);
  EXPECT_EQ(machine.health.bad_frames, 0u);
  EXPECT_EQ(machine.out.event_count, 0u);
}

// From 100 kPa to 225 kPa: Q^2 is 80e6 and 180e6, so that 6000 nm at 225 kPa are 4000 at 100. At
// 150 kPa it is 120e6: 6000 sqrt(120/180) = 4899.
TEST(RateChangeLimits, TheRowsAreToldWhatThePressureGives) {
  Machine machine;
  ASSERT_TRUE(machine.take(test::rate_frame(6000)));
  const Told half = machine.told(225'000, 150'000);
  EXPECT_EQ(half.pressure_pa, 150'000);
  EXPECT_EQ(half.rate_nm, 4899);
  const Told begun = machine.told(225'000, 100'000);
  EXPECT_EQ(begun.pressure_pa, 100'000);
  EXPECT_EQ(begun.rate_nm, 4000);
  for (const std::int32_t measured_pa : {99'999, 20'000, 0}) {
    const Told below = machine.told(225'000, measured_pa);
    EXPECT_EQ(below.pressure_pa, 100'000) << "no less than before, " << measured_pa;
    EXPECT_EQ(below.rate_nm, 4000);
  }
  const Told above = machine.told(225'000, 400'000);
  EXPECT_EQ(above.pressure_pa, 225'000) << "no more than the set point";
  EXPECT_EQ(above.rate_nm, 6000);
  EXPECT_EQ(machine.out.event_count, 0u) << "it has not come";
}

TEST(RateChangeLimits, ALowerRateIsHeldBetweenTheTwoAsWell) {
  Machine machine;
  machine.change.rate_nm = 6000;
  ASSERT_TRUE(machine.take(test::rate_frame(4000), 225'000));
  EXPECT_EQ(machine.told(100'000, 400'000).pressure_pa, 225'000);
  EXPECT_EQ(machine.told(100'000, 400'000).rate_nm, 6000);
  EXPECT_EQ(machine.told(100'000, 0).pressure_pa, 100'000);
  EXPECT_EQ(machine.told(100'000, 0).rate_nm, 4000);
  EXPECT_EQ(machine.told(100'000, 150'000).rate_nm, 4899) << "4000 sqrt(120/80)";
}

// A 32nd of 320 kPa is 10 kPa.
TEST(RateChangeLimits, ThePressureHasComeWithinA32nd) {
  for (const std::int32_t side : {-1, 1}) {
    Machine machine;
    ASSERT_TRUE(machine.take(test::rate_frame(6000)));
    machine.ticks += 7'999;
    machine.told(320'000, 320'000 + side * 10'001);
    EXPECT_TRUE(machine.change.moving);
    const Told told = machine.told(320'000, 320'000 + side * 10'000);
    EXPECT_FALSE(machine.change.moving);
    EXPECT_EQ(told.rate_nm, 6000);
    EXPECT_EQ(told.pressure_pa, 320'000);
    ASSERT_EQ(machine.out.event_count, 1u);
    EXPECT_EQ(machine.out.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_NEW_RATE));
    EXPECT_EQ(machine.out.events[0].a, 6000);
    EXPECT_EQ(machine.out.events[0].b, 7) << "ms since the bus brought it";
  }
}

TEST(RateChangeLimits, AfterASecondAndAHalfTheRowsGetTheNewRate) {
  Machine machine;
  ASSERT_TRUE(machine.take(test::rate_frame(6000)));
  machine.ticks = kCame + 1'499'999u;
  EXPECT_EQ(machine.told(225'000, 100'000).rate_nm, 4000);
  machine.ticks = kCame + 1'500'000u;
  EXPECT_EQ(machine.told(225'000, 100'000).rate_nm, 6000);
  EXPECT_EQ(machine.told(225'000, 100'000).pressure_pa, 225'000);
  ASSERT_EQ(machine.out.event_count, 1u);
  EXPECT_EQ(machine.out.events[0].b, 1500);
}

TEST(RateChangeLimits, WithoutAConverterTheRowsGetItAtOnce) {
  Machine machine;
  ASSERT_TRUE(machine.take(test::rate_frame(6000)));
  EXPECT_EQ(machine.told(225'000, -1).rate_nm, 6000);
  EXPECT_FALSE(machine.change.moving);
  Machine empty;
  ASSERT_TRUE(empty.take(test::rate_frame(6000)));
  EXPECT_EQ(empty.told(225'000, 0).rate_nm, 4000) << "0 Pa is a measurement";
  EXPECT_TRUE(empty.change.moving);
}

// Behind a rate of 0 the rate before it bounds what the rows are told: at 20 kPa the table gives
// 4000 of the 13 416 mm3/s at 225 kPa, which would be 1789 nm.
TEST(RateChangeLimits, ARateOfNothingKeepsTheRateBefore) {
  Machine machine;
  ASSERT_TRUE(machine.take(test::rate_frame(0), 20'000));
  EXPECT_FALSE(machine.change.moving);
  EXPECT_EQ(machine.told(100'000, 0).rate_nm, 0);
  ASSERT_EQ(machine.out.event_count, 1u);
  EXPECT_EQ(machine.out.events[0].a, 0);
  EXPECT_EQ(machine.out.events[0].b, 0);
  ASSERT_TRUE(machine.take(test::rate_frame(6000), 20'000));
  EXPECT_EQ(machine.told(225'000, 20'000).rate_nm, 4000);
}

TEST(RateChangeLimits, TheLeastRateIsARate) {
  Machine machine;
  machine.change.rate_nm = 1;
  ASSERT_TRUE(machine.take(test::rate_frame(6000), 20'000));
  EXPECT_EQ(machine.told(225'000, 20'000).rate_nm, 1789) << "between 1 and 6000";
}

TEST(RateChangeLimits, BehindNoRateAtAllNothingIsTheLowerBound) {
  Machine machine;
  machine.change = {};
  ASSERT_TRUE(machine.take(test::rate_frame(6000), 20'000));
  EXPECT_EQ(machine.told(225'000, 20'000).rate_nm, 1789);
  machine.change = {};
  ASSERT_TRUE(machine.take(field_frame(50), 20'000)) << "1 nm";
  EXPECT_EQ(machine.told(500'000, 20'000).rate_nm, 0) << "4000 of 20 000 mm3/s are a fifth of 1 nm";
}

}  // namespace
