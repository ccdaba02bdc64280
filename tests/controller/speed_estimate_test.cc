#include "controller/speed_estimate.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <functional>

#include "controller/frames.h"
#include "controller/tracker.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::SpeedEstimate;

/// White noise for the tests: a linear congruential generator (Knuth, MMIX constants), summed
/// twelve times, so its sd is 1 and its tails end at 6.
class Noise {
 public:
  double normal() {
    double sum = -6.0;
    for (int i = 0; i < 12; ++i) {
      state_ = state_ * 6364136223846793005ull + 1442695040888963407ull;
      sum += static_cast<double>(state_ >> 11) * 0x1p-53;
    }
    return sum;
  }

 private:
  std::uint64_t state_ = 20240607;
};

sillion_frame ground_speed(double speed_mps, int direction = 1) {
  sillion_frame frame{};
  frame.id = SILLION_BUS_GROUND_SPEED;
  frame.length = 8;
  frame.sender = 254;
  const auto value = static_cast<std::uint16_t>(std::lround(speed_mps * 1000.0));
  frame.bytes[0] = static_cast<std::uint8_t>(value & 0xff);
  frame.bytes[1] = static_cast<std::uint8_t>(value >> 8);
  frame.bytes[7] = static_cast<std::uint8_t>(direction);
  return frame;
}

sillion_frame course(double course_rad) {
  sillion_frame frame{};
  frame.id = SILLION_BUS_COURSE_SPEED;
  frame.length = 8;
  frame.sender = 254;
  constexpr double kCircle_rad = 6.283185307179586;
  const double wrapped_rad = course_rad - kCircle_rad * std::floor(course_rad / kCircle_rad);
  const auto value = static_cast<std::uint16_t>(std::lround(wrapped_rad * 1e4));
  frame.bytes[2] = static_cast<std::uint8_t>(value & 0xff);
  frame.bytes[3] = static_cast<std::uint8_t>(value >> 8);
  frame.bytes[4] = 0xff;
  frame.bytes[5] = 0xff;
  return frame;
}

/// Feeds 10 Hz frames of a signal with 0.3 s first-order lag; calls `look` after each with time,
/// true speed and estimate.
struct Drive {
  std::function<double(double)> speed_mps;
  double noise_mps = 0.02;
  double until_s = 60.0;
  double lag_s = 0.3;
};

