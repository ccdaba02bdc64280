#include "controller/rate_change.h"

#include <gtest/gtest.h>

#include <cstdio>

#include "controller/set_point_table.h"
#include "tests/controller/pressed_machine.h"

namespace {

using namespace controller;
using test::PressedMachine;

constexpr double kBorder_s = 3.05;
constexpr std::int64_t kBorder_us = 3'050'000;

/// Lead falls from 5 to 3 ms over the table: 0.125 us per mm3/s, so that a wrong pressure shows.
sillion_config sloped_config() {
  sillion_config config = test::pressed_config();
  config.attachment.lead_us[0] = 5000;
  config.attachment.lead_us[1] = 3000;
  return config;
}

double as_set(double, double set_pa) { return set_pa; }

struct Drive {
  explicit Drive(std::int32_t to_nm, const sillion_config& config = sloped_config())
      : pressed(as_set, config) {
    pressed.report_speed(test::kSpeed_mps, 50'000, 8'000'000);
    pressed.machine.receive(20'000, test::rate_frame(4677));
    pressed.machine.receive(kBorder_us, test::rate_frame(to_nm));
    pressed.machine.receive(kBorder_us + 1'000'000, test::rate_frame(to_nm));
    pressed.run_until(7'000'000);
  }
  /// The set point that the rows have at an instant.
  SetPointFrame told_at(double time_s) const {
    SetPointFrame last, one;
    for (const auto& [at_us, frame] : pressed.machine.sent)
      if (static_cast<double>(at_us) * 1e-6 <= time_s && decode(frame, one)) last = one;
    return last;
  }
  const sillion_event_record* new_rate() const {
    for (const auto& event : pressed.machine.events)
      if (event.code == SILLION_EVENT_NEW_RATE) return &event;
    return nullptr;
  }
  PressedMachine pressed;
};

// 4677 nm is 254.0 kPa at 4 m/s (pressure_loop_test.cc). 1.2 times that is 17'107 mm3/s: squares
// (292.65 - 16)/384 of 480 kPa on top of 20: 365.8 kPa, in the very call that brings the rate.
TEST(RateChange, ThePressureMovesAtOnceAndTheRowsFollowIt) {
  const Drive drive(5612);
  const auto& set = drive.pressed.machine.pressures_pa;
  const auto moved =
      std::find_if(set.begin(), set.end(), [](const auto& one) { return one.first >= kBorder_us; });
  ASSERT_NE(moved, set.end());
  EXPECT_EQ(moved->first, kBorder_us);
  EXPECT_NEAR(moved->second, 365'800.0, 700.0);
  std::int32_t before_pa = 0, before_nm = 0;
  for (double at_s = kBorder_s; at_s < kBorder_s + 0.4; at_s += 0.1) {
    const SetPointFrame told = drive.told_at(at_s);
    EXPECT_GT(told.pressure_pa, before_pa);
    EXPECT_GT(told.rate_nm, before_nm);
    EXPECT_LE(told.pressure_pa, drive.pressed.pressure_at_pa(at_s) + 2000.0);
    before_pa = told.pressure_pa;
    before_nm = told.rate_nm;
  }
  EXPECT_EQ(drive.told_at(kBorder_s + 1.0).rate_nm, 5612);
  EXPECT_NEAR(drive.told_at(kBorder_s + 1.0).pressure_pa, 365'800.0, 700.0);
}

/// What the first 10 bands at 150 mm behind the border miss: by the lead that the rows take against
/// that of the pressure behind their valves, and by the flow against that of the new rate.
struct FirstTen {
  double place_mm = 0.0;          // largest
  double without_order_mm = 0.0;  // where the rows were told the new set point at once
  double dose_percent = 0.0;      // mean
  double within_5_percent_s = 0.0;
};
FirstTen first_ten(std::int32_t to_nm, bool by_rate) {
  const sillion_config config = sloped_config();
  const Drive drive(to_nm);
  const sillion_attachment_table& table = config.attachment;
  const auto lead_at = [&](double pressure_pa) {
    return set_point_for(table,
                         flow_at_pressure_mm3ps(table, static_cast<std::int32_t>(pressure_pa)))
        .lead_us;
  };
  const std::int32_t wanted =
      wanted_flow_mm3ps(to_nm, config.row_width_um, static_cast<std::int32_t>(4e6));
  FirstTen found;
  for (int k = 0; k < 10; ++k) {
    const double at_s = kBorder_s + 0.0375 * k;
    const double has_pa = drive.pressed.pressure_at_pa(at_s);
    const SetPointFrame told = drive.told_at(at_s);
    const std::int32_t told_us =
        by_rate ? set_point_for(table, wanted_flow_mm3ps(told.rate_nm, config.row_width_um,
                                                         static_cast<std::int32_t>(4e6)))
                      .lead_us
                : lead_at(told.pressure_pa);
    const std::int32_t new_us = set_point_for(table, wanted).lead_us;
    const auto miss_mm = [&](std::int32_t lead_us) {
      return std::abs(lead_us - lead_at(has_pa)) * 1e-3 * test::kSpeed_mps;
    };
    found.place_mm = std::max(found.place_mm, miss_mm(told_us));
    found.without_order_mm = std::max(found.without_order_mm, miss_mm(new_us));
    const double flow = flow_at_pressure_mm3ps(table, static_cast<std::int32_t>(has_pa));
    found.dose_percent += 10.0 * (flow / wanted - 1.0);
  }
  for (double after_s = 0.0; after_s < 2.0; after_s += 0.005) {
    const double flow = flow_at_pressure_mm3ps(
        table, static_cast<std::int32_t>(drive.pressed.pressure_at_pa(kBorder_s + after_s)));
    if (std::abs(flow / wanted - 1.0) > 0.05) found.within_5_percent_s = after_s + 0.005;
  }
  return found;
}

// Without the order every row takes at once the lead of the pressure that is to come: 2851 mm3/s
// times 0.125 us are 0.356 ms or 1.43 mm. With it the lead is that of a set point that is at most
// 100 ms old, in which the pressure goes at most 1 - exp(-0.1/0.2) = 39 % of its way. The flow
// comes with the pressure: tau ln(0.306/0.0975) = 0.23 s upwards; from 1.25 times the new rate
// downwards tau ln(0.5625/0.1025) = 0.34 s, and 5 ms of the test's steps.
TEST(RateChange, FirstTenBandsBehindABorder) {
  struct Case {
    const char* step;
    std::int32_t to_nm;
    double bound_s;
  };
  for (const Case& one : {Case{"up by 20 %", 5612, 0.24}, Case{"down by 20 %", 3742, 0.35}}) {
    for (const bool by_rate : {false, true}) {
      const FirstTen found = first_ten(one.to_nm, by_rate);
      std::printf(
          "rate %s, rows by %s: worst of the first 10 bands %.2f mm, rows first %.2f mm; dose off "
          "by %.1f %% in the mean, within 5 %% after %.3f s\n",
          one.step, by_rate ? "lift" : "pressure", found.place_mm, found.without_order_mm,
          found.dose_percent, found.within_5_percent_s);
      EXPECT_GT(found.without_order_mm, 1.2);
      EXPECT_LT(found.place_mm, 0.45 * found.without_order_mm);
      EXPECT_LE(found.within_5_percent_s, one.bound_s);
    }
  }
}

TEST(RateChange, SaysWhenTheRowsHaveTheNewRate) {
  const Drive drive(5612);
  const sillion_event_record* said = drive.new_rate();
  ASSERT_NE(said, nullptr);
  EXPECT_EQ(said->a, 5612);
  // to 1/32 of the set point: tau ln(0.306 * 32) = 0.456 s, asked every 100 ms
  EXPECT_GE(said->b, 440);
  EXPECT_LE(said->b, 580);
  EXPECT_EQ(drive.pressed.machine.count(SILLION_EVENT_NEW_RATE), 1);
}

// The pressure never comes, or its converter is broken: the rows have the new rate after 1.5 s.
TEST(RateChange, AfterASecondAndAHalfTheRowsHaveItAnyway) {
  PressedMachine pressed([](double, double) { return 254'000.0; });
  pressed.report_speed(test::kSpeed_mps, 50'000, 8'000'000);
  pressed.machine.receive(20'000, test::rate_frame(4677));
  pressed.machine.receive(kBorder_us, test::rate_frame(5612));
  pressed.run_until(7'000'000);
  SetPointFrame told;
  for (const auto& [at_us, frame] : pressed.machine.sent) {
    if (!decode(frame, told) || at_us < kBorder_us) continue;
    if (at_us < kBorder_us + 1'500'000) {
      EXPECT_LT(told.rate_nm, 5000) << at_us;
    } else {
      EXPECT_EQ(told.rate_nm, 5612) << at_us;
    }
  }
}

TEST(RateChange, WithoutAConverterTheRowsHaveItAtOnce) {
  const Drive drive(5612, test::machine_config());
  ASSERT_NE(drive.new_rate(), nullptr);
  EXPECT_EQ(drive.new_rate()->b, 0);
  EXPECT_EQ(drive.told_at(kBorder_s).rate_nm, 5612);
}

// Rate 0 reaches the rows with the very call; the pressure waits where it is for the rate behind.
TEST(RateChange, NothingIsLaidAtRateZero) {
  const Drive drive(0);
  EXPECT_EQ(drive.told_at(kBorder_s).rate_nm, 0);
  EXPECT_EQ(drive.told_at(kBorder_s + 3.0).rate_nm, 0);
  EXPECT_NEAR(drive.pressed.machine.pressures_pa.back().second, 254'000.0, 500.0);
  test::FakeHardware row(test::row_config());
  for (const auto& [at_us, frame] : drive.pressed.machine.sent) row.receive(at_us, frame);
  for (int k = 0; k < 80; ++k) row.drop_seed(2'000'000 + 37'500 * k);
  row.run_until(6'000'000);
  EXPECT_GT(row.pulses().size(), 20u);
  EXPECT_FALSE(row.valve_open());
  EXPECT_LT(row.pulses().back().close_us, kBorder_us + 1000);
  EXPECT_EQ(row.count(SILLION_EVENT_RATE_OUT_OF_RANGE), 0);
}

TEST(RateChange, OtherProcessDataIsNotForUsAndABadRateIsBad) {
  for (const int byte : {0, 2}) {  // another command, another identifier
    PressedMachine pressed(as_set);
    sillion_frame frame = test::rate_frame(5612);
    frame.bytes[byte] = 0x14;
    pressed.machine.receive(50'000, frame);
    pressed.run_until(500'000);
    EXPECT_EQ(pressed.machine.health.bad_frames, 0u);
    EXPECT_EQ(pressed.machine.count(SILLION_EVENT_NEW_RATE), 0);
  }
  PressedMachine pressed(as_set);
  sillion_frame frame = test::rate_frame(5612);
  frame.bytes[7] = 0x80;  // negative
  pressed.machine.receive(50'000, frame);
  frame = test::rate_frame(5612);
  frame.length = 7;
  pressed.machine.receive(60'000, frame);
  pressed.machine.receive(70'000,
                          test::rate_frame(199'000));  // 995 l/ha of the field, 1990 in band
  pressed.run_until(500'000);
  EXPECT_EQ(pressed.machine.health.bad_frames, 3u);
  EXPECT_EQ(pressed.machine.count(SILLION_EVENT_BAD_FRAME), 3);
  EXPECT_EQ(pressed.machine.count(SILLION_EVENT_NEW_RATE), 0);
}

// Where bands touch the rate in the band is the field's.
TEST(RateChange, BandsThatTouchHaveTheFieldsRate) {
  sillion_config config = test::pressed_config();
  config.band_length_um = 150'000;
  RateChange change;
  sillion_output out{};
  sillion_health health{};
  Report report{out, health, 0};
  EXPECT_TRUE(take_rate(change, test::rate_frame(4000), config, 0, report));
  EXPECT_EQ(change.rate_nm, 2000);
  EXPECT_FALSE(take_rate(change, test::rate_frame(4000), config, 0, report));
  // So it is in a stream, however short the bands would be.
  config.band_length_um = 75'000;
  config.continuous = 1;
  RateChange stream;
  EXPECT_TRUE(take_rate(stream, test::rate_frame(4000), config, 0, report));
  EXPECT_EQ(stream.rate_nm, 2000);
}

// The task controller repeats a new rate within the same call: the set point goes out at once all
// the same.
TEST(RateChange, ARepetitionInTheSameCallTakesNothingBack) {
  PressedMachine pressed(as_set);
  pressed.machine.receive(50'000, test::rate_frame(5612));
  pressed.machine.receive(50'000, test::rate_frame(5612));
  pressed.run_until(60'000);
  const auto& sent = pressed.machine.sent;
  EXPECT_EQ(std::count_if(sent.begin(), sent.end(),
                          [](const auto& one) {
                            return one.first == 50'000 && one.second.id == SILLION_FRAME_SETPOINT;
                          }),
            1);
}

}  // namespace
