// A small stand-in for the hardware around one controller: counter, capture, compares, frames,
// bridge.
//
//   The world's time is in us since the start (64 bits); the controller sees a 32-bit counter that
//   begins two seconds before its wrap. Order at one instant: compare matches, edges, frames, tick.
//   The bridge's changes are kept with their instants; the tests judge by nothing else.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <functional>
#include <utility>
#include <vector>

#include "controller/frames.h"
#include "shared/controller_abi.h"

namespace test {

inline constexpr std::uint32_t kStartTicks = 0xffffffffu - 2'000'000u + 1u;

/// A row with a plain table: D = 20 ms + 0.2 m/v, lead 4 ms, lag 3 ms at every flow.
inline sillion_config row_config() {
  sillion_config config{};
  config.role = SILLION_ROLE_ROW;
  config.rows = 8;
  config.reset_cause = SILLION_RESET_POWER;
  config.start_ticks = kStartTicks;
  config.row_width_um = 762'000;
  config.theoretical_spacing_um = 150'000;
  config.band_length_um = 75'000;
  config.in_band_rate_nm = 4677;  // 5 gal/ac
  config.seed_dwell_us = 3300;
  config.speed_timeout_ms = 300;
  config.speed_lag_ms = 300;
  config.pressure_max_pa = 600'000;
  sillion_attachment_table& table = config.attachment;
  table.delay_time_us = 20'000;
  table.delay_distance_um = 200'000;
  table.reference_band_um = 75'000;
  table.reference_lead_us = 4000;
  table.points = 2;
  table.flow_mm3ps[0] = 4000;
  table.flow_mm3ps[1] = 20'000;
  table.pressure_pa[0] = 20'000;
  table.pressure_pa[1] = 500'000;
  for (int i = 0; i < 2; ++i) {
    table.current_ma[i] = 2000;
    table.lead_us[i] = 4000;
    table.lag_us[i] = 3000;
  }
  table.shortest_on_us = 4000;
  table.shortest_closed_us = 5000;
  table.evidence_grade = 1;
  return config;
}

inline sillion_config machine_config() {
  sillion_config config = row_config();
  config.role = SILLION_ROLE_MACHINE;
  return config;
}

struct BridgeChange {
  std::int64_t at_us = 0;
  bool open = false;
};

struct ValvePulse {
  std::int64_t open_us = 0;
  std::int64_t close_us = 0;
};

class FakeHardware {
 public:
  explicit FakeHardware(const sillion_config& config,
                        const std::vector<std::uint64_t>* kept = nullptr,
                        const std::vector<std::uint8_t>* storage = nullptr)
      : start_ticks_(config.start_ticks) {
    memory_.resize(sillion_describe(config.role)->memory_bytes / 8 + 1);
    const std::size_t kept_bytes = kept != nullptr ? kept->size() * 8 : 0;
    controller_ = sillion_init(memory_.data(), memory_.size() * 8, &config,
                               kept != nullptr ? kept->data() : nullptr, kept_bytes,
                               storage != nullptr ? storage->data() : nullptr,
                               storage != nullptr ? storage->size() : 0);
    EXPECT_NE(controller_, nullptr);
  }

  std::uint32_t ticks(std::int64_t at_us) const {
    return start_ticks_ + static_cast<std::uint32_t>(at_us);
  }
  std::int64_t now_us() const { return now_us_; }

  void drop_seed(std::int64_t at_us) { seeds_us_.push_back(at_us); }
  void receive(std::int64_t at_us, const sillion_frame& frame) {
    frames_.push_back({at_us, frame});
  }
  /// Frames of the machine's speed every 100 ms from `from_us` on, until `until_us`.
  void report_speed(const std::function<double(double)>& speed_mps, double accel_mps2,
                    std::int64_t from_us, std::int64_t until_us) {
    for (std::int64_t at = from_us; at <= until_us; at += 100'000) {
      controller::MotionFrame motion;
      motion.sequence = ++motion_sequence_;
      motion.valid_ms = 500;
      motion.speed_umps =
          static_cast<std::int32_t>(speed_mps(static_cast<double>(at) * 1e-6) * 1e6);
      motion.accel_umps2 = static_cast<std::int32_t>(accel_mps2 * 1e6);
      receive(at, controller::encode(motion));
    }
  }
  void set_digital(std::uint32_t digital) { digital_ = digital; }
  void set_meter(std::uint32_t pulses) { meter_pulses_ = pulses; }
  void set_supply(std::uint16_t counts) { supply_counts_ = counts; }
  /// Counts of the pressure's converter at an instant in us.
  void set_pressure(std::function<std::uint16_t(std::int64_t)> counts) {
    pressure_counts_ = std::move(counts);
  }

