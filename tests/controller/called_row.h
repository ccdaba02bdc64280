// A row controller that a test calls by itself, call by call, without hardware around it.
#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

#include "controller/row_controller.h"
#include "tests/controller/fake_hardware.h"

namespace test {

/// Called with the speeds, set points and edges that were given; the next call has none of them.
struct CalledRow {
  static constexpr std::uint32_t kAtWork =
      SILLION_INPUT_LOWERED | SILLION_INPUT_ROW_ENABLED | SILLION_INPUT_RUN;
  static constexpr std::uint32_t kHold = SILLION_INPUT_LOWERED | SILLION_INPUT_ROW_ENABLED;
  static constexpr std::uint32_t kLifted = SILLION_INPUT_ROW_ENABLED | SILLION_INPUT_RUN;
  static constexpr std::int32_t k16kmph_umps = 4'444'444;

  explicit CalledRow(const sillion_config& config, const std::vector<std::uint8_t>& storage = {})
      : row(controller::row_controller_for(config, storage.empty() ? nullptr : storage.data(),
                                           storage.size())) {}
  /// The instant of the next call, us since the start.
  void at(std::uint32_t us) { in.now_ticks = test::kStartTicks + us; }
  void give(sillion_frame frame, bool counted = true) {
    frame.received_ticks = in.now_ticks;
    in.frames[in.frame_count] = frame;
    if (counted) ++in.frame_count;
  }
  void give_speed(std::int32_t speed_umps = k16kmph_umps, bool counted = true) {
    controller::MotionFrame motion;
    motion.sequence = ++sequence;
    motion.valid_ms = 500;
    motion.speed_umps = speed_umps;
    give(encode(motion), counted);
  }
  void give_set_point(std::int32_t valid_ms, std::int32_t pressure_pa = 400'000) {
    controller::SetPointFrame sent;
    sent.sequence = ++sequence;
    sent.valid_ms = valid_ms;
    sent.rate_nm = 4677;
    sent.pressure_pa = pressure_pa;
    give(encode(sent));
  }
  void edge(std::uint32_t ago_us, bool counted = true) {
    in.edges[in.edge_count] = {in.now_ticks - ago_us, 1, {}};
    if (counted) ++in.edge_count;
  }
  const sillion_output& call(std::uint32_t why) {
    in.why = why;
    in.digital = digital;
    in.meter_pulses = meter_pulses;
    in.analog_counts[0] = pressure_counts;
    out = {};
    controller::Report report{out, health, in.now_ticks};
    step(row, in, report);
    events.insert(events.end(), out.events, out.events + out.event_count);
    const std::uint32_t now = in.now_ticks;
    in = {};
    in.now_ticks = now;
    return out;
  }
  const sillion_output& tick(std::uint32_t us) {
    at(us);
    return call(SILLION_WHY_TICK);
  }
  /// Ticks of 1 ms from `from_ms` to `until_ms`, with a speed every 100 ms from the first on.
  void run(std::uint32_t from_ms, std::uint32_t until_ms, std::int32_t speed_umps = k16kmph_umps) {
    for (std::uint32_t ms = from_ms; ms <= until_ms; ++ms) {
      at(ms * 1000);
      if ((ms - from_ms) % 100 == 0) give_speed(speed_umps);
      meter_pulses = static_cast<std::uint32_t>((ms - from_ms) * pulses_per_s / 1000);
      call(SILLION_WHY_TICK);
      if (out.frame_count > 0) reports_ms.push_back(ms);
    }
  }
  int count(std::uint32_t code) const {
    return static_cast<int>(std::count_if(events.begin(), events.end(),
                                          [&](const auto& event) { return event.code == code; }));
  }
  controller::RowReportFrame report() const {
    controller::RowReportFrame said;
    EXPECT_EQ(out.frame_count, 1u);
    EXPECT_TRUE(decode(out.frames[0], said));
    return said;
  }

  controller::RowController row;
  sillion_input in{};
  sillion_output out{};
  sillion_health health{};
  std::vector<sillion_event_record> events;
  std::vector<std::uint32_t> reports_ms;
  std::uint32_t digital = kAtWork;
  std::uint32_t meter_pulses = 0;
  std::uint32_t pulses_per_s = 0;
  std::uint16_t pressure_counts = 0;
  std::uint16_t sequence = 0;
};

}  // namespace test
