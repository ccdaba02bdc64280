// Passes over a radio and a bus: what controllers are told of their frames, what the network
// counts, the same calls wherever controllers live, and clocks that drift by 1 %.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <string>
#include <vector>

#include "sim/bench/controller_clock.h"
#include "sim/bench/controller_host.h"
#include "sim/bench/controller_port.h"
#include "sim/bench/pass.h"
#include "sim/bench/row_config.h"
#include "sim/bench/row_fixed.h"
#include "sim/measure/placement.h"
#include "sim/study/tune/tune.h"
#include "tests/sim/demo_scenario.h"

namespace {

using sim::bench::PassRecord;

sim::scenario::Scenario scenario(const std::vector<std::string>& sets) {
  std::vector<std::string> all = {"row.physics=ideal", "duration=\"6 s\"", "row.count=3"};
  all.insert(all.end(), sets.begin(), sets.end());
  return sim_test::quiet_demo(all);
}

PassRecord pass(const std::vector<std::string>& sets, sim::bench::PassOptions options = {}) {
  const sim::scenario::Scenario one = scenario(sets);
  return sim::bench::run_pass(one, sim::tune::tune(one).table, {}, options);
}

const std::vector<std::string> kNetwork = {"network.radio.period=100 ms",
                                           "network.radio.slot=2.9 ms",
                                           "network.radio.latency_scatter=4 ms",
                                           "network.radio.worsens=5 %",
                                           "network.radio.recovers=30 %",
                                           "network.radio.lost_bad=80 %",
                                           "network.radio.repeated=2 %",
                                           "network.cab.simulated=true",
                                           "network.cab.load=50 %",
                                           "network.cab.bit_errors=10 ppm",
                                           "network.power.awake=20 mA",
                                           "network.power.call=100 us"};

TEST(NetworkPass, WithoutANetworkNothingIsCounted) {
  const PassRecord record = pass({});
  EXPECT_EQ(record.network.down.sent + record.network.up.sent + record.network.cab.frames, 0);
}

// In 6.5 s the machine sends a motion for each speed, a second one where a speed is later than
// 100 ms after the last, and a set point every 100 ms; each row reports every 200 ms. A slot of
// 2.9 ms holds three frames of 960 us.
TEST(NetworkPass, CountsWhatControllersSend) {
  const PassRecord record = pass(kNetwork);
  const sim::bench::NetworkRecord& network = record.network;
  EXPECT_GT(network.down.sent, 125);
  EXPECT_LT(network.down.sent, 200);
  EXPECT_NEAR(static_cast<double>(network.up.sent), 3.0 * 32.0, 6.0);
  EXPECT_EQ(network.down.failed + network.up.failed, 0);
  EXPECT_GT(network.down.lost, 0);
  // Each frame is lost by each row alone, received, or still under way at the end.
  EXPECT_NEAR(
      static_cast<double>(network.down.lost + network.down.delays.frames - network.down.repeated),
      3.0 * static_cast<double>(network.down.sent), 6.0);
  EXPECT_GT(network.down.delays.sum_ns, 5'000'000 * network.down.delays.frames);
  EXPECT_NEAR(static_cast<double>(network.cab.speed_frames), 65.0, 1.0);
  ASSERT_EQ(network.power.size(), 3u);
  EXPECT_GT(network.power[0].awake_s, 0.01);
  EXPECT_GT(network.power[0].transmit_s, 32 * 832e-6 * 0.9);
}

// What became of a frame is told with the next call, once.
TEST(NetworkPass, AControllerIsToldWhatItsTransmitterDid) {
  const auto host = sim::bench::make_host("", 1);
  const sim::scenario::Scenario one = scenario({});
  const sillion_config config = sim::bench::machine_config(one, sim::tune::tune(one).table);
  sim::bench::ControllerPort port(*host, 0, config, {}, {});
  std::vector<sim::bench::BridgeChange> none;
  const auto next = [&](std::uint32_t& gave) {
    EXPECT_TRUE(port.call_due(shared::Instant{10'000'000'000}, {}, none));
    sim::bench::StepCall due = port.call();
    const sillion_input seen = *due.input;
    host->step({&due, 1});
    gave = due.output->frame_count;
    port.take(due, none);
    return seen;
  };
  std::uint32_t gave = 0;
  std::uint32_t all = 0;
  for (int k = 0; k < 400; ++k) {
    EXPECT_EQ(next(gave).frames_sent_ok, 0u) << "nothing is known of a frame that is on its way";
    all += gave;
  }
  EXPECT_GT(all, 0u);
  port.transmitted(3, 1);
  const sillion_input told = next(gave);
  EXPECT_EQ(told.frames_sent_ok, 3u);
  EXPECT_EQ(told.frames_sent_failed, 1u);
  const sillion_input after = next(gave);
  EXPECT_EQ(after.frames_sent_ok, 0u);
  EXPECT_EQ(after.frames_sent_failed, 0u);
}

// With room for one frame in its slot the machine sends 10 of 20 a second, and its queue of 2
// fills.
TEST(NetworkPass, WhatAFullQueueRefusesIsCounted) {
  const PassRecord record =
      pass({"network.radio.period=100 ms", "network.radio.slot=1 ms", "network.radio.queue=2"});
  EXPECT_NEAR(static_cast<double>(record.network.down.sent), 65.0, 3.0);
  EXPECT_NEAR(static_cast<double>(record.network.down.failed), 65.0, 6.0);
  EXPECT_EQ(record.network.up.failed, 0);
}

// At work a row is called 1000 times a second by its tick, 60 times by 30 seeds' edges and their
// commands. Lifted for 3.5 s it wants 50 ticks a second, and 20 to 30 frames wake it besides.
TEST(NetworkPass, ALiftedRowSleeps) {
  const PassRecord work = pass(kNetwork);
  std::vector<std::string> sets = kNetwork;
  sets.emplace_back("work.lift_times=[\"2 s\", \"5.5 s\"]");
  const PassRecord lifted = pass(sets);
  for (std::size_t row = 0; row < 3; ++row) {
    const auto& plain = work.network.power[row];
    const auto& slept = lifted.network.power[row];
    EXPECT_NEAR(plain.awake_s / plain.lasted_s, 0.11, 0.005);  // 1100 calls of 100 us
    EXPECT_NEAR(plain.awake_s - slept.awake_s, 3.5 * (0.11 - 0.0075), 0.02);
    // Some of the time that the radio's losses close the working row lies in the lifted time.
    const std::uint32_t closed_ms = lifted.rows[row].health.safe_closed_ms;
    EXPECT_GE(closed_ms, 3480u);
    EXPECT_LE(closed_ms, 3520u + work.rows[row].health.safe_closed_ms);
  }
}

// A row runs on here or in a process of its own, in rounds or a slot ahead: the same bands.
TEST(NetworkPass, TheSameHereAndApart) {
  const auto opened = [](const PassRecord& record) {
    std::vector<double> all;
    for (const auto& row : record.rows)
      for (const auto& band : row.bands) all.push_back(band.open_s);
    return all;
  };
  sim::bench::set_host_settings({.reference_apart = false});
  const PassRecord here = pass(kNetwork);
  sim::bench::set_host_settings({.reference_apart = true});
  const PassRecord apart = pass(kNetwork);
  sim::bench::set_host_settings({});
  EXPECT_EQ(opened(here), opened(apart));
  EXPECT_EQ(here.network.down.delays.sum_ns, apart.network.down.delays.sum_ns);
  EXPECT_EQ(here.network.up.delays.sum_ns, apart.network.up.delays.sum_ns);
  EXPECT_EQ(here.network.power[1].awake_s, apart.network.power[1].awake_s);
}

// 2^32 ticks of 1 us are 4294.967296 s, 71.6 minutes. A clock that is 50 ppm fast counts
// 4294967296 * 50e-6 = 214748.36 ticks more: at the world's wrap it stands at 214748.
TEST(NetworkClocks, FiftyPartsPerMillionOver71Minutes) {
  sillion_hardware hardware{};
  hardware.tick_ns = 1000;
  hardware.counter_bits = 32;
  const sim::bench::ControllerClock clock(hardware, 50e-6, 0.0);
  const shared::Instant at{4'294'967'296'000};
  EXPECT_EQ(clock.ticks_at(at), 4'295'182'044);
  EXPECT_EQ(clock.counter(clock.ticks_at(at)), 214'748u);
  EXPECT_NEAR(at.seconds() / 60.0, 71.58, 0.01);
}

// An RC oscillator of 1 %. A row waits from edge to command by its own clock, so a clock that is
// fast by d shortens the wait to 1/(1 + d) of itself: of 28 ms 0.28 ms at 1 %, 1.2 mm at 16 km/h.
// Ticks of at most 10 us at edge and command average out to less than 3e-4 of 28 ms, 8 us.
TEST(NetworkClocks, AnRcClockShiftsTheWaitByItsDrift) {
  const sim::scenario::Scenario plain = scenario({});
  sim::scenario::Scenario rc = plain;
  rc.clock.drift_ratio = 0.01;
  const sillion_attachment_table table = sim::tune::tune(plain).table;
  const PassRecord even = sim::bench::run_pass(plain, table, {});
  const PassRecord drifting = sim::bench::run_pass(rc, table, {});
  for (std::size_t row = 0; row < 3; ++row) {
    const double drift_ratio = sim::bench::drawn_row(rc, static_cast<int>(row)).clock_drift_ratio;
    const auto wait_s = [&](PassRecord record) {
      sim::measure::RowRecord& own = record.rows[row];
      sim::measure::match_bands(own, {.theoretical_spacing_m = rc.seeding.meter.spacing_m,
                                      .band_length_m = rc.rate.band_length_m});
      double sum_s = 0.0;
      int seen = 0;
      for (std::size_t k = 60; k < 120; ++k) {
        const sim::measure::SeedRecord& seed = own.seeds[k];
        if (!sim::measure::has_own_band(seed)) continue;
        sum_s += sim::measure::band_of(own, seed).open_s - seed.edge_s;
        ++seen;
      }
      EXPECT_GT(seen, 50);
      return sum_s / seen;
    };
    EXPECT_GT(wait_s(even), 0.02);
    EXPECT_NEAR(wait_s(drifting) / wait_s(even), 1.0 / (1.0 + drift_ratio), 3e-4) << drift_ratio;
  }
}

/// Mean of a row's placement errors over the seeds with edges in [from_s, to_s), in mm.
double mean_error_mm(const PassRecord& record, std::size_t row, double from_s, double to_s) {
  double sum_mm = 0.0;
  int seen = 0;
  for (const sim::measure::SeedRecord& seed : record.rows[row].seeds) {
    if (seed.edge_s < from_s || seed.edge_s >= to_s || !sim::measure::has_own_band(seed)) continue;
    sum_mm += 1e3 * seed.placement_error_m;
    ++seen;
  }
  EXPECT_GT(seen, 100);
  return sum_mm / seen;
}

struct ClockShift {
  double before_mm = 0.0;  // largest over rows: what the drift moves bands while it is not known
  double after_mm = 0.0;   // and once it is
  double expected_mm = 0.0;
};

/// Three rows at 16 km/h for 45 s with clocks of this sd; the first rate is found after 10 s.
ClockShift clock_shift(double drift_ratio, const std::vector<std::string>& network) {
  std::vector<std::string> sets = {"duration=\"45 s\""};
  sets.insert(sets.end(), network.begin(), network.end());
  const sim::scenario::Scenario plain = scenario(sets);
  sim::scenario::Scenario drifts = plain;
  drifts.clock.drift_ratio = drift_ratio;
  const sillion_attachment_table table = sim::tune::tune(plain).table;
  PassRecord even = sim::bench::run_pass(plain, table, {});
  PassRecord moved = sim::bench::run_pass(drifts, table, {});
  ClockShift shift;
  for (std::size_t row = 0; row < 3; ++row) {
    for (PassRecord* one : {&even, &moved})
      sim::measure::match_bands(one->rows[row],
                                {.theoretical_spacing_m = plain.seeding.meter.spacing_m,
                                 .band_length_m = plain.rate.band_length_m});
    const auto moved_mm = [&](double from_s, double to_s) {
      return std::abs(mean_error_mm(moved, row, from_s, to_s) -
                      mean_error_mm(even, row, from_s, to_s));
    };
    const double own = sim::bench::drawn_row(drifts, static_cast<int>(row)).clock_drift_ratio;
    shift.before_mm = std::max(shift.before_mm, moved_mm(3.0, 10.0));
    shift.after_mm = std::max(shift.after_mm, moved_mm(35.0, 45.0));
    shift.expected_mm = std::max(shift.expected_mm, std::abs(own) * 34.7e-3 * 16e3 / 3.6);
  }
  std::printf("clock of %g %%: %.3f mm before, %.3f mm after its rate is known\n",
              100.0 * drift_ratio, shift.before_mm, shift.after_mm);
  return shift;
}

const std::vector<std::string> kRadio = {
    "network.radio.period=100 ms",        "network.radio.slot=2.9 ms",
    "network.radio.latency_scatter=2 ms", "network.radio.worsens=2 %",
    "network.radio.recovers=20 %",        "network.radio.lost_bad=90 %",
    "network.cab.simulated=true",         "network.cab.load=40 %"};

// A band's middle is commanded 28 ms of wait and half of 13.5 ms of on time after the edge: 154 mm
// at 16 km/h. After 35 s the rate is known to 10 ms over some 25 s, 0.04 % or 0.06 mm; a radio's
// least waits differ by some ms, which doubles that.
TEST(NetworkClocks, OnePercentIsFoundAndTakenOut) {
  const ClockShift wired = clock_shift(0.01, {});
  EXPECT_NEAR(wired.before_mm, wired.expected_mm, 0.1 * wired.expected_mm);
  EXPECT_LE(wired.after_mm, 0.08);
  const ClockShift radio = clock_shift(0.01, kRadio);
  EXPECT_GT(radio.before_mm, 0.9 * radio.expected_mm);
  EXPECT_LE(radio.after_mm, 0.15);
}

// A crystal is nothing to be corrected: what it costs stays within 0.02 mm of what it was.
TEST(NetworkClocks, ACrystalGetsNoWorse) {
  for (const std::vector<std::string>& network : {std::vector<std::string>{}, kRadio}) {
    const ClockShift crystal = clock_shift(50e-6, network);
    EXPECT_LE(crystal.after_mm, crystal.before_mm + 0.02);
  }
}

}  // namespace
