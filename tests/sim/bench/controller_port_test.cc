#include "sim/bench/controller_port.h"

#include <gtest/gtest.h>

#include <functional>
#include <string>

#include "sim/bench/pass.h"
#include "sim/scenario/loader.h"

namespace {

using shared::Instant;
using shared::microseconds;

// A controller made of one function, so that a test can say what it does at each interrupt.
struct Scripted {
  sillion_hardware hardware{};
  std::function<void(const sillion_input&, sillion_output&)> step;
};
Scripted* scripted = nullptr;

const sillion_hardware* describe(std::uint32_t) { return &scripted->hardware; }
unsigned char* block = nullptr;  // memory of the controller that started last
sillion_controller* init(void* memory, std::size_t, const sillion_config*, const void*, std::size_t,
                         const void*, std::size_t) {
  block = static_cast<unsigned char*>(memory);
  return static_cast<sillion_controller*>(memory);
}
void step(sillion_controller*, const sillion_input* in, sillion_output* out) {
  scripted->step(*in, *out);
}

class Port : public testing::Test {
 protected:
  Port() {
    scripted = &script_;
    script_.hardware = {.abi_version = SILLION_ABI_VERSION,
                        .tick_ns = 1000,
                        .counter_bits = 32,
                        .compare_channels = 2,
                        .capture_fifo_depth = 2,
                        .analog_channels = 2,
                        .analog_bits = 12,
                        .period_ticks = 1000,
                        .compare_in_hardware = 1,
                        .memory_bytes = 64};
    script_.step = [](const sillion_input&, sillion_output&) {};
  }
  sim::bench::ControllerPort port(const std::vector<sim::bench::EdgePair>& edges = {},
                                  double drift_ratio = 0.0) {
    sillion_config config{};
    config.role = SILLION_ROLE_ROW;
    config.analog_full_scale[0] = 1'000'000;
    hosts_.push_back(sim::bench::make_host_here({describe, init, step}, 1));
    return sim::bench::ControllerPort(*hosts_.back(), 0, config, {drift_ratio, 2.0}, edges);
  }
  std::vector<std::unique_ptr<sim::bench::ControllerHost>> hosts_;
  Scripted script_;
  std::vector<sim::bench::BridgeChange> changes_;
};

TEST_F(Port, CounterStartsTwoSecondsBeforeItWrapsAndWraps) {
  const sim::bench::ControllerClock clock(script_.hardware, 0.0, 2.0);
  EXPECT_EQ(clock.counter(0), 0u - 2'000'000u);
  EXPECT_EQ(clock.counter(2'000'001), 1u);
  EXPECT_EQ(clock.ahead_ticks(1'999'999, 1u), 2);
  EXPECT_EQ(clock.ahead_ticks(2'000'001, 0u - 1u), -2);
}

// 50 ppm over 10 s is 500 us, worked by hand.
TEST_F(Port, AFastClockCountsAheadByItsDrift) {
  const sim::bench::ControllerClock clock(script_.hardware, 50e-6, 2.0);
  EXPECT_EQ(clock.ticks_at(Instant{10'000'000'000}), 10'000'500);
  const Instant shown = clock.instant_of_ticks(10'000'500);
  EXPECT_EQ(clock.ticks_at(shown), 10'000'500);
  EXPECT_EQ(clock.ticks_at(shown - shared::Duration{1}), 10'000'499);
}

// At 1 ms the answer wants 2500 us without a tick: the first multiple of 1 ms at or behind 3.5 ms
// is 4 ms. The edges at 4.2 and 4.3 ms wake it: the first wants 5000 us from there, so no tick at
// 5 ms; the second takes that back.
TEST_F(Port, AControllerSleepsAsLongAsItsLastAnswerSays) {
  std::vector<std::uint32_t> ticks_us;
  script_.step = [&](const sillion_input& in, sillion_output& out) {
    const std::uint32_t at_us = in.now_ticks + 2'000'000u;
    if ((in.why & SILLION_WHY_TICK) != 0) ticks_us.push_back(at_us);
    if (at_us == 1000) out.sleep_ticks = 2500;
    if (at_us == 4200) out.sleep_ticks = 5000;
    if (at_us == 6000) out.sleep_ticks = 1000;
    if (at_us == 7000) out.sleep_ticks = 0xffffffffu;
  };
  auto tested = port({{4.2e-3, 4.3e-3}});
  tested.run_until(Instant{} + microseconds(60'000), {}, changes_);
  EXPECT_EQ(ticks_us, (std::vector<std::uint32_t>{1000, 4000, 5000, 6000, 7000}));
}

// By a clock that is 5 % fast the multiples come sooner, and a restart forgets the sleep.
TEST_F(Port, ASleepCountsOwnTicksAndEndsWithARestart) {
  std::vector<std::int64_t> called_ns;
  sim::bench::ControllerPort* self = nullptr;
  script_.step = [&](const sillion_input&, sillion_output& out) {
    called_ns.push_back(self->at().ns);
    out.sleep_ticks = 10'000;
  };
  auto tested = port({}, 0.05);
  self = &tested;
  tested.run_until(Instant{} + microseconds(11'000), {}, changes_);
  ASSERT_EQ(called_ns.size(), 2u);
  EXPECT_EQ(called_ns[1], 10'476'191);  // 11 000 ticks of 1 us/1.05
  tested.stop(Instant{} + microseconds(12'000), changes_);
  tested.restart(Instant{} + microseconds(13'000), SILLION_RESET_WATCHDOG,
                 sim::bench::Retained::kKept);
  tested.run_until(Instant{} + microseconds(14'000), {}, changes_);
  ASSERT_EQ(called_ns.size(), 3u);
  EXPECT_EQ(called_ns[2], 13'952'381);
}

TEST_F(Port, CompareActsOnThePinAtItsInstantAndThenInterrupts) {
  std::uint32_t matched_at = 0;
  script_.step = [&](const sillion_input& in, sillion_output& out) {
    if ((in.why & SILLION_WHY_TICK) != 0 && matched_at == 0) {
      out.compare_count = 1;
      out.compares[0] = {.at_ticks = in.now_ticks + 250,
                         .channel = 1,
                         .armed = 1,
                         .then = {.state = SILLION_BRIDGE_DRIVE, .duty_q15 = 32768}};
    }
    if (in.compare[1] == SILLION_COMPARE_MATCHED) matched_at = in.now_ticks;
  };
  auto tested = port();
  tested.run_until(Instant{} + microseconds(1600), {}, changes_);
  ASSERT_EQ(changes_.size(), 1u);
  EXPECT_EQ(changes_[0].at.ns, 1'250'000);
  EXPECT_EQ(changes_[0].command.state, SILLION_BRIDGE_DRIVE);
  EXPECT_EQ(matched_at, 0u - 2'000'000u + 1250u);
}

TEST_F(Port, ARequestForThePastIsReportedAndNeverFired) {
  int past = 0;
  script_.step = [&](const sillion_input& in, sillion_output& out) {
    if (in.compare[0] == SILLION_COMPARE_PAST) ++past;
    if ((in.why & SILLION_WHY_TICK) == 0) return;
    out.compare_count = 1;
    out.compares[0] = {.at_ticks = in.now_ticks - 1, .channel = 0, .armed = 1};
  };
  auto tested = port();
  tested.run_until(Instant{} + microseconds(1500), {}, changes_);
  EXPECT_EQ(past, 1);
  EXPECT_TRUE(changes_.empty());
}

TEST_F(Port, AControllerThatAsksForThePastForEverIsAFault) {
  script_.step = [&](const sillion_input& in, sillion_output& out) {
    out.compare_count = 1;
    out.compares[0] = {.at_ticks = in.now_ticks - 1, .channel = 0, .armed = 1};
  };
  auto tested = port();
  EXPECT_THROW(tested.run_until(Instant{} + microseconds(1500), {}, changes_),
               sim::bench::ControllerError);
}

TEST_F(Port, AnInterruptLatencyDelaysThePin) {
  script_.hardware.compare_in_hardware = 0;
  script_.hardware.interrupt_latency_ticks = 7;
  script_.step = [&](const sillion_input& in, sillion_output& out) {
    if ((in.why & SILLION_WHY_TICK) == 0) return;
    out.compare_count = 1;
    out.compares[0] = {.at_ticks = in.now_ticks + 100, .channel = 0, .armed = 1};
  };
  auto tested = port();
  tested.run_until(Instant{} + microseconds(1200), {}, changes_);
  ASSERT_EQ(changes_.size(), 1u);
  EXPECT_EQ(changes_[0].at.ns, 1'107'000);
}

TEST_F(Port, BothPolaritiesArriveWithTheirStampsAndTooManyAtOnceOverflow) {
  std::vector<sillion_edge> seen;
  std::uint32_t overflow = 0;
  script_.step = [&](const sillion_input& in, sillion_output&) {
    for (std::uint32_t k = 0; k < in.edge_count; ++k) seen.push_back(in.edges[k]);
    overflow += in.edge_overflow;
  };
  auto tested = port({{.rising_s = 100e-6, .falling_s = 300e-6, .seed = 0},
                      {.rising_s = 500e-6, .falling_s = 500e-6, .seed = 1},
                      {.rising_s = 500e-6, .falling_s = 500e-6, .seed = 2}});
  tested.run_until(Instant{} + microseconds(800), {}, changes_);
  ASSERT_EQ(seen.size(), 4u);  // the capture FIFO of this hardware holds two
  EXPECT_EQ(seen[0].rising, 1);
  EXPECT_EQ(seen[0].at_ticks, 0u - 2'000'000u + 100u);
  EXPECT_EQ(seen[1].rising, 0);
  EXPECT_EQ(seen[1].at_ticks - seen[0].at_ticks, 200u);
  EXPECT_EQ(overflow, 1u);
}

TEST_F(Port, AnalogCountsAreTheRoundedShareOfFullScale) {
  std::uint16_t counts = 0;
  script_.step = [&](const sillion_input& in, sillion_output&) { counts = in.analog_counts[0]; };
  auto tested = port();
  tested.run_until(Instant{} + microseconds(1001), {.pressure_pa = 500'000.0}, changes_);
  EXPECT_EQ(counts, 2048);  // 0.5 * 4095 = 2047.5, half up
}

TEST_F(Port, FramesInterruptInOrderOfArrival) {
  std::vector<std::uint32_t> ids;
  script_.step = [&](const sillion_input& in, sillion_output&) {
    for (std::uint32_t k = 0; k < in.frame_count; ++k) ids.push_back(in.frames[k].id);
  };
  auto tested = port();
  tested.receive({.id = 1}, Instant{100});
  tested.receive({.id = 2}, Instant{200});
  tested.run_until(Instant{} + microseconds(10), {}, changes_);
  EXPECT_EQ(ids, (std::vector<std::uint32_t>{1, 2}));
}

std::string fault_of(sim::bench::ControllerPort& tested,
                     std::vector<sim::bench::BridgeChange>& changes) {
  try {
    tested.run_until(Instant{} + microseconds(5000), {}, changes);
  } catch (const sim::bench::ControllerError& error) {
    EXPECT_EQ(error.row, 0);
    EXPECT_NEAR(error.at_s, 1e-3, 1e-9);  // the first tick
    return error.what();
  }
  return "";
}

TEST_F(Port, WhatTheInterfaceDoesNotHaveIsTheControllersFault) {
  script_.step = [](const sillion_input&, sillion_output& out) {
    out.bridge_valid = 1;
    out.bridge.state = 7;
  };
  sim::bench::ControllerPort bridge = port();
  EXPECT_NE(fault_of(bridge, changes_)
                .find("row 0 at 0.001000 s, call 0 (tick): returned a bridge "
                      "command that the interface does not have (state 7"),
            std::string::npos);
  script_.step = [](const sillion_input&, sillion_output& out) {
    out.compare_count = 1;
    out.compares[0] = {.at_ticks = 0, .channel = 3, .armed = 1};
  };
  sim::bench::ControllerPort channel = port();
  EXPECT_NE(fault_of(channel, changes_).find("compare channel 3 of 2"), std::string::npos);
  script_.step = [](const sillion_input&, sillion_output& out) { out.event_count = 99; };
  sim::bench::ControllerPort counts = port();
  EXPECT_NE(fault_of(counts, changes_).find("beyond the interface's limits"), std::string::npos);
}

TEST_F(Port, WritingBesideItsMemoryIsTheControllersFault) {
  sim::bench::ControllerPort tested = port();
  script_.step = [&](const sillion_input&, sillion_output&) { block[64] = 1; };
  EXPECT_NE(fault_of(tested, changes_).find("outside its memory block"), std::string::npos);
}

TEST_F(Port, TheLogHasADigestOfEveryCallAndOneCallWhole) {
  int calls = 0;
  script_.step = [&](const sillion_input&, sillion_output& out) {
    out.watchdog_kick = calls++ == 2 ? 1 : 0;
  };
  sim::bench::CallLog log, other;
  log.capture = 2;
  for (sim::bench::CallLog* kept : {&log, &other}) {
    calls = kept == &log ? 0 : -1;  // the other kicks one call later
    sim::bench::ControllerPort tested = port();
    tested.write_down(*kept);
    tested.run_until(Instant{} + microseconds(5500), {}, changes_);
  }
  ASSERT_EQ(log.digests.size(), 5u);
  EXPECT_EQ(log.captured_output.watchdog_kick, 1u);
  EXPECT_EQ(log.captured_at, Instant{} + microseconds(3000));
  EXPECT_EQ(log.captured_input.why, std::uint32_t{SILLION_WHY_TICK});
  for (std::size_t k = 0; k < 5; ++k)
    EXPECT_EQ(log.digests[k] == other.digests[k], k != 2 && k != 3) << k;
}

TEST_F(Port, AnotherInterfaceVersionIsRefused) {
  script_.hardware.abi_version = SILLION_ABI_VERSION + 1;
  EXPECT_THROW(port(), sim::bench::ControllerError);
}

TEST(ControllerLibrary, AMissingFileIsAMistakeOfInput) {
  EXPECT_THROW(sim::bench::load_controller("no/such/controller.so"), sim::text::InputError);
}

}  // namespace
