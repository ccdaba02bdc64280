#include "controller/clock_rate.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <functional>

#include "tests/controller/fake_hardware.h"

namespace {

using controller::ClockRate;
using controller::take_pair;

/// Knuth's MMIX generator, 0 to 1.
struct Draws {
  std::uint64_t state = 7;
  double next() {
    state = state * 6364136223846793005ull + 1442695040888963407ull;
    return static_cast<double>(state >> 11) * 0x1p-53;
  }
};

double used(const ClockRate& clock) { return std::ldexp(clock.rate_q30, -30); }

/// A machine and a row with clocks of their own, and set points every 100 ms by the machine's.
struct Pair {
  double machine = 0.0;  // drift against the world
  double row = 0.0;
  std::uint32_t machine_from = 0;
  std::uint32_t row_from = 0;
  double truth() const { return (1.0 + row) / (1.0 + machine) - 1.0; }
};

/// `arrives_s` gives the instant of arrival for that of sending, in world seconds.
void hear(ClockRate& clock, const Pair& pair, double from_s, double until_s,
          const std::function<double(double)>& arrives_s) {
  for (int k = 0;; ++k) {
    const double machine_s = from_s + 0.1 * k;
    if (machine_s >= until_s) return;
    const double sent_s = machine_s / (1.0 + pair.machine);
    const double arrived_s = arrives_s(sent_s);
    const auto ticks = [](double s) { return static_cast<std::uint32_t>(std::llround(s * 1e6)); };
    take_pair(clock, pair.machine_from + ticks(machine_s),
              pair.row_from + ticks(arrived_s * (1.0 + pair.row)));
  }
}

/// Handed over at the next multiple of 10 ms.
double next_slot_s(double sent_s) { return 0.01 * std::ceil(sent_s / 0.01); }
/// Waits for the machine's slot of a radio's period of 100 ms, then for the hand-over.
double next_period_s(double sent_s) { return next_slot_s(0.1 * std::ceil(sent_s / 0.1) + 0.00096); }

// The hand-over alone delays by up to 10 ms: over 17.5 s between the middles of the first and the
// last window 0.057 %, over 140 s 0.007 %; what is used falls short by that at most, never beyond.
TEST(ClockRate, IsFoundWithinTheStatedBound) {
  for (const double row : {0.01, -0.01, 0.005, -0.018})
    for (const double machine : {0.0, 0.007, -50e-6}) {
      const Pair pair{.machine = machine, .row = row};
      if (std::abs(pair.truth()) > 0.0199) continue;
      ClockRate clock;
      Draws draws;
      const auto scattered = [&](double sent_s) { return sent_s + 0.01 * draws.next(); };
      hear(clock, pair, 0.0, 24.0, scattered);
      const double early = used(clock) / pair.truth();
      EXPECT_GE(early, 1.0 - 0.0025 / std::abs(pair.truth())) << row << ' ' << machine;
      EXPECT_LE(early, 1.0 + 1e-6);
      hear(clock, pair, 24.0, 200.0, scattered);
      const double late = used(clock) / pair.truth();
      EXPECT_GE(late, 1.0 - 0.0002 / std::abs(pair.truth())) << row << ' ' << machine;
      EXPECT_LE(late, 1.0 + 1e-6);
    }
}

// Four windows of 2.5 s have to be closed, and the bound must not reach 0.
TEST(ClockRate, NothingChangesBeforeItIsKnown) {
  ClockRate clock;
  hear(clock, {.machine = 0.0, .row = 0.01}, 0.0, 10.0, next_slot_s);
  EXPECT_EQ(clock.rate_q30, 0);
  hear(clock, {.machine = 0.0, .row = 0.01}, 10.0, 13.0, next_slot_s);
  EXPECT_GT(used(clock), 0.005);
  ClockRate crystal;
  hear(crystal, {.machine = -30e-6, .row = 30e-6}, 0.0, 100.0, next_slot_s);
  EXPECT_EQ(crystal.rate_q30, 0);
}

// What is used lies between no correction and the true rate, whatever way the frames go. The slots
// of a radio beat with the machine's clock; where a beat is longer than the baseline, the rate is
// that against the radio's time, which the machine's own drift bounds.
TEST(ClockRate, IsNeverWorseThanNothing) {
  Draws draws;
  for (int k = 0; k < 200; ++k) {
    const double size = k % 2 == 0 ? 100e-6 : 0.01;
    const Pair pair{.machine = size * (2.0 * draws.next() - 1.0),
                    .row = size * (2.0 * draws.next() - 1.0)};
    const double phase_s = 0.1 * draws.next();
    const bool radio = k % 4 > 1;
    ClockRate clock;
    const double lasts_s = 10.0 + 190.0 * draws.next();
    hear(clock, pair, 0.0, lasts_s, [&](double sent_s) {
      return radio ? next_period_s(sent_s + phase_s) - phase_s
                   : next_slot_s(sent_s + phase_s) - phase_s + 0.0005 * draws.next();
    });
    const double least = std::min({0.0, pair.truth(), pair.row});
    const double most = std::max({0.0, pair.truth(), pair.row});
    EXPECT_GE(used(clock), least - 1e-6) << k << ' ' << pair.machine << ' ' << pair.row;
    EXPECT_LE(used(clock), most + 1e-6) << k << ' ' << pair.machine << ' ' << pair.row;
  }
}

// A radio of 100 ms and a machine that is 1 % fast: a beat of 10 s, in which waits grow to 110 ms.
TEST(ClockRate, ARadioTakesLonger) {
  const Pair pair{.machine = 0.01, .row = -0.005};
  for (const double until_s : {20.0, 60.0, 120.0, 200.0}) {
    ClockRate clock;
    hear(clock, pair, 0.0, until_s, next_period_s);
    std::printf("radio, %.0f s: %.3f %% of %.3f %%\n", until_s, 100.0 * used(clock),
                100.0 * pair.truth());
    if (until_s >= 200.0) {
      EXPECT_NEAR(used(clock), pair.truth(), 0.001);
    }
  }
}

// Both counters wrap within the baseline; they need not wrap together.
TEST(ClockRate, CountersWrap) {
  for (const std::uint32_t row_from : {0u, 0xffffffffu - 15'000'000u}) {
    const Pair plain{.machine = 0.0, .row = 0.01};
    const Pair wraps{.machine = 0.0,
                     .row = 0.01,
                     .machine_from = 0xffffffffu - 20'000'000u,
                     .row_from = row_from};
    ClockRate expected;
    ClockRate found;
    hear(expected, plain, 0.0, 100.0, next_slot_s);
    hear(found, wraps, 0.0, 100.0, next_slot_s);
    EXPECT_EQ(found.rate_q30, expected.rate_q30);
    EXPECT_NE(found.rate_q30, 0);
  }
}

// One stamp that cannot follow is dropped; a second one in turn says that a counter has jumped.
TEST(ClockRate, AJumpForgets) {
  const Pair pair{.machine = 0.0, .row = 0.01};
  ClockRate clock;
  hear(clock, pair, 0.0, 30.0, next_slot_s);
  const std::int32_t before = clock.rate_q30;
  EXPECT_GT(before, 0);
  take_pair(clock, 0x7fffffff, 30'400'000);
  hear(clock, pair, 30.1, 31.0, next_slot_s);
  EXPECT_EQ(clock.rate_q30, before);
  take_pair(clock, 0x7fffffff, 31'400'000);
  take_pair(clock, 0x7fffffff + 100'000u, 31'500'000);
  EXPECT_EQ(clock.rate_q30, 0);
  EXPECT_EQ(clock.windows, 0);
  // The row starts anew: its counter begins again, the machine's goes on.
  ClockRate other;
  hear(other, pair, 0.0, 30.0, next_slot_s);
  Pair anew = pair;
  anew.row_from = 0u - 25'000'000u;
  hear(other, anew, 30.0, 30.3, next_slot_s);
  EXPECT_EQ(other.rate_q30, 0);
}

TEST(ClockRate, ASilenceOfTenSecondsForgets) {
  const Pair pair{.machine = 0.0, .row = 0.01};
  ClockRate clock;
  hear(clock, pair, 0.0, 30.0, next_slot_s);
  hear(clock, pair, 39.0, 39.5, next_slot_s);
  EXPECT_NE(clock.rate_q30, 0);
  hear(clock, pair, 50.0, 50.2, next_slot_s);
  EXPECT_EQ(clock.rate_q30, 0);
}

// A frame that came a quarter of a second late makes nothing wrong: it is not the least of its
// window.
TEST(ClockRate, LateFramesDoNothing) {
  const Pair pair{.machine = 0.0, .row = 0.01};
  ClockRate even;
  ClockRate late;
  int frame = 0;
  hear(even, pair, 0.0, 60.0, next_slot_s);
  hear(late, pair, 0.0, 60.0,
       [&](double sent_s) { return next_slot_s(sent_s) + (frame++ % 7 == 3 ? 0.25 : 0.0); });
  EXPECT_EQ(even.rate_q30, late.rate_q30);
}

TEST(ClockRate, HostileStampsStayWithinTwoPercent) {
  Draws draws;
  for (int way = 0; way < 6; ++way) {
    ClockRate clock;
    std::uint32_t machine_us = 0;
    std::uint32_t received = 0;
    for (int k = 0; k < 20'000; ++k) {
      const auto any = [&] { return static_cast<std::uint32_t>(draws.next() * 4294967296.0); };
      machine_us = way == 0 ? any() : machine_us + static_cast<std::uint32_t>(draws.next() * 2e7);
      received = way < 2   ? any()
                 : way < 4 ? machine_us + static_cast<std::uint32_t>(draws.next() * 4e5)
                           : machine_us * 51u / 50u;
      if (way == 5) received = machine_us / 50u * 49u;
      take_pair(clock, machine_us, received);
      ASSERT_LE(std::abs(used(clock)), 0.02);
      ASSERT_LE(clock.windows, ClockRate::kWindows);
    }
  }
}

// 28 ms at 1 % are 28 280 ticks; 4 m/s are 4/1.01 per second of ticks.
TEST(ClockRate, ScalesTimesAndSpeeds) {
  ClockRate clock;
  clock.rate_q30 = 10'737'418;                 // 1 % of 2^30
  EXPECT_EQ(in_ticks(clock, 28'000), 28'279);  // rounded down: 1 us
  EXPECT_EQ(from_ticks(clock, 28'280), 28'000);
  controller::RowMotion motion;
  motion.speed_umps = 4'000'000;
  EXPECT_EQ(in_ticks(clock, motion).speed_umps, 3'960'396);
  clock.rate_q30 = 0;
  EXPECT_EQ(in_ticks(clock, motion).speed_umps, 4'000'000);
}

/// A row at 16 km/h that hears set points; its ticks run fast by `drift` against the machine.
test::FakeHardware hearing_row(double drift) {
  test::FakeHardware row(test::row_config());
  row.report_speed([](double) { return 16.0 / 3.6; }, 0.0, 500, 80'000'000);
  for (int k = 0; k < 790; ++k) {
    controller::SetPointFrame sent;
    sent.sequence = static_cast<std::uint16_t>(k + 1);
    sent.valid_ms = 1000;
    sent.rate_nm = 4677;
    sent.pressure_pa = 200'000;
    sent.machine_us = static_cast<std::uint32_t>(k) * 100'000u;
    row.receive(std::llround(600.0 + 1e5 * k * (1.0 + drift)), controller::encode(sent));
  }
  return row;
}

// D = 20 ms + 0.2 m/(16/3.6 m/s) = 65 ms, on for 17.875 ms. By a clock that is 1 % fast these are
// 65.65 ms and 18.054 ms of ticks; what is not known yet after 70 s is 0.02 %: 13 us.
TEST(ClockRate, ARowsDelayFollowsTheMachinesClock) {
  for (const double drift : {0.01, -0.01, 50e-6}) {
    test::FakeHardware row = hearing_row(drift);
    row.drop_seed(5'000'000);
    row.drop_seed(75'000'000);
    row.run_until(76'000'000);
    const auto pulses = row.pulses();
    ASSERT_EQ(pulses.size(), 2u);
    EXPECT_NEAR(static_cast<double>(pulses[0].open_us), 5'065'000.0, 2.0);
    const double scale = std::abs(drift) > 1e-3 ? 1.0 + drift : 1.0;
    const double open_us = static_cast<double>(pulses[1].open_us) - 75e6;
    const double on_us = static_cast<double>(pulses[1].close_us - pulses[1].open_us);
    EXPECT_NEAR(open_us, 65'000.0 * scale, 16.0) << drift;
    EXPECT_NEAR(on_us, 17'875.0 * scale, 6.0) << drift;
  }
}

}  // namespace