template <typename Look>
void drive(const Drive& run, Look look) {
  SpeedEstimate estimate = controller::speed_estimate_for(test::machine_config());
  Noise noise;
  sillion_output out{};
  sillion_health health{};
  double lagged_mps = run.speed_mps(0.0);
  const int frames = static_cast<int>(run.until_s * 10.0);
  for (int i = 0; i <= frames; ++i) {
    // The lag in steps of 0.1 ms between frames.
    for (int k = 0; i > 0 && k < 1000; ++k) {
      const double at_s = (i - 1) * 0.1 + k * 1e-4;
      lagged_mps += (run.speed_mps(at_s) - lagged_mps) * 1e-4 / run.lag_s;
    }
    const std::uint32_t now = test::kStartTicks + static_cast<std::uint32_t>(i * 100'000);
    out.event_count = 0;
    controller::Report report{out, health, now};
    sillion_frame frame = ground_speed(std::max(0.0, lagged_mps + run.noise_mps * noise.normal()));
    frame.received_ticks = now;
    controller::take_bus_frame(estimate, frame, report);
    look(i * 0.1, run.speed_mps(i * 0.1), estimate);
  }
}

struct Spread {
  double sum = 0.0;
  double squares = 0.0;
  int count = 0;
  double mean() const { return sum / count; }
  double sd() const { return std::sqrt(squares / count - mean() * mean()); }
  void add(double x) {
    sum += x;
    squares += x * x;
    ++count;
  }
};

TEST(SpeedEstimate, IsQuietAtConstantSpeed) {
  Spread error;
  Spread accel;
  drive({[](double) { return 4.444; }, 0.02, 600.0},
        [&](double t_s, double v, const SpeedEstimate& e) {
          if (t_s < 10.0) return;
          error.add(e.speed_umps * 1e-6 - v);
          accel.add(e.accel_umps2 * 1e-6);
        });
  std::printf(
      "constant speed, noise 0.02 m/s: bias %.5f m/s, sd %.5f m/s, acceleration sd %.4f m/s2\n",
      error.mean(), error.sd(), accel.sd());
  EXPECT_LE(error.sd(), 0.008);
  EXPECT_LE(std::abs(error.mean()), 0.002);
}

TEST(SpeedEstimate, FollowsARampWithLittleBias) {
  Spread settled;
  double worst_mps = 0.0;
  const auto ramp = [](double t_s) {
    return t_s < 10.0 ? 2.222 : std::min(4.444, 2.222 + 0.5 * (t_s - 10.0));
  };
  drive({ramp, 0.02, 14.4}, [&](double t_s, double v, const SpeedEstimate& e) {
    const double error_mps = e.speed_umps * 1e-6 - v;
    if (t_s > 10.0) worst_mps = std::max(worst_mps, std::abs(error_mps));
    if (t_s > 11.5) settled.add(error_mps);
  });
  std::printf(
      "ramp 0.5 m/s2: bias %.4f m/s from 1.5 s on, sd %.4f, largest at the onset %.4f m/s\n",
      settled.mean(), settled.sd(), worst_mps);
  EXPECT_LE(std::abs(settled.mean()), 0.02);
  EXPECT_LE(worst_mps, 0.2);
}

// A step of the true speed: the signal catches up within its own lag; half a second after the step
// (0.3 s lag, 0.1 s set aside, 0.1 s period) the compensated estimate must be near.
TEST(SpeedEstimate, FollowsAStep) {
  Spread late;
  drive({[](double t_s) { return t_s < 10.0 ? 4.444 : 3.0; }, 0.02, 13.0},
        [&](double t_s, double v, const SpeedEstimate& e) {
          if (t_s > 11.0) late.add(e.speed_umps * 1e-6 - v);
        });
  std::printf("step of -1.44 m/s: bias %.4f m/s, sd %.4f m/s, 1 to 3 s after it\n", late.mean(),
              late.sd());
  EXPECT_LE(std::abs(late.mean()), 0.03);
  EXPECT_LE(late.sd(), 0.05);
}

/// Feeds frames straight into an estimate.
struct Bus {
  SpeedEstimate estimate = controller::speed_estimate_for(test::machine_config());
  sillion_health health{};
  sillion_output out{};
  std::uint32_t now = test::kStartTicks;

  bool take(sillion_frame frame) {
    frame.received_ticks = now;
    out.event_count = 0;
    controller::Report report{out, health, now};
    return controller::take_bus_frame(estimate, frame, report);
  }
  void drive_straight(double speed_mps, int frames) {
    for (int i = 0; i < frames; ++i) {
      now += 100'000;
      take(ground_speed(speed_mps));
    }
  }
};

TEST(SpeedEstimate, OneWildSampleIsSetAside) {
  Bus bus;
  bus.drive_straight(4.0, 40);
  bus.now += 100'000;
  EXPECT_FALSE(bus.take(ground_speed(9.0)));
  EXPECT_NEAR(bus.estimate.speed_umps, 4'000'000, 1000);
  bus.now += 100'000;
  EXPECT_TRUE(bus.take(ground_speed(4.0)));
  EXPECT_NEAR(bus.estimate.speed_umps, 4'000'000, 1000);
}

// A frame is lost while the machine brakes by 2 m/s2: 0.4 m/s since the last one is no wild sample.
TEST(SpeedEstimate, AfterALostFrameTheGateIsWider) {
  Bus bus;
  bus.drive_straight(4.0, 40);
  bus.now += 200'000;
  EXPECT_TRUE(bus.take(ground_speed(3.6)));
}

TEST(SpeedEstimate, TwoAlikeAreBelieved) {
  Bus bus;
  bus.drive_straight(4.0, 40);
  bus.drive_straight(2.0, 2);
  EXPECT_NEAR(bus.estimate.speed_umps, 2'000'000, 1000);
}

TEST(SpeedEstimate, ReverseIsBelievedAtOnce) {
  Bus bus;
  bus.drive_straight(4.0, 40);
  bus.now += 100'000;
  EXPECT_TRUE(bus.take(ground_speed(1.0, 0)));
  EXPECT_EQ(bus.estimate.speed_umps, -1'000'000);
  // And so is the way ahead again: 3 m/s apart is no wild sample then.
  bus.now += 100'000;
  EXPECT_TRUE(bus.take(ground_speed(2.0)));
  EXPECT_EQ(bus.estimate.speed_umps, 2'000'000);
}

// ISO 11783-7: a value above 0xFAFF is an error or not available; direction 2 is an error.
TEST(SpeedEstimate, NoSpeedIsNotASpeed) {
  Bus bus;
  bus.drive_straight(4.0, 10);
  sillion_frame none = ground_speed(0.0);
  none.bytes[0] = 0xff;
  none.bytes[1] = 0xff;
  EXPECT_FALSE(bus.take(none));
  EXPECT_FALSE(bus.take(ground_speed(4.0, 2)));
  EXPECT_FALSE(bus.take(ground_speed(4.0, 3)));
  sillion_frame cut = ground_speed(4.0);
  cut.length = 7;
  EXPECT_FALSE(bus.take(cut));
  EXPECT_EQ(bus.health.bad_frames, 4u);
  EXPECT_NEAR(bus.estimate.speed_umps, 4'000'000, 1000);
}

TEST(SpeedEstimate, RepetitionChangesNothing) {
  Bus bus;
  bus.drive_straight(4.0, 10);
  const SpeedEstimate before = bus.estimate;
  bus.now += 2'000;
  EXPECT_FALSE(bus.take(ground_speed(4.1)));
  EXPECT_EQ(bus.estimate.speed_umps, before.speed_umps);
  EXPECT_EQ(bus.estimate.measured_ticks, before.measured_ticks);
}

// 16 km/h on a radius of 60 m: 4.444/60 = 0.07407 rad/s, through the full circle.
TEST(SpeedEstimate, YawRateComesFromTheCourse) {
  Bus bus;
  constexpr double kYaw_radps = 4.444 / 60.0;
  double worst_radps = 0.0;
  for (int i = 0; i < 1200; ++i) {
    bus.now += 100'000;
    bus.take(ground_speed(4.444));
    bus.take(course(3.0 + kYaw_radps * 0.1 * i));
    if (i > 30)
      worst_radps = std::max(worst_radps, std::abs(bus.estimate.yaw_uradps * 1e-6 - kYaw_radps));
  }
  // The outermost row of eight sits 2.67 m out: 1 mrad/s there is 2.7 mm/s.
  EXPECT_LE(worst_radps, 1e-3);
}

TEST(SpeedEstimate, LeftTurnIsNegative) {
  for (const double from_rad : {0.5, 0.1}) {  // the second goes through north
    Bus bus;
    for (int i = 0; i < 50; ++i) {
      bus.now += 100'000;
      bus.take(ground_speed(4.444));
      bus.take(course(from_rad - 0.05 * 0.1 * i));
    }
    EXPECT_NEAR(bus.estimate.yaw_uradps, -50'000, 1000);
  }
}

/// A machine at 4.444 m/s in a left turn of 0.05 rad/s, heard for 5 s.
Bus turning_left() {
  Bus bus;
  for (int i = 0; i < 50; ++i) {
    bus.now += 100'000;
    bus.take(ground_speed(4.444));
    bus.take(course(2.0 - 0.05 * 0.1 * i));
  }
  return bus;
}

// A course counts only under way: a standing receiver's is noise. 0.3 m/s is the least.
TEST(SpeedEstimate, WithoutASpeedACourseSaysNothing) {
  Bus silent;
  silent.take(course(1.0));
  EXPECT_FALSE(silent.estimate.course.any);
  for (const double speed_mps : {0.29, 0.30}) {
    Bus bus;
    bus.drive_straight(speed_mps, 1);
    bus.take(course(1.0));
    EXPECT_EQ(bus.estimate.course.any, speed_mps >= 0.3);
  }
  Bus stops = turning_left();
  stops.drive_straight(0.0, 2);
  stops.take(course(2.0));
  EXPECT_EQ(stops.estimate.yaw_uradps, 0);
}

TEST(SpeedEstimate, ARepeatedCourseChangesNothing) {
  Bus bus = turning_left();
  const std::int32_t before = bus.estimate.yaw_uradps;
  bus.now += 2'000;
  bus.take(course(2.1));
  EXPECT_EQ(bus.estimate.yaw_uradps, before);
}

// Two seconds without a course, while the speed goes on: the turn is forgotten, the speed is not.
TEST(SpeedEstimate, AnOldCourseIsForgotten) {
  Bus bus = turning_left();
  bus.drive_straight(4.444, 20);
  controller::forget_old_signals(bus.estimate, bus.now);
  EXPECT_NEAR(bus.estimate.yaw_uradps, -50'000, 1000);
  bus.drive_straight(4.444, 1);
  controller::forget_old_signals(bus.estimate, bus.now);
  EXPECT_EQ(bus.estimate.yaw_uradps, 0);
  EXPECT_NEAR(bus.estimate.speed_umps, 4'444'000, 1000);
}

// A line over 2 s of silence says nothing: the next sample begins anew, whatever the gate. So does
// one from before the last.
TEST(SpeedEstimate, AGapBeginsTheLineAnew) {
  constexpr controller::TrackerSetup kSetup{20'000, 250'000, 2'800'000, 0};
  const auto takes = [&](std::uint32_t at_ticks) {
    controller::Tracker tracker;
    controller::restart(tracker, 4'000'000, 10'000'000);
    const controller::Taken taken = controller::take_sample(tracker, kSetup, 9'000'000, at_ticks);
    return taken == controller::Taken::kUsed && tracker.value == 9'000'000 && tracker.samples == 1;
  };
  EXPECT_FALSE(takes(12'000'000));
  EXPECT_TRUE(takes(12'000'001));
  EXPECT_FALSE(takes(10'000'000));
  EXPECT_TRUE(takes(9'999'999));
}

TEST(SpeedEstimate, OldSignalsAreForgotten) {
  Bus bus;
  bus.drive_straight(4.0, 10);
  bus.now += 2'100'000;
  controller::forget_old_signals(bus.estimate, bus.now);
  EXPECT_FALSE(bus.estimate.known);
}

// Speed over ground of the course message (4.00 m/s) counts only when ground-based speed is silent.
TEST(SpeedEstimate, SpeedOverGroundStandsIn) {
  Bus bus;
  bus.drive_straight(5.0, 10);
  sillion_frame both = course(0.0);
  both.bytes[4] = 0x90;
  both.bytes[5] = 0x01;
  bus.now += 50'000;
  EXPECT_FALSE(bus.take(both));
  bus.now += 1'100'000;
  controller::forget_old_signals(bus.estimate, bus.now);
  bus.take(both);
  bus.now += 100'000;
  bus.take(both);
  EXPECT_NEAR(bus.estimate.speed_umps, 4'000'000, 1000);
}

// A receiver without a course (0xffff) that moves at 4.00 m/s, and one whose speed is missing.
TEST(SpeedEstimate, SpeedOverGroundNeedsNoCourse) {
  sillion_frame speed_alone = course(0.0);
  speed_alone.bytes[2] = speed_alone.bytes[3] = 0xff;
  speed_alone.bytes[4] = 0x90;
  speed_alone.bytes[5] = 0x01;
  Bus bus;
  EXPECT_TRUE(bus.take(speed_alone));
  EXPECT_EQ(bus.estimate.speed_umps, 4'000'000);
  EXPECT_FALSE(bus.estimate.course.any);
  Bus other;
  EXPECT_FALSE(other.take(course(1.0)));
  EXPECT_FALSE(other.estimate.known);
  EXPECT_EQ(other.health.bad_frames, 0u);
}

}  // namespace
