// The bus in the cab: times by hand, arbitration, load, errors, bus off.
#include "sim/bench/cab_bus.h"

#include <gtest/gtest.h>

#include <cmath>

#include "shared/row_frames.h"

namespace {

using shared::Duration;
using shared::Instant;
using shared::milliseconds;

constexpr Duration kBit{4000};

sillion_frame frame(std::uint32_t id) {
  sillion_frame made{};
  made.id = id;
  made.length = 8;
  for (int k = 0; k < 8; ++k) made.bytes[k] = static_cast<std::uint8_t>(0x55);
  return made;
}

int bits_of(const sillion_frame& of) {
  sim::bench::CanFrame made{.id = of.id, .length = 8, .bytes = {}};
  std::copy_n(of.bytes, 8, made.bytes.begin());
  return sim::bench::can_length_bits(made);
}

sim::scenario::CabSection quiet() {
  sim::scenario::CabSection cab;
  cab.simulated = true;
  cab.own_period_s = 10.0;  // its first frame at 0 only
  return cab;
}

TEST(CabBus, AFrameAloneTakesItsBits) {
  const sim::scenario::CabSection cab = quiet();
  sim::bench::CabBus bus(cab, {.rng_key = 1});
  const Instant at = Instant{} + milliseconds(5);
  bus.offer(frame(SILLION_BUS_GROUND_SPEED), at);
  const auto got = bus.run({}, Instant{} + milliseconds(10));
  ASSERT_EQ(got.size(), 1u);
  EXPECT_EQ((got[0].left - at).ns, (kBit * bits_of(frame(SILLION_BUS_GROUND_SPEED))).ns);
  EXPECT_EQ(got[0].frame.sender, 254);
  EXPECT_EQ(got[0].frame.bytes[7], 0x55);
}

// Course has priority 2, ground speed 3: the course goes first, then 3 bits of intermission.
TEST(CabBus, TheLowerIdentifierWinsAndTheOtherWaits) {
  const sim::scenario::CabSection cab = quiet();
  sim::bench::CabBus bus(cab, {.rng_key = 1});
  const Instant at = Instant{} + milliseconds(5);
  bus.offer(frame(SILLION_BUS_GROUND_SPEED), at);
  bus.offer(frame(SILLION_BUS_COURSE_SPEED), at);
  const auto got = bus.run({}, Instant{} + milliseconds(10));
  ASSERT_EQ(got.size(), 2u);
  EXPECT_EQ(got[0].frame.id, std::uint32_t{SILLION_BUS_COURSE_SPEED});
  const Duration both = kBit * (bits_of(frame(SILLION_BUS_COURSE_SPEED)) + 3 +
                                bits_of(frame(SILLION_BUS_GROUND_SPEED)));
  EXPECT_EQ((got[1].left - at).ns, both.ns);
}

// A frame that is on the wire is not broken off: one that is more urgent waits for its end.
TEST(CabBus, AFrameOnTheWireIsNotBrokenOff) {
  const sim::scenario::CabSection cab = quiet();
  sim::bench::CabBus bus(cab, {.rng_key = 1});
  const Instant at = Instant{} + milliseconds(5);
  bus.offer(frame(SILLION_BUS_GROUND_SPEED), at);
  bus.offer(frame(SILLION_BUS_COURSE_SPEED), at + Duration{1000});
  const auto got = bus.run({}, Instant{} + milliseconds(10));
  ASSERT_EQ(got.size(), 2u);
  EXPECT_EQ(got[0].frame.id, std::uint32_t{SILLION_BUS_GROUND_SPEED});
}

struct Ran {
  sim::bench::CabCounts counts;
  double busy_ratio = 0.0;  // with intermissions
};

/// 20 s of speed frames every 100 ms, in slots of 10 ms.
Ran run(const sim::scenario::CabSection& cab, const sim::scenario::CabSeam& seam = {}) {
  sim::bench::CabBus bus(cab, {.rng_key = 5});
  for (int slot = 0; slot < 2000; ++slot) {
    const Instant start = Instant{} + milliseconds(10) * slot;
    if (slot % 10 == 0) bus.offer(frame(SILLION_BUS_GROUND_SPEED), start + milliseconds(3));
    bus.run(seam, start + milliseconds(10));
  }
  const sim::bench::CabCounts& seen = bus.counts();
  const double gaps_ns = static_cast<double>((seen.frames + seen.errors) * 3 * kBit.ns);
  return {seen, (static_cast<double>(seen.busy_ns) + gaps_ns) / 20e9};
}

// Stated 50 %: some 18,000 frames with exponential gaps, sd of their number sqrt(18,000) = 0.75 %
// of it. Speed frames (10 a second of 0.6 ms) add 0.6 %. Bound: 5 sd.
TEST(CabBus, OtherNodesTakeTheStatedShare) {
  sim::scenario::CabSection cab = quiet();
  cab.load_ratio = 0.5;
  const Ran ran = run(cab);
  EXPECT_NEAR(ran.busy_ratio, 0.506, 0.5 * 5.0 * 0.0075);
  EXPECT_EQ(ran.counts.speed_lost, 0);
}

// At most one frame of lower priority is on the wire when a speed frame comes, 160 bits with its
// intermission; with more load, frames of higher priority stand before it more often.
TEST(CabBus, LoadDelaysSpeedFrames) {
  sim::scenario::CabSection cab = quiet();
  const auto mean_s = [&](double load_ratio) {
    cab.load_ratio = load_ratio;
    const sim::bench::Delays delays = run(cab).counts.delays;
    EXPECT_GT(delays.frames, 150);
    return 1e-9 * static_cast<double>(delays.sum_ns) / static_cast<double>(delays.frames);
  };
  const double alone_s = mean_s(0.0);
  EXPECT_NEAR(alone_s, 4e-6 * bits_of(frame(SILLION_BUS_GROUND_SPEED)), 1e-9);
  const double half_s = mean_s(0.5);
  EXPECT_GT(half_s, alone_s + 0.1e-3);
  EXPECT_GT(mean_s(0.9), 1.5 * half_s);
}

TEST(CabBus, AFaultTakesAShareOfWhatIsLeftFree) {
  sim::scenario::CabSection cab = quiet();
  cab.load_ratio = 0.2;
  EXPECT_NEAR(run(cab, {.free_ratio = 0.5}).busy_ratio, 0.606, 0.6 * 5.0 * 0.0075);
}

TEST(CabBus, NoFramePassesACutLink) {
  const Ran ran = run(quiet(), {.cut = true});
  EXPECT_EQ(ran.counts.frames, 0);
  EXPECT_EQ(ran.counts.speed_lost, ran.counts.speed_frames);
}

// A frame of n bits is destroyed by the chance 1 - (1 - p)^n: with p = 1e-3 and the 200 speed
// frames each sent until one passes, there are 200 / (1 - p)^n attempts of them in the mean. The
// number of errors is geometric: variance per frame P/(1 - P)^2.
TEST(CabBus, ErrorsComeByTheirChance) {
  sim::scenario::CabSection cab = quiet();
  cab.bit_error_ratio = 1e-3;
  const Ran ran = run(cab);
  const int bits = bits_of(frame(SILLION_BUS_GROUND_SPEED));
  const double whole_ratio = std::pow(1.0 - 1e-3, bits);
  const double expected = 200.0 * (1.0 / whole_ratio - 1.0);
  const double sd = std::sqrt(200.0 * (1.0 - whole_ratio)) / whole_ratio;
  EXPECT_NEAR(static_cast<double>(ran.counts.errors), expected, 5.0 * sd);
  EXPECT_EQ(ran.counts.bus_offs, 0);
}

// +8 for an error and -1 for a frame: counters grow where more than one frame in nine is destroyed.
// With 1 % per bit three frames of four are, so every sender leaves the bus again and again.
TEST(CabBus, ManyErrorsDriveNodesOffTheBus) {
  sim::scenario::CabSection cab = quiet();
  cab.bit_error_ratio = 1e-2;
  const Ran ran = run(cab);
  EXPECT_GT(ran.counts.bus_offs, 5);
  EXPECT_GT(ran.counts.speed_lost, 0);
}

// While the machine's node is held off it hears nothing. Then it needs 128 times 11 bits, 5.632 ms
// of a free bus: a frame that ends before that is not heard, one after it is.
TEST(CabBus, BusOffEndsAfter128Times11Bits) {
  for (const bool early : {true, false}) {
    const sim::scenario::CabSection cab = quiet();
    sim::bench::CabBus bus(cab, {.rng_key = 1});
    bus.run({.machine_off = true}, Instant{} + milliseconds(10));
    EXPECT_TRUE(bus.machine().off());
    // The frame's own bits are no recessive ones, but the 11 behind it are.
    bus.offer(frame(SILLION_BUS_GROUND_SPEED),
              Instant{} + milliseconds(10) + Duration{early ? 5'000'000 : 5'633'000});
    EXPECT_EQ(bus.run({}, Instant{} + milliseconds(20)).size(), early ? 0u : 1u);
    EXPECT_EQ(bus.counts().bus_offs, 1);
    EXPECT_FALSE(bus.machine().off());
  }
}

}  // namespace
