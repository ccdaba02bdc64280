// Time slots, air time and queue of a station, worked by hand; latency, reordering and repetition
// on the air.
#include <gtest/gtest.h>

#include "sim/bench/radio_channel.h"
#include "sim/bench/radio_sender.h"
#include "sim/bench/row_link.h"

namespace {

using shared::Duration;
using shared::Instant;
using shared::milliseconds;

Instant us(std::int64_t time) { return Instant{1000 * time}; }

sim::bench::SentFrame given(std::uint8_t length, Instant at, std::uint8_t number = 0) {
  sillion_frame frame{};
  frame.id = 0x101;
  frame.length = length;
  frame.bytes[0] = number;
  return {frame, at, at};
}

sim::scenario::RadioSection radio() {
  sim::scenario::RadioSection made;  // 250 kbit/s, 14 bytes of overhead, slots of 1.8 ms
  made.period_s = 0.1;
  return made;
}

// 16 + 14 bytes are 240 bits, 960 us; 12 + 14 are 208 bits, 832 us: both fit 1800 us, a third does
// not and goes in the next period.
TEST(RadioSender, FramesFillTheirSlotAndTheRestWaits) {
  const sim::scenario::RadioSection stated = radio();
  sim::bench::RadioSender sender(stated, 0);
  const auto first = sender.run({given(16, us(0)), given(12, us(0)), given(12, us(0))},
                                Instant{} + milliseconds(10));
  ASSERT_EQ(first.size(), 2u);
  EXPECT_EQ(first[0].left.ns, us(960).ns);
  EXPECT_EQ(first[1].left.ns, us(1792).ns);
  EXPECT_TRUE(sender.run({}, Instant{} + milliseconds(100)).empty());
  const auto later = sender.run({}, Instant{} + milliseconds(110));
  ASSERT_EQ(later.size(), 1u);
  EXPECT_EQ(later[0].left.ns, us(100'832).ns);
  EXPECT_EQ(sender.on_air().ns, 1000 * (960 + 832 + 832));
}

// Row 3 has the fifth slot, which begins at 8 ms. A frame that is given within it is too late.
TEST(RadioSender, ARowSendsInItsOwnSlot) {
  const sim::scenario::RadioSection stated = radio();
  sim::bench::RadioSender sender(stated, 4);
  const auto first =
      sender.run({given(12, us(8'000)), given(12, us(8'001))}, Instant{} + milliseconds(10));
  ASSERT_EQ(first.size(), 1u);
  EXPECT_EQ(first[0].left.ns, us(8'832).ns);
}

TEST(RadioSender, AFullQueueFailsAndTheControllerIsToldSo) {
  sim::scenario::RadioSection stated = radio();
  stated.queue_frames = 2;
  sim::bench::RadioSender sender(stated, 1);
  // The slot of row 0 begins at 2 ms; what comes just after waits for 102 ms.
  sender.run({given(12, us(2'001)), given(12, us(2'001)), given(12, us(2'001))},
             Instant{} + milliseconds(10));
  const sim::bench::Transmitted full = sender.take_done();
  EXPECT_EQ(full.ok, 0u);
  EXPECT_EQ(full.failed, 1u);
  sender.run({}, Instant{} + milliseconds(110));
  const sim::bench::Transmitted sent = sender.take_done();
  EXPECT_EQ(sent.ok, 2u);
  EXPECT_EQ(sent.failed, 0u);
}

// The air time ends at 960 us, 0.5 ms later the frame is received: the bench hands it over at the
// slot end of 10 ms. With 9.1 ms of latency it is the one of 20 ms.
TEST(RadioChannel, FramesArriveAtTheNextSlotEnd) {
  sim::scenario::RadioSection stated = radio();
  for (const bool late : {false, true}) {
    stated.latency_s = late ? 9.1e-3 : 0.5e-3;
    sim::bench::RadioChannel channel(stated, {.rng_key = 1}, 0);
    sim::bench::SentFrame sent = given(16, us(0));
    sent.left = us(960);
    EXPECT_EQ(channel.carry({sent}, Instant{} + milliseconds(10)).size(), late ? 0u : 1u);
    EXPECT_EQ(channel.carry({}, Instant{} + milliseconds(20)).size(), late ? 1u : 0u);
    EXPECT_EQ(channel.counts().delays.most_ns, late ? 20'000'000 : 10'000'000);
  }
}

TEST(RadioChannel, ScatteredLatenciesChangeTheOrderAndNoneIsLost) {
  sim::scenario::RadioSection stated = radio();
  stated.latency_s = 0.0;
  stated.scatter_s = 20e-3;
  sim::bench::RadioChannel channel(stated, {.rng_key = 1}, 0);
  int arrived = 0;
  int overtaken = 0;
  int last = -1;
  for (int slot = 0; slot < 300; ++slot) {
    const Instant at = Instant{} + milliseconds(10) * slot;
    std::vector<sim::bench::SentFrame> sent;
    if (slot < 200) sent.push_back(given(16, at, static_cast<std::uint8_t>(slot)));
    for (const sillion_frame& frame : channel.carry(sent, at)) {
      ++arrived;
      overtaken += frame.bytes[0] < last ? 1 : 0;
      last = frame.bytes[0];
    }
  }
  EXPECT_EQ(arrived, 200);
  EXPECT_GT(overtaken, 20);
  // The mean is 20 ms, and half a slot more until the slot end: 5 sd of 20/sqrt(200) = 1.4 ms.
  EXPECT_NEAR(1e-6 * static_cast<double>(channel.counts().delays.sum_ns) / 200.0, 25.0, 7.1);
}

// 1000 frames of which 30 % come twice: 300 within 5 sd of sqrt(1000 * 0.3 * 0.7) = 14.5.
TEST(RadioChannel, SomeFramesComeTwice) {
  sim::scenario::RadioSection stated = radio();
  stated.repeated_ratio = 0.3;
  sim::bench::RadioChannel channel(stated, {.rng_key = 1}, 1);
  std::size_t arrived = 0;
  for (int k = 0; k < 1010; ++k) {
    const Instant at = Instant{} + milliseconds(10) * k;
    std::vector<sim::bench::SentFrame> sent;
    if (k < 1000) sent.push_back(given(12, at));
    arrived += channel.carry(sent, at).size();
  }
  EXPECT_NEAR(static_cast<double>(arrived), 1300.0, 73.0);
  EXPECT_EQ(arrived, 1000u + static_cast<std::size_t>(channel.counts().repeated));
}

TEST(RowLink, WithoutARadioFramesCrossInTheirSlot) {
  const sim::scenario::Scenario scenario;
  sim::bench::RowLink link(scenario, 0, {.rng_key = 1});
  EXPECT_EQ(link.to_row({given(16, us(1)), given(12, us(2))}, Instant{} + milliseconds(10)).size(),
            2u);
}

TEST(RowLink, RowsAndDirectionsLoseFramesOfTheirOwn) {
  sim::scenario::Scenario scenario;
  scenario.network.radio = radio();
  scenario.network.radio.latency_s = 0.0;
  scenario.network.radio.lost_good_ratio = 0.5;
  const auto lost = [&](std::uint32_t row, bool up) {
    sim::bench::RowLink link(scenario, static_cast<int>(row), {.rng_key = 7, .row = row});
    std::string text;
    for (int k = 0; k < 100; ++k) {
      const Instant at = Instant{} + milliseconds(10) * k;
      const auto sent = {given(12, at)};
      text += (up ? link.to_machine(sent, at) : link.to_row(sent, at)).empty() ? "-" : "x";
    }
    return text;
  };
  EXPECT_NE(lost(0, false), lost(1, false));
  EXPECT_NE(lost(0, false), lost(0, true));
  EXPECT_EQ(lost(0, false), lost(0, false));
}

}  // namespace
