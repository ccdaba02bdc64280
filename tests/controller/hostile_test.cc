// Whatever input comes, the valve is never open when it must not be, and never for unbounded time.

#include <gtest/gtest.h>

#include <cstring>

#include "controller/config_store.h"
#include "tests/controller/fake_hardware.h"

namespace {

using test::FakeHardware;
using test::row_config;

/// xorshift64 (Marsaglia 2003): garbage that is the same on every machine.
struct Garbage {
  std::uint64_t state;
  std::uint32_t next() {
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return static_cast<std::uint32_t>(state >> 32);
  }
  std::uint32_t below(std::uint32_t n) { return next() % n; }
};

sillion_frame motion_of(std::uint16_t sequence, std::int32_t speed_umps) {
  controller::MotionFrame motion;
  motion.sequence = sequence;
  motion.valid_ms = 500;
  motion.speed_umps = speed_umps;
  return controller::encode(motion);
}

sillion_frame garbage_frame(Garbage& garbage) {
  constexpr std::uint32_t kIds[] = {SILLION_FRAME_MOTION,     SILLION_FRAME_SETPOINT,
                                    SILLION_FRAME_ROW_REPORT, SILLION_BUS_GROUND_SPEED,
                                    SILLION_BUS_COURSE_SPEED, 0x7ff};
  sillion_frame frame{};
  frame.id = kIds[garbage.below(6)];
  frame.length = static_cast<std::uint8_t>(garbage.below(2) != 0 ? garbage.below(256)
                                                                 : 8 + 4 * garbage.below(3));
  frame.sender = static_cast<std::uint8_t>(garbage.below(2) != 0 ? garbage.below(256) : 255);
  for (std::uint8_t& byte : frame.bytes) byte = static_cast<std::uint8_t>(garbage.next());
  frame.received_ticks = garbage.next();
  return frame;
}

sillion_input garbage_input(Garbage& garbage, std::uint32_t now_ticks) {
  sillion_input in{};
  in.now_ticks = now_ticks;
  in.why = garbage.next();
  in.edge_count = garbage.below(8) == 0 ? garbage.next() : garbage.below(17);
  in.edge_overflow = garbage.below(2);
  for (sillion_edge& edge : in.edges) {
    edge.at_ticks = garbage.below(2) != 0 ? garbage.next() : now_ticks - garbage.below(60'000);
    edge.rising = static_cast<std::uint8_t>(garbage.next());
  }
  for (std::uint8_t& match : in.compare) match = static_cast<std::uint8_t>(garbage.below(4));
  for (std::uint16_t& counts : in.analog_counts)
    counts = static_cast<std::uint16_t>(garbage.next());
  in.burst_count = garbage.below(8) == 0 ? garbage.next() : garbage.below(65);
  in.burst_start_ticks = garbage.below(2) != 0 ? garbage.next() : now_ticks - garbage.below(20'000);
  for (std::uint16_t& counts : in.burst_counts) counts = static_cast<std::uint16_t>(garbage.next());
  in.meter_pulses = garbage.next();
  in.frame_count = garbage.below(8) == 0 ? garbage.next() : garbage.below(9);
  for (sillion_frame& frame : in.frames) frame = garbage_frame(garbage);
  in.storage_busy = garbage.below(2);
  in.storage_done = garbage.below(6);
  in.storage_refused = garbage.below(6);
  in.storage_page = garbage.below(4) == 0 ? garbage.next() : garbage.below(18);
  for (std::uint8_t& byte : in.storage) byte = static_cast<std::uint8_t>(garbage.next());
  return in;
}

/// Follows bridge and compares of raw calls: may the valve be open after this call or later by
/// itself?
struct Valve {
  bool open = false;
  bool armed_open = false;
  void follow(const sillion_output& out) {
    if (out.bridge_valid != 0) open = out.bridge.state == SILLION_BRIDGE_DRIVE;
    for (std::uint32_t i = 0; i < out.compare_count; ++i) {
      if (out.compares[i].channel == 0) armed_open = out.compares[i].armed != 0;
    }
  }
};

class RawController {
 public:
  explicit RawController(const sillion_config& config) : words_(4096) {
    controller_ = sillion_init(words_.data(), words_.size() * 8, &config, nullptr, 0, blank_.data(),
                               blank_.size());
  }
  const sillion_output& step(const sillion_input& in) {
    std::memset(&out_, 0, sizeof out_);
    sillion_step(controller_, &in, &out_);
    return out_;
  }

 private:
  std::vector<std::uint64_t> words_;
  const std::vector<std::uint8_t> blank_ =
      std::vector<std::uint8_t>(SILLION_PAGES_MAX * SILLION_PAGE_BYTES, 0xff);
  sillion_controller* controller_ = nullptr;
  sillion_output out_{};
};

void expect_sane(const sillion_output& out) {
  ASSERT_LE(out.compare_count, static_cast<std::uint32_t>(SILLION_COMPARE_MAX * 2));
  ASSERT_LE(out.frame_count, static_cast<std::uint32_t>(SILLION_FRAMES_MAX));
  ASSERT_LE(out.event_count, static_cast<std::uint32_t>(SILLION_EVENTS_MAX));
  ASSERT_LE(out.storage_command, std::uint32_t{SILLION_STORAGE_PROGRAM});
  ASSERT_LT(out.storage_page, std::uint32_t{SILLION_PAGES_MAX});
  if (out.bridge_valid != 0) {
    ASSERT_LE(out.bridge.state, SILLION_BRIDGE_REVERSE);
  }
}

// Under any input the valve of a lifted row is never driven, and no opening stays armed.
TEST(Hostile, GarbageNeverOpensALiftedRow) {
  for (std::uint64_t key = 1; key <= 8; ++key) {
    RawController row(row_config());
    Valve valve;
    Garbage garbage{key * 0x9e3779b97f4a7c15ull};
    std::uint32_t now = test::kStartTicks;
    for (int i = 0; i < 20'000; ++i) {
      now += garbage.below(2000);
      sillion_input in = garbage_input(garbage, now);
      in.digital = garbage.next() & ~static_cast<std::uint32_t>(SILLION_INPUT_LOWERED);
      const sillion_output& out = row.step(in);
      expect_sane(out);
      valve.follow(out);
      ASSERT_FALSE(valve.open) << "key " << key << " call " << i;
      ASSERT_FALSE(valve.armed_open) << "key " << key << " call " << i;
    }
  }
}

// The row is lowered in most calls, and anything may happen then: a call that finds it lifted shuts
// the valve.
TEST(Hostile, LiftingShutsWhateverHappenedBefore) {
  for (std::uint64_t key = 1; key <= 8; ++key) {
    RawController row(row_config());
    Valve valve;
    Garbage garbage{key * 0xbf58476d1ce4e5b9ull};
    std::uint32_t now = test::kStartTicks;
    std::uint16_t sequence = 0;
    int opened = 0;
    for (int i = 0; i < 20'000; ++i) {
      now += garbage.below(2000);
      sillion_input in = garbage_input(garbage, now);
      in.digital = garbage.below(20) == 0 ? 6 : 7;
      if (garbage.below(4) == 0) {
        in.frame_count = 1;
        in.frames[0] = motion_of(++sequence, 4'000'000);
        in.frames[0].received_ticks = now;
      }
      const sillion_output& out = row.step(in);
      expect_sane(out);
      valve.follow(out);
      if (valve.open) ++opened;
      if ((in.digital & SILLION_INPUT_LOWERED) == 0) {
        ASSERT_FALSE(valve.open || valve.armed_open) << "key " << key << " call " << i;
      }
    }
    EXPECT_GT(opened, 0) << "the garbage never opened it: the test shows nothing";
  }
}

// Without a valid speed (frames of speed never come from the machine) garbage leaves the valve
// shut.
TEST(Hostile, WithoutASpeedNothingOpens) {
  RawController row(row_config());
  Valve valve;
  Garbage garbage{12345};
  std::uint32_t now = test::kStartTicks;
  for (int i = 0; i < 50'000; ++i) {
    now += garbage.below(2000);
    sillion_input in = garbage_input(garbage, now);
    in.digital = 7;
    for (sillion_frame& frame : in.frames) {
      if (frame.sender == 255) frame.sender = 0;
    }
    valve.follow(row.step(in));
    ASSERT_FALSE(valve.open || valve.armed_open) << "call " << i;
  }
}

TEST(Hostile, AMachineSurvivesGarbage) {
  RawController machine(test::machine_config());
  Garbage garbage{777};
  std::uint32_t now = test::kStartTicks;
  for (int i = 0; i < 50'000; ++i) {
    now += garbage.below(2000);
    const sillion_output& out = machine.step(garbage_input(garbage, now));
    expect_sane(out);
    ASSERT_EQ(out.bridge_valid, 0u);
    ASSERT_EQ(out.compare_count, 0u);
    if (out.pressure_setpoint_valid != 0) {
      ASSERT_LE(out.pressure_setpoint_pa, 600'000u);
    }
  }
}

// Time that jumps back and forth is garbage too.
TEST(Hostile, SurvivesATimeThatJumps) {
  RawController row(row_config());
  Garbage garbage{4242};
  Valve valve;
  for (int i = 0; i < 50'000; ++i) {
    sillion_input in = garbage_input(garbage, garbage.next());
    in.digital = garbage.next();
    const sillion_output& out = row.step(in);
    expect_sane(out);
    valve.follow(out);
    if ((in.digital & 7) != 7) {
      ASSERT_FALSE(valve.open || valve.armed_open);
    }
  }
}

// An edge storm: 10 kHz for a second. At most one seed per half dwell is accepted, and every
// opening is followed by a closing.
TEST(Hostile, EdgeStormEndsInAClosedValve) {
  FakeHardware row(row_config());
  row.report_speed([](double) { return 4.0; }, 0.0, 500, 5'000'000);
  for (int i = 0; i < 10'000; ++i) row.drop_seed(1'000'000 + i * 100);
  row.run_until(5'000'000);
  EXPECT_FALSE(row.valve_open());
  EXPECT_EQ(row.health.edges_accepted + row.health.edges_rejected, 10'000u);
  EXPECT_LE(row.health.edges_accepted, 1'000'000u / 1650u + 1u);
  // The last accepted edge is at 2.0 s at the latest: its band has ended 70 + 19.75 ms later.
  EXPECT_LE(row.pulses().back().close_us, 2'000'000 + 89'750 + 1000);
}

// One seed at the slowest speed that still fires: open for (75 mm)/v + 1 ms and not a tick longer.
TEST(Hostile, OneSeedNeverOpensForLongerThanItsBand) {
  for (const double speed_mps : {0.051, 0.1, 0.5, 2.0, 5.0, 10.0}) {
    FakeHardware row(row_config());
    row.report_speed([=](double) { return speed_mps; }, 0.0, 500, 20'000'000);
    row.drop_seed(1'000'000);
    row.run_until(20'000'000);
    ASSERT_EQ(row.pulses().size(), 1u) << speed_mps;
    const double on_us = static_cast<double>(row.pulses()[0].close_us - row.pulses()[0].open_us);
    EXPECT_NEAR(on_us, std::max(4000.0, 75e3 / speed_mps + 1000.0), 30.0) << speed_mps;
  }
}

TEST(Hostile, RepeatedAndOvertakenFramesChangeNothing) {
  FakeHardware clean(row_config());
  FakeHardware radio(row_config());
  Garbage garbage{99};
  for (int i = 0; i < 40; ++i) {
    const auto speed = static_cast<std::int32_t>(3'000'000 + i * 20'000);
    const std::int64_t sent_us = 500 + i * 100'000;
    const sillion_frame frame = motion_of(static_cast<std::uint16_t>(65'520 + i), speed);
    clean.receive(sent_us, frame);
    radio.receive(sent_us, frame);
    for (std::uint32_t again = garbage.below(3); again > 0; --again) {
      radio.receive(sent_us + 1000 + garbage.below(400'000), frame);
    }
  }
  for (int i = 0; i < 60; ++i) {
    clean.drop_seed(500'000 + i * 40'000);
    radio.drop_seed(500'000 + i * 40'000);
  }
  clean.run_until(3'800'000);
  radio.run_until(3'800'000);
  const auto expected = clean.pulses();
  const auto found = radio.pulses();
  ASSERT_EQ(found.size(), expected.size());
  for (std::size_t i = 0; i < found.size(); ++i) EXPECT_EQ(found[i].open_us, expected[i].open_us);
  EXPECT_GT(radio.health.bad_frames, 0u);
}

TEST(Hostile, CorruptedFramesAreCountedAndSaid) {
  FakeHardware row(row_config());
  row.report_speed([](double) { return 4.0; }, 0.0, 500, 2'000'000);
  sillion_frame cut = motion_of(900, 1'000'000);
  cut.length = 3;
  sillion_frame mad = motion_of(901, 2'000'000'000);
  row.receive(1'000'700, cut);
  row.receive(1'000'800, mad);
  row.drop_seed(1'000'000);
  row.run_until(1'500'000);
  EXPECT_EQ(row.health.bad_frames, 2u);
  EXPECT_EQ(row.count(SILLION_EVENT_BAD_FRAME), 2);
  ASSERT_EQ(row.pulses().size(), 1u);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].open_us), 1'070'000.0, 2.0);
}

TEST(Hostile, CaptureOverflowIsCounted) {
  RawController row(row_config());
  sillion_input in{};
  in.now_ticks = test::kStartTicks;
  in.edge_overflow = 1;
  EXPECT_EQ(row.step(in).health.capture_overflows, 1u);
}

}  // namespace
