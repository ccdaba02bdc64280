#include "controller/pulse_planner.h"

#include "controller/ticks.h"

namespace controller {
namespace {

constexpr std::int32_t kStandsUs = 30;       // a compare this near is left alone
constexpr std::int32_t kMatchLostUs = 2000;  // two ticks without word of a match: it never came
constexpr std::int32_t kLatestUs = 5000;
constexpr std::int32_t kAloneUs = 1'000'000;  // no column rings that long
constexpr int kRestPasses = 3;  // 3 come within 1 % where a shift falls by a fifth of the rest
constexpr std::uint16_t kFullDuty = 32'768;

sillion_bridge_command driving(const Present& present) {
  return {SILLION_BRIDGE_DRIVE, kFullDuty, static_cast<std::uint32_t>(present.current_ma)};
}
constexpr sillion_bridge_command kClosing{SILLION_BRIDGE_FAST_DECAY, 0, 0};

void set_bridge(Report& report, const sillion_bridge_command& command) {
  report.out.bridge_valid = 1;
  report.out.bridge = command;
}

void request(Report& report, const sillion_compare_request& wanted) {
  sillion_output& out = report.out;
  // Two channels, each moved a few times in one call: only the last request per channel is sent.
  for (std::uint32_t i = 0; i < out.compare_count; ++i) {
    if (out.compares[i].channel == wanted.channel) {
      out.compares[i] = wanted;
      return;
    }
  }
  out.compares[out.compare_count++] = wanted;
}

void arm(ArmedCompare& compare, CompareChannel channel, std::uint32_t at_ticks,
         const sillion_bridge_command& then, Report& report) {
  if (compare.armed && compare.at_ticks == at_ticks) return;
  compare = {true, at_ticks};
  request(report, {at_ticks, channel, 1, 0, then});
}

void cancel(ArmedCompare& compare, CompareChannel channel, Report& report) {
  if (!compare.armed) return;
  compare.armed = false;
  request(report, {report.now_ticks, channel, 0, 0, kClosing});
}

/// True so near the match, or so shortly after it, that the hardware acts by what it has.
bool stands(const ArmedCompare& compare, std::uint32_t now_ticks) {
  if (!compare.armed) return false;
  const std::int32_t ahead_us = since_us(compare.at_ticks, now_ticks);
  return ahead_us <= kStandsUs && ahead_us >= -kMatchLostUs;
}

void opened(PulsePlanner& planner, SeedQueue& queue, std::uint32_t at_ticks) {
  planner.pulse = {true, at_ticks, at_ticks, true, queue.front(), planner.shift};
  ++planner.openings;
  queue.pop();
}

void closed(PulsePlanner& planner, std::uint32_t at_ticks, const Present& present) {
  planner.pulse.open = false;
  planner.has_closed = true;
  planner.closed_ticks = at_ticks;
  const std::int32_t on_us = since_us(at_ticks, planner.pulse.counted_ticks);
  const Shift& shift = planner.pulse.shift;
  planner.band_time_us += std::max<std::int32_t>(
      0, on_us - (present.law.lead_us + shift.lead_us) + (present.law.lag_us + shift.lag_us));
}

void open_now(PulsePlanner& planner, SeedQueue& queue, const Present& present, Report& report) {
  cancel(planner.opening, kOpenChannel, report);
  set_bridge(report, driving(present));
  opened(planner, queue, report.now_ticks);
}

void close_now(PulsePlanner& planner, const Present& present, Report& report) {
  cancel(planner.closing, kCloseChannel, report);
  set_bridge(report, kClosing);
  closed(planner, report.now_ticks, present);
}

/// The shift of a pulse whose opening would come `plain_open_us` after the closing without it. The
/// rest ends at the pulse's own opening, which the shift itself moves: each pass multiplies the
/// remaining error by the slope.
Shift rest_shift(const sillion_correction& rest, std::int32_t plain_open_us) {
  Shift shift;
  for (int pass = 0; pass < kRestPasses; ++pass)
    shift =
        shift_at(rest, std::clamp<std::int32_t>(plain_open_us - shift.lead_us, 0, 2 * kAloneUs));
  return shift;
}

/// The planned pulse, shifted by the time since the last closing; the planner keeps the shift.
Firing with_rest(PulsePlanner& planner, const Firing& plain, const Present& present,
                 std::uint32_t now_ticks) {
  const std::int32_t since_close_us = since_us(now_ticks, planner.closed_ticks);
  if (since_close_us < 0 || since_close_us > kAloneUs) planner.has_closed = false;
  planner.shift =
      planner.has_closed
          ? rest_shift(present.rest,
                       since_close_us + std::clamp<std::int32_t>(plain.open_in_us, 0, kAloneUs))
          : shift_at(present.rest, INT32_MAX);
  return {plain.open_in_us - planner.shift.lead_us, plain.close_in_us - planner.shift.lag_us};
}

/// Time until the running pulse has to end; next seeds join while the valve cannot close before.
std::int32_t pulse_end_us(PulsePlanner& planner, SeedQueue& queue, const Present& present,
                          Report& report) {
  Pulse& pulse = planner.pulse;
  const std::int32_t on_us = since_us(report.now_ticks, pulse.opened_ticks);
  // A negative time is a stream so long that the counter has passed half its range.
  const std::int32_t least_us =
      on_us < 0 ? 0 : std::max<std::int32_t>(0, present.law.shortest_on_us - on_us);
  std::int32_t end_us = least_us;
  if (pulse.has_last) {
    const Firing last = firing_of(pulse.last, present.law, present.odometer, present.motion);
    end_us = std::max(end_us, last.close_in_us - pulse.shift.lag_us);
  }
  while (!queue.empty()) {
    const Firing next = firing_of(queue.front(), present.law, present.odometer, present.motion);
    const std::int32_t apart_us = next.open_in_us - end_us;
    const std::int32_t lead_us = rest_shift(present.rest, apart_us).lead_us;
    if (apart_us - lead_us >= present.shortest_closed_us) break;
    pulse.last = queue.front();
    pulse.has_last = true;
    queue.pop();
    end_us = std::max(end_us, next.close_in_us - pulse.shift.lag_us);
    ++report.health.merged_seeds;
    report.event(SILLION_EVENT_MERGED, static_cast<std::int32_t>(pulse.last.number));
  }
  return end_us;
}

/// An opening whose instant is past: fire it now or give the seed up.
void fire_late(PulsePlanner& planner, SeedQueue& queue, std::int32_t late_us,
               const Present& present, Report& report) {
  ++report.health.late_compares;
  report.event(SILLION_EVENT_LATE_FIRING, static_cast<std::int32_t>(queue.front().number), late_us);
  if (late_us <= kLatestUs || planner.delay_negative) {
    open_now(planner, queue, present, report);
  } else {
    ++report.health.skipped_seeds;
    queue.pop();
  }
}

/// Makes one decision; false when there is nothing more to do until the next interrupt.
bool plan_one(PulsePlanner& planner, SeedQueue& queue, const Present& present, Report& report) {
  const std::uint32_t now = report.now_ticks;
  if (planner.pulse.open) {
    if (stands(planner.closing, now)) return false;
    const std::int32_t end_us = pulse_end_us(planner, queue, present, report);
    if (end_us <= 0) {
      close_now(planner, present, report);
      return true;
    }
    arm(planner.closing, kCloseChannel, later(now, end_us), kClosing, report);
    return false;
  }
  if (stands(planner.opening, now)) return false;
  if (queue.empty()) {
    cancel(planner.opening, kOpenChannel, report);
    cancel(planner.closing, kCloseChannel, report);
    return false;
  }
  const Firing plain = firing_of(queue.front(), present.law, present.odometer, present.motion);
  const Firing first = with_rest(planner, plain, present, now);
  if (first.open_in_us <= 0) {
    fire_late(planner, queue, -first.open_in_us, present, report);
    return true;
  }
  arm(planner.opening, kOpenChannel, later(now, first.open_in_us), driving(present), report);
  const std::int32_t end_us =
      std::max(first.close_in_us, first.open_in_us + present.law.shortest_on_us);
  arm(planner.closing, kCloseChannel, later(now, end_us), kClosing, report);
  return false;
}

void begin_stream(PulsePlanner& planner, const Present& present, Report& report) {
  cancel(planner.opening, kOpenChannel, report);
  cancel(planner.closing, kCloseChannel, report);
  if (!planner.pulse.open) {
    planner.pulse = {true, report.now_ticks, report.now_ticks, false, {}, {}};
    ++planner.openings;
  }
  set_bridge(report, driving(present));
  planner.streaming = true;
}

/// Seeds that the stream has served leave the queue; the last of them ends the pulse when it stops.
void serve_by_stream(PulsePlanner& planner, SeedQueue& queue, const Present& present) {
  while (!queue.empty()) {
    const Firing first = firing_of(queue.front(), present.law, present.odometer, present.motion);
    if (first.open_in_us > 0) break;
    planner.pulse.last = queue.front();
    planner.pulse.has_last = true;
    queue.pop();
  }
  if (!planner.lost_ahead) return;
  const Firing lost = firing_of(planner.lost, present.law, present.odometer, present.motion);
  if (lost.close_in_us <= 0) planner.lost_ahead = false;
}

}  // namespace

void take_matches(PulsePlanner& planner, SeedQueue& queue, const sillion_input& in,
                  const Present& present, Report& report) {
  // A match before its instant is no match.
  const auto believed = [&](const ArmedCompare& compare, std::uint8_t word) {
    const bool early = since_us(report.now_ticks, compare.at_ticks) < 0;
    return compare.armed &&
           (word == SILLION_COMPARE_PAST || (word == SILLION_COMPARE_MATCHED && !early));
  };
  const std::uint8_t opening = in.compare[kOpenChannel];
  if (believed(planner.opening, opening)) {
    planner.opening.armed = false;
    // An opening that came back as past was not fired: planning finds the seed late and decides.
    if (opening == SILLION_COMPARE_MATCHED && !planner.pulse.open && !queue.empty()) {
      opened(planner, queue, planner.opening.at_ticks);
    }
  }
  const std::uint8_t closing = in.compare[kCloseChannel];
  if (believed(planner.closing, closing)) {
    planner.closing.armed = false;
    if (planner.pulse.open && !planner.streaming) {
      if (closing == SILLION_COMPARE_MATCHED) {
        closed(planner, planner.closing.at_ticks, present);
      } else {
        close_now(planner, present, report);
      }
    }
  }
}

void stream_for_lost_seed(PulsePlanner& planner, const Seed& lost) {
  planner.lost = lost;
  planner.lost_ahead = true;
}

void plan_pulses(PulsePlanner& planner, SeedQueue& queue, bool continuous, const Present& present,
                 Report& report) {
  const std::int32_t speed = row_speed_umps(present.motion, report.now_ticks);
  const bool negative = steady_delay_us(present.law, speed) < 0;
  if (negative && !planner.delay_negative) report.event(SILLION_EVENT_NEGATIVE_DELAY);
  planner.delay_negative = negative;

  if ((continuous || planner.lost_ahead) && !planner.streaming)
    begin_stream(planner, present, report);
  if (planner.streaming) {
    serve_by_stream(planner, queue, present);
    if (continuous || planner.lost_ahead || !queue.has_room()) return;
    planner.streaming = false;
  }
  // Each decision takes a seed off the queue, closes, or ends the loop; the bound is for bad input.
  for (std::size_t step = 0; step < 2 * SeedQueue::kCapacity + 4; ++step) {
    if (!plan_one(planner, queue, present, report)) return;
  }
}

void place_seeds(PulsePlanner& planner, SeedQueue& queue, const Present& present) {
  for (std::size_t i = 0; i < queue.size(); ++i) {
    place_seed(queue.at(i), present.law, present.odometer, present.motion);
  }
  if (planner.pulse.has_last) {
    place_seed(planner.pulse.last, present.law, present.odometer, present.motion);
  }
  if (planner.lost_ahead) {
    place_seed(planner.lost, present.law, present.odometer, present.motion);
  }
}

void count_stream_time(PulsePlanner& planner, Report& report) {
  if (!planner.streaming) return;
  ++report.health.continuous_ms;
  planner.band_time_us +=
      std::max<std::int32_t>(0, since_us(report.now_ticks, planner.pulse.counted_ticks));
  planner.pulse.counted_ticks = report.now_ticks;
}

void shut_down(PulsePlanner& planner, SeedQueue& queue, const Present& present, Report& report) {
  // Cancels both whatever is believed to be armed: after a reset or a false report of a match this
  // belief is worth nothing.
  planner.opening.armed = true;
  planner.closing.armed = true;
  cancel(planner.opening, kOpenChannel, report);
  cancel(planner.closing, kCloseChannel, report);
  set_bridge(report, kClosing);
  if (planner.pulse.open) closed(planner, report.now_ticks, present);
  report.health.skipped_seeds += static_cast<std::uint32_t>(queue.size());
  queue.clear();
  planner.streaming = false;
  planner.lost_ahead = false;
  planner.pulse.has_last = false;
  planner.has_closed = false;
}

}  // namespace controller
