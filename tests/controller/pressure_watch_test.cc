#include "controller/pressure_watch.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>

#include "controller/machine_controller.h"
#include "controller/set_point_table.h"
#include "tests/controller/pressed_machine.h"

namespace {

using test::PressedMachine;

constexpr double kFault_s = 3.0;

/// The machine at 4 m/s up to 12 s; at 3 s something happens to its pressure.
struct Watched {
  explicit Watched(PressedMachine::Bends bends) : pressed(std::move(bends)) {
    pressed.report_speed(test::kSpeed_mps, 50'000, 12'000'000);
  }
  Watched& run(double until_s = 11.0) {
    pressed.run_until(static_cast<std::int64_t>(until_s * 1e6));
    return *this;
  }
  /// When an event came for the first time, in s; 1e9: never.
  double first_s(std::uint32_t code) const {
    for (const auto& event : pressed.machine.events)
      if (event.code == code)
        return static_cast<std::int32_t>(event.at_ticks - test::kStartTicks) * 1e-6;
    return 1e9;
  }
  double alarm_s() const { return first_s(SILLION_EVENT_ALARM); }
  double astray_s() const { return first_s(SILLION_EVENT_PRESSURE_ASTRAY); }
  PressedMachine pressed;
};

/// Moves the set point by a share from 3 s on; with a period up and down by turns.
PressedMachine::Bends another(double share_ratio, double period_s = 0.0) {
  return [=](double at_s, double set_pa) {
    if (at_s < kFault_s) return set_pa;
    const bool down = period_s > 0.0 && std::fmod(at_s - kFault_s, period_s) >= 0.5 * period_s;
    return set_pa * (1.0 + (down ? -share_ratio : share_ratio));
  };
}

TEST(PressureWatch, AnotherControllerIsToldWithinTwoSeconds) {
  struct Case {
    double share_ratio;
    double period_s;
  };
  for (const Case& one :
       {Case{0.15, 0.0}, Case{0.4, 0.0}, Case{0.15, 2.0}, Case{0.15, 4.0}, Case{0.4, 1.0}}) {
    const double alarm_s = Watched(another(one.share_ratio, one.period_s)).run().alarm_s();
    std::printf("another controller, %2.0f %%, period %.0f s: alarm %.2f s later\n",
                100.0 * one.share_ratio, one.period_s, alarm_s - kFault_s);
    EXPECT_GT(alarm_s, kFault_s + 0.5);
    EXPECT_LT(alarm_s, kFault_s + 2.0) << one.share_ratio << " " << one.period_s;
  }
}

TEST(PressureWatch, TheAlarmNamesTheMachineAndGoes) {
  Watched watched([](double at_s, double set_pa) {
    return at_s < kFault_s || at_s > 6.0 ? set_pa : 1.2 * set_pa;
  });
  watched.run();
  int alarms = 0;
  for (const auto& event : watched.pressed.machine.events) {
    if (event.code != SILLION_EVENT_ALARM && event.code != SILLION_EVENT_ALARM_OVER) continue;
    ++alarms;
    EXPECT_EQ(event.a, SILLION_ALARM_SECOND_REGULATOR);
    EXPECT_EQ(event.b, 255);
  }
  EXPECT_EQ(alarms, 2);
  const double over_s = watched.first_s(SILLION_EVENT_ALARM_OVER);
  EXPECT_GT(over_s, 7.0);
  EXPECT_LT(over_s, 9.0);
}

// What a tank that runs empty, a stuck regulator and a pump at its end look like is said, but not
// taken for another controller.
TEST(PressureWatch, OtherCausesAreNotTakenForAnotherController) {
  Watched empty([](double at_s, double set_pa) { return at_s < kFault_s ? set_pa : 0.0; });
  EXPECT_EQ(empty.run().alarm_s(), 1e9);
  EXPECT_LT(empty.astray_s(), kFault_s + 1.0);
  Watched weak([](double at_s, double set_pa) { return at_s < kFault_s ? set_pa : 0.7 * set_pa; });
  EXPECT_EQ(weak.run().alarm_s(), 1e9);
  EXPECT_LT(weak.astray_s(), kFault_s + 2.0);
  for (const double to_mps : {3.0, 5.0}) {  // it is stuck, and the speed moves the set point
    PressedMachine stuck(
        [](double at_s, double set_pa) { return at_s < kFault_s ? set_pa : 254'000.0; });
    stuck.report_speed(4.0, 50'000, 4'000'000);
    stuck.report_speed(to_mps, 4'050'000, 9'000'000);
    stuck.run_until(9'000'000);
    EXPECT_EQ(stuck.machine.count(SILLION_EVENT_ALARM), 0) << to_mps;
    EXPECT_EQ(stuck.machine.count(SILLION_EVENT_PRESSURE_ASTRAY), 1) << to_mps;
  }
}

// Starts, stops, ramps and zones: the regulator is on its way, and nothing is said. Regulators of
// 50 ms to 0.5 s.
TEST(PressureWatch, ARegulatorOnItsWayIsInOrder) {
  for (const double lag_s : {0.05, 0.2, 0.5}) {
    PressedMachine pressed([](double, double set_pa) { return set_pa; }, test::pressed_config(),
                           lag_s);
    for (int second = 0; second < 20; ++second) {
      const double speeds_mps[] = {4.0, 5.0, 2.0, 0.0, 3.0, 4.4, 4.4, 1.0, 5.0, 0.0};
      pressed.report_speed(speeds_mps[second % 10], 50'000 + second * 1'000'000,
                           50'000 + (second + 1) * 1'000'000);
      if (second % 3 == 2)
        pressed.machine.receive(second * 1'000'000 + 400'000,
                                test::rate_frame(second % 2 == 0 ? 5612 : 3742));
    }
    pressed.run_until(20'000'000);
    EXPECT_EQ(pressed.machine.count(SILLION_EVENT_ALARM), 0) << lag_s;
    EXPECT_EQ(pressed.machine.count(SILLION_EVENT_PRESSURE_ASTRAY), 0) << lag_s;
  }
}

// Rows report 7 % more than the pressure set point gives, as another controller's 15 % makes them:
// the trim may go by what the first half second brings, and then rests.
TEST(PressureWatch, TheTrimRestsMeanwhile) {
  sillion_config config = test::pressed_config();
  controller::MachineController machine = controller::machine_controller_for(config, nullptr, 0, 0);
  sillion_health health{};
  std::int32_t trim_q16 = 0;
  double pressure_pa = 254'000.0;
  for (int ms = 0; ms < 9000; ++ms) {
    sillion_input in{};
    sillion_output out{};
    in.now_ticks = static_cast<std::uint32_t>(ms) * 1000;
    in.why = SILLION_WHY_TICK;
    if (ms % 100 == 0) {
      in.frames[0].id = SILLION_BUS_GROUND_SPEED;
      in.frames[0].length = 8;
      in.frames[0].received_ticks = in.now_ticks;
      in.frames[0].bytes[0] = 0xa0;
      in.frames[0].bytes[1] = 0x0f;
      in.frames[0].bytes[7] = 1;
      controller::RowReportFrame said;
      said.sequence = static_cast<std::uint16_t>(ms);
      said.state = controller::kFlowValid;
      said.wanted_mm3ps = 14'256;
      said.flow_mm3ps = ms < 3000 ? 14'256 : 15'254;
      in.frames[1] = controller::encode(said);
      in.frames[1].sender = 0;
      in.frame_count = 2;
      in.why |= SILLION_WHY_FRAME;
    }
    const double share = ms < 3000 ? 1.0 : 1.15;
    const double goal_pa = share * std::max(20'000, machine.pressure.pressure_pa);
    pressure_pa = goal_pa + (pressure_pa - goal_pa) * std::exp(-1e-3 / 0.2);
    in.analog_counts[0] = test::counts_of(pressure_pa);
    controller::Report report{out, health, in.now_ticks};
    step(machine, in, report);
    if (ms == 4500) trim_q16 = machine.pressure.trim_q16;
  }
  EXPECT_TRUE(machine.watch.second);
  EXPECT_EQ(machine.pressure.trim_q16, trim_q16);
  EXPECT_GT(trim_q16, -65'536 * 2 / 100);
}

}  // namespace
