#include "controller/corrections.h"

#include <gtest/gtest.h>

#include <array>

#include "shared/check_sum.h"
#include "tests/controller/fake_hardware.h"

namespace {

using test::FakeHardware;
using test::row_config;

constexpr double k16kmph_mps = 16.0 / 3.6;

FakeHardware row_at_16(const sillion_config& config) {
  FakeHardware row(config);
  row.report_speed([](double) { return k16kmph_mps; }, 0.0, 500, 5'000'000);
  return row;
}

sillion_correction two_points(std::int32_t from, std::int32_t to) {
  sillion_correction correction{};
  correction.points = 2;
  correction.at[0] = from;
  correction.at[1] = to;
  correction.lead_us[0] = 800;
  correction.lead_us[1] = -200;
  correction.lag_us[0] = 100;
  correction.lag_us[1] = 0;
  return correction;
}

// Check value of CRC-32 in the catalogue of parametrised CRC algorithms (from memory):
// "123456789" gives CBF43926.
TEST(CheckSum, IsTheStandardsOne) {
  shared::CheckSum sum;
  for (const char letter : {'1', '2', '3', '4', '5', '6', '7', '8', '9'})
    sum.take(static_cast<std::uint8_t>(letter));
  EXPECT_EQ(sum.value(), 0xCBF43926u);
}

// Words go in little endian: "1234" is 0x34333231.
TEST(CheckSum, TakesWordsLowestByteFirst) {
  shared::CheckSum bytes;
  shared::CheckSum words;
  for (const char letter : {'1', '2', '3', '4'}) bytes.take(static_cast<std::uint8_t>(letter));
  words.take_word(0x34333231u);
  EXPECT_EQ(bytes.value(), words.value());
}

TEST(CheckSum, EveryMemberOfATableCounts) {
  const sillion_attachment_table table = row_config().attachment;
  const std::uint32_t plain = controller::check_sum_of(table);
  // All members are words of 32 bits and stand without gaps; the last is the sum itself.
  constexpr std::size_t kWords = sizeof(table) / 4;
  for (std::size_t word = 0; word + 1 < kWords; ++word) {
    sillion_attachment_table other = table;
    reinterpret_cast<std::uint32_t*>(&other)[word] ^= 1u;
    EXPECT_NE(controller::check_sum_of(other), plain) << "word " << word;
  }
}

TEST(CheckSum, ATableWithAWrongBitIsRefused) {
  sillion_config config = row_config();
  config.attachment.check_sum = controller::check_sum_of(config.attachment);
  std::vector<std::uint64_t> memory(sillion_describe(SILLION_ROLE_ROW)->memory_bytes / 8 + 1);
  EXPECT_NE(sillion_init(memory.data(), memory.size() * 8, &config, nullptr, 0, nullptr, 0),
            nullptr);
  config.attachment.lead_us[1] ^= 4;
  EXPECT_EQ(sillion_init(memory.data(), memory.size() * 8, &config, nullptr, 0, nullptr, 0),
            nullptr);
}

// Between 800 at 11 V and -200 at 13 V lie 300 in the middle; outside, the end's value holds, and a
// flag says so.
TEST(Corrections, AreLinearBetweenAndHeldOutside) {
  const sillion_correction voltage = two_points(11'000, 13'000);
  EXPECT_EQ(controller::shift_at(voltage, 12'000).lead_us, 300);
  EXPECT_EQ(controller::shift_at(voltage, 12'000).lag_us, 50);
  EXPECT_EQ(controller::shift_at(voltage, 9'000).lead_us, 800);
  EXPECT_TRUE(controller::shift_at(voltage, 9'000).held);
  EXPECT_EQ(controller::shift_at(voltage, 15'000).lead_us, -200);
  EXPECT_TRUE(controller::shift_at(voltage, 15'000).held);
  EXPECT_FALSE(controller::shift_at(voltage, 13'000).held);
  EXPECT_EQ(controller::shift_at({}, 12'000).lead_us, 0);
}

TEST(Corrections, PointsThatDoNotRiseAreRefused) {
  sillion_correction wrong = two_points(13'000, 11'000);
  EXPECT_FALSE(controller::usable(wrong));
  wrong = two_points(11'000, 13'000);
  wrong.points = SILLION_CORRECTION_POINTS + 1;
  EXPECT_FALSE(controller::usable(wrong));
  wrong.points = 2;
  wrong.lead_us[0] = 2'000'000;
  EXPECT_FALSE(controller::usable(wrong));
}

// A shift is at most 100 ms either way: no valve needs more, and no instant wraps by it.
TEST(Corrections, ShiftsBeyondATenthOfASecondAreRefused) {
  const sillion_correction good = two_points(11'000, 13'000);
  sillion_correction one = good;
  one.points = -1;
  EXPECT_FALSE(controller::usable(one));
  for (const int sign : {-1, 1})
    for (const std::size_t at : {0u, 1u}) {
      one = good;
      one.lead_us[at] = one.lag_us[at] = sign * 100'000;
      EXPECT_TRUE(controller::usable(one));
      one.lead_us[at] = sign * 100'001;
      EXPECT_FALSE(controller::usable(one));
      one.lead_us[at] = 0;
      one.lag_us[at] = sign * 100'001;
      EXPECT_FALSE(controller::usable(one));
    }
}

// Points at 10, 20 and 40 with 0, 100 and 500: three quarters of the last stretch are 400.
TEST(Corrections, TheStretchIsTheOneAround) {
  sillion_correction three{};
  three.points = 3;
  for (const std::size_t k : {0u, 1u, 2u}) {
    three.at[k] = std::array{10, 20, 40}[k];
    three.lead_us[k] = std::array{0, 100, 500}[k];
  }
  EXPECT_EQ(controller::shift_at(three, 15).lead_us, 50);
  EXPECT_EQ(controller::shift_at(three, 20).lead_us, 100);
  EXPECT_EQ(controller::shift_at(three, 35).lead_us, 400);
}

// 384 of 1023 counts of 32 V are 12.012 V; the shift there is 800 - 1000 * 1.012/2 = 294 us, so the
// opening of the delay's 65 ms comes 294 us sooner, the closing 51 us sooner (100 - 100 * 0.506).
TEST(Corrections, VoltageMovesTheFiring) {
  sillion_config config = row_config();
  config.analog_full_scale[1] = 32'000;
  config.attachment.voltage = two_points(11'000, 13'000);
  FakeHardware row = row_at_16(config);
  row.set_supply(384);
  row.drop_seed(1'000'000);
  row.run_until(2'000'000);
  ASSERT_EQ(row.pulses().size(), 1u);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].open_us), 1'065'000.0 - 294.0, 3.0);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].close_us), 1'082'875.0 - 49.0, 4.0);
  EXPECT_EQ(row.count(SILLION_EVENT_CORRECTION_HELD), 0);
}

// 256 counts are 8.0 V, below the table: the value at its end is used, and that is reported once.
TEST(Corrections, AVoltageOutsideIsHeldAndToldOnce) {
  sillion_config config = row_config();
  config.analog_full_scale[1] = 32'000;
  config.attachment.voltage = two_points(11'000, 13'000);
  FakeHardware row = row_at_16(config);
  row.set_supply(256);
  row.drop_seed(1'000'000);
  row.run_until(2'000'000);
  ASSERT_EQ(row.pulses().size(), 1u);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].open_us), 1'065'000.0 - 800.0, 3.0);
  EXPECT_EQ(row.count(SILLION_EVENT_CORRECTION_HELD), 1);
}

// 11 mPa s lie in the middle of 2 and 20: 300 us sooner, and the closing 50 us sooner. 1 mPa s lies
// outside: the end's 800 us hold, and that is reported once.
TEST(Corrections, TheViscosityEnteredMovesTheFiring) {
  for (const std::int32_t viscosity_upas : {11'000, 1'000}) {
    sillion_config config = row_config();
    config.liquid_viscosity_upas = viscosity_upas;
    config.attachment.viscosity = two_points(2'000, 20'000);
    for (int& factor : config.attachment.viscosity_pressure_q12) factor = 4096;
    FakeHardware row = row_at_16(config);
    row.drop_seed(1'000'000);
    row.run_until(2'000'000);
    const bool outside = viscosity_upas < 2'000;
    ASSERT_EQ(row.pulses().size(), 1u);
    EXPECT_NEAR(static_cast<double>(row.pulses()[0].open_us), 1'065'000.0 - (outside ? 800 : 300),
                3.0);
    EXPECT_NEAR(static_cast<double>(row.pulses()[0].close_us), 1'082'875.0 - (outside ? 100 : 50),
                4.0);
    EXPECT_EQ(row.count(SILLION_EVENT_CORRECTION_HELD), outside ? 1 : 0);
  }
}

TEST(Corrections, AnUnknownViscosityAddsNothing) {
  sillion_config config = row_config();
  config.attachment.viscosity = two_points(2'000, 20'000);
  for (int& factor : config.attachment.viscosity_pressure_q12) factor = 8192;
  EXPECT_EQ(controller::pressure_today_pa(config, 100'000), 100'000);
  config.liquid_viscosity_upas = 2'000;
  EXPECT_EQ(controller::pressure_today_pa(config, 100'000), 200'000);
  EXPECT_EQ(controller::pressure_in_table_pa(config, 200'000), 100'000);
}

// Seeds at 1.000 and 1.030 s open at 1.065 and 1.095; the first closes at 1.082 875, so the second
// would open 12.125 ms after a closing. Points at 10 and 20 ms, lead 800 and -200: a lead of l ms
// leaves a rest of 12.125 - l, and there the line says l = 0.8 - 0.1 (2.125 - l), so l = 653 us.
// No pulse precedes the first one: the last point holds for it, which here adds -200 us.
TEST(Corrections, TheRestBeforeAPulseMovesIt) {
  sillion_config config = row_config();
  config.attachment.rest = two_points(10'000, 20'000);
  config.attachment.shortest_closed_us = 2'000;
  FakeHardware row = row_at_16(config);
  row.drop_seed(1'000'000);
  row.drop_seed(1'030'000);
  row.run_until(2'000'000);
  ASSERT_EQ(row.pulses().size(), 2u);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].open_us), 1'065'000.0 + 200.0, 3.0);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].close_us), 1'082'875.0, 3.0);
  EXPECT_NEAR(static_cast<double>(row.pulses()[1].open_us), 1'095'000.0 - 653.0, 3.0);
  EXPECT_EQ(row.count(SILLION_EVENT_CORRECTION_HELD), 0);
}

// Seeds 23 ms apart: the closing at 1.082 875 and the plain opening at 1.088 leave 5.1 ms, and
// after that rest the table asks for 4 ms more lead; the remaining 1.1 ms are less than the 2 ms in
// which the valve shuts. So both get one pulse.
TEST(Corrections, TheRestBeforeAPulseMergesIt) {
  sillion_config config = row_config();
  config.attachment.rest = two_points(10'000, 20'000);
  config.attachment.rest.lead_us[0] = 4'000;
  config.attachment.rest.lead_us[1] = 0;
  config.attachment.shortest_closed_us = 2'000;
  FakeHardware row = row_at_16(config);
  row.drop_seed(1'000'000);
  row.drop_seed(1'023'000);
  row.run_until(2'000'000);
  EXPECT_EQ(row.pulses().size(), 1u);
  EXPECT_EQ(row.count(SILLION_EVENT_MERGED), 1);
  EXPECT_EQ(row.count(SILLION_EVENT_LATE_FIRING), 0);
}

}  // namespace
