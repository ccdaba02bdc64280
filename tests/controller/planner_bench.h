// The pulse planner by itself, with seeds that open in a given number of us.
#pragma once

#include <cstdint>

#include "controller/pulse_planner.h"
#include "controller/ticks.h"

namespace test {

inline constexpr std::uint32_t kNow = 1'000'000;

/// A row at 1 m/s whose seeds are placed: a seed whose place lies d um behind opens in d us, with
/// lead and lag 0, and closes 20 ms later (a band of 20 mm).
struct PlannerBench {
  controller::DelayLaw law{.path_um = 100'000, .band_um = 20'000};
  controller::RowMotion motion{
      .sequence = {}, .known = true, .measured_ticks = kNow, .speed_umps = 1'000'000};
  controller::Odometer odometer{.place_pm = 0, .at_ticks = kNow};
  sillion_correction rest{};
  std::int32_t shortest_closed_us = 5000;
  controller::PulsePlanner planner;
  controller::SeedQueue queue;
  sillion_output out{};
  sillion_health health{};

  controller::Present present() const {
    return {law, odometer, motion, shortest_closed_us, 2000, rest};
  }
  /// A seed that opens in so many us from the instant at which the odometer shows 0.
  static controller::Seed opens_in(std::int32_t open_us, std::uint32_t number = 0) {
    controller::Seed seed;
    seed.edge_ticks = kNow;
    seed.number = number & 0x7fff'ffffu;
    seed.placed = 1;
    // Gone since its place: 100 mm less what is still to go, in steps of 8 nm, 125 per um.
    seed.reference_8nm = static_cast<std::uint32_t>((open_us - 100'000) * 125);
    return seed;
  }
  void plan(bool continuous = false, std::uint32_t now = kNow) {
    out = {};
    controller::Report report{out, health, now};
    controller::plan_pulses(planner, queue, continuous, present(), report);
  }
  void match(controller::CompareChannel channel, std::uint8_t word) {
    out = {};
    sillion_input in{};
    in.compare[channel] = word;
    controller::Report report{out, health, kNow};
    controller::take_matches(planner, queue, in, present(), report);
  }
  void shut() {
    out = {};
    controller::Report report{out, health, kNow};
    controller::shut_down(planner, queue, present(), report);
  }
  void add(std::int32_t open_us, std::uint32_t number = 0) {
    queue.push(opens_in(open_us, number));
  }
  /// The valve closed so many us ago.
  void closed_ago(std::int32_t ago_us) {
    planner.has_closed = true;
    planner.closed_ticks = controller::later(kNow, -ago_us);
  }
  std::int32_t opens_us() const { return controller::since_us(planner.opening.at_ticks, kNow); }
  std::int32_t closes_us() const { return controller::since_us(planner.closing.at_ticks, kNow); }
  /// The valve is open for a seed that closes in so many us.
  void open_for(const controller::Seed& last, std::uint32_t since) {
    planner.pulse = {true, since, since, true, last, {}};
  }
  const sillion_compare_request* request(std::uint8_t channel) const {
    for (std::uint32_t k = 0; k < out.compare_count; ++k)
      if (out.compares[k].channel == channel) return &out.compares[k];
    return nullptr;
  }
  bool cancels(std::uint8_t channel) const {
    const sillion_compare_request* found = request(channel);
    return found != nullptr && found->armed == 0;
  }
  bool arms(std::uint8_t channel, std::uint32_t at_ticks) const {
    const sillion_compare_request* found = request(channel);
    return found != nullptr && found->armed == 1 && found->at_ticks == at_ticks;
  }
  bool bridge(int state) const { return out.bridge_valid == 1 && out.bridge.state == state; }
};

}  // namespace test