  void run_until(std::int64_t until_us) {
    std::sort(seeds_us_.begin(), seeds_us_.end());
    std::stable_sort(frames_.begin(), frames_.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    while (true) {
      std::int64_t next = next_tick_us_;
      for (const Compare& compare : compares_) {
        if (compare.armed) next = std::min(next, compare.at_us);
      }
      if (!seeds_us_.empty()) next = std::min(next, seeds_us_.front());
      if (!frames_.empty()) next = std::min(next, frames_.front().first);
      if (next > until_us) break;
      now_us_ = std::max(now_us_, next);
      interrupt();
    }
    now_us_ = until_us;
  }

  /// One raw call, for garbage: the input is passed on unchanged.
  const sillion_output& call(const sillion_input& in) {
    std::memset(&out_, 0, sizeof out_);
    sillion_step(controller_, &in, &out_);
    act();
    return out_;
  }

  bool valve_open() const { return !changes.empty() && changes.back().open; }
  std::vector<ValvePulse> pulses() const {
    std::vector<ValvePulse> found;
    bool open = false;
    for (const BridgeChange& change : changes) {
      if (change.open && !open) found.push_back({change.at_us, -1});
      if (!change.open && open) found.back().close_us = change.at_us;
      open = change.open;
    }
    return found;
  }
  int count(std::uint32_t code) const {
    return static_cast<int>(std::count_if(events.begin(), events.end(),
                                          [&](const auto& event) { return event.code == code; }));
  }
  const std::vector<std::uint64_t>& memory() const { return memory_; }

  std::vector<BridgeChange> changes;
  std::vector<sillion_event_record> events;
  std::vector<std::pair<std::int64_t, sillion_frame>> sent;
  std::vector<std::pair<std::int64_t, std::uint32_t>> pressures_pa;
  sillion_health health{};
  std::int64_t calls = 0;
  std::vector<std::uint16_t> burst;  // of every opening; comes with the first call 5 ms after it
  bool lose_matches = false;         // the report of a match is lost, while the pin acts

 private:
  struct Compare {
    bool armed = false;
    std::int64_t at_us = 0;
    bool open = false;
  };

  void interrupt() {
    sillion_input in{};
    in.now_ticks = ticks(now_us_);
    in.digital = digital_;
    in.meter_pulses = meter_pulses_;
    if (pressure_counts_) in.analog_counts[0] = pressure_counts_(now_us_);
    in.analog_counts[1] = supply_counts_;
    for (std::size_t channel = 0; channel < 2; ++channel) {
      Compare& compare = compares_[channel];
      if (!compare.armed || compare.at_us > now_us_) continue;
      compare.armed = false;
      changes.push_back({compare.at_us, compare.open});
      if (lose_matches) continue;
      in.compare[channel] = SILLION_COMPARE_MATCHED;
      in.why |= SILLION_WHY_COMPARE;
    }
    give_burst(in);
    while (!seeds_us_.empty() && seeds_us_.front() <= now_us_ &&
           in.edge_count < SILLION_EDGES_MAX) {
      in.edges[in.edge_count++] = {ticks(seeds_us_.front()), 1, {}};
      in.why |= SILLION_WHY_EDGE;
      seeds_us_.erase(seeds_us_.begin());
    }
    while (!frames_.empty() && frames_.front().first <= now_us_ &&
           in.frame_count < SILLION_FRAMES_MAX) {
      in.frames[in.frame_count] = frames_.front().second;
      in.frames[in.frame_count++].received_ticks = ticks(frames_.front().first);
      in.why |= SILLION_WHY_FRAME;
      frames_.erase(frames_.begin());
    }
    if (next_tick_us_ <= now_us_) {
      in.why |= SILLION_WHY_TICK;
      next_tick_us_ += 1000;
    }
    call(in);
    if (out_.sleep_ticks != 0 || asleep_) {
      const std::int64_t wake_us = now_us_ + std::int64_t{out_.sleep_ticks};
      next_tick_us_ = std::max((wake_us + 999) / 1000, now_us_ / 1000 + 1) * 1000;
      asleep_ = out_.sleep_ticks != 0;
    }
    ++calls;
    // Compare requests that were already past come back at once.
    for (int again = 0; again < 8 && (past_[0] || past_[1]); ++again) {
      sillion_input back{};
      back.now_ticks = ticks(now_us_);
      back.digital = digital_;
      back.meter_pulses = meter_pulses_;
      back.why = SILLION_WHY_COMPARE;
      for (std::size_t channel = 0; channel < 2; ++channel) {
        if (past_[channel]) back.compare[channel] = SILLION_COMPARE_PAST;
        past_[channel] = false;
      }
      call(back);
    }
    EXPECT_FALSE(past_[0] || past_[1]) << "the controller asks for past compares without end";
  }

  void give_burst(sillion_input& in) {
    const auto opened = [](const BridgeChange& change) { return change.open; };
    const auto last = std::find_if(changes.rbegin(), changes.rend(), opened);
    if (burst.empty() || last == changes.rend() || last->at_us <= burst_given_us_ ||
        last->at_us + 5000 > now_us_)
      return;
    burst_given_us_ = last->at_us;
    in.burst_count = static_cast<std::uint32_t>(burst.size());
    in.burst_start_ticks = ticks(last->at_us);
    std::copy(burst.begin(), burst.end(), in.burst_counts);
  }

  void act() {
    if (out_.bridge_valid != 0) {
      changes.push_back({now_us_, out_.bridge.state == SILLION_BRIDGE_DRIVE});
    }
    ASSERT_LE(out_.compare_count, static_cast<std::uint32_t>(SILLION_COMPARE_MAX * 2));
    for (std::uint32_t i = 0; i < out_.compare_count; ++i) {
      const sillion_compare_request& request = out_.compares[i];
      ASSERT_LT(request.channel, 2);
      Compare& compare = compares_[request.channel];
      compare.armed = false;
      if (request.armed == 0) continue;
      const auto ahead = static_cast<std::int32_t>(request.at_ticks - ticks(now_us_));
      if (ahead <= 0) {
        past_[request.channel] = true;
        continue;
      }
      compare = {true, now_us_ + ahead, request.then.state == SILLION_BRIDGE_DRIVE};
    }
    for (std::uint32_t i = 0; i < out_.frame_count; ++i) sent.push_back({now_us_, out_.frames[i]});
    for (std::uint32_t i = 0; i < out_.event_count; ++i) events.push_back(out_.events[i]);
    if (out_.pressure_setpoint_valid != 0) {
      pressures_pa.push_back({now_us_, out_.pressure_setpoint_pa});
    }
    health = out_.health;
  }

  std::uint32_t start_ticks_;
  std::vector<std::uint64_t> memory_;
  sillion_controller* controller_ = nullptr;
  sillion_output out_{};
  std::int64_t now_us_ = 0;
  std::int64_t next_tick_us_ = 1000;
  bool asleep_ = false;
  std::int64_t burst_given_us_ = -1;
  std::uint32_t digital_ = SILLION_INPUT_LOWERED | SILLION_INPUT_ROW_ENABLED | SILLION_INPUT_RUN;
  std::uint32_t meter_pulses_ = 0;
  std::uint16_t supply_counts_ = 0;
  std::function<std::uint16_t(std::int64_t)> pressure_counts_;
  std::uint16_t motion_sequence_ = 0;
  Compare compares_[2];
  bool past_[2] = {false, false};
  std::vector<std::int64_t> seeds_us_;
  std::vector<std::pair<std::int64_t, sillion_frame>> frames_;
};

}  // namespace test
