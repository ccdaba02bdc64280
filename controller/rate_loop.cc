#include "controller/rate_loop.h"

#include "controller/ticks.h"

namespace controller {
namespace {

constexpr std::int64_t kWindowUs = 1'000'000;
constexpr std::int64_t kDeadMeterUs = 10'000'000;  // of band time without a pulse
constexpr std::uint32_t kLeap = 10'000;            // pulses per tick: no meter turns that fast
constexpr std::int32_t kGain = 4;  // a window moves the trim by a quarter of the rest
constexpr std::int64_t kOneQ16 = 65'536;

void start_window(RateLoop& loop) {
  loop.window_pulses = 0;
  loop.window_band_us = 0;
  loop.window_expected = 0;
}

void end_window(RateLoop& loop, bool may_rise, bool may_fall) {
  const std::int64_t volume_mm3 = loop.window_pulses * loop.mm3_per_pulse;
  loop.flow_mm3ps = saturated(divide_rounded(volume_mm3 * kMicro, loop.window_band_us));
  loop.expected_mm3ps = saturated(divide_rounded(loop.window_expected, loop.window_band_us));
  loop.flow_valid = true;
  start_window(loop);
  if (loop.expected_mm3ps <= 0) return;
  const std::int64_t short_by = std::int64_t{loop.expected_mm3ps} - loop.flow_mm3ps;
  const std::int64_t size = short_by < 0 ? -short_by : short_by;
  if (2 * size > loop.expected_mm3ps) return;
  const std::int64_t table = std::int64_t{loop.expected_mm3ps} * (kOneQ16 + loop.trim_q16);
  const std::int64_t rise = divide_rounded((loop.flow_mm3ps * kOneQ16 - table) * kOneQ16, table);
  loop.rise_q16 += static_cast<std::int32_t>((rise - loop.rise_q16) / kGain);
  if (!loop.trims) return;
  if ((short_by > 0 && !may_rise) || (short_by < 0 && !may_fall)) return;
  const std::int64_t step =
      divide_rounded(short_by * 65'536, std::int64_t{loop.expected_mm3ps} * kGain);
  loop.trim_q16 = std::clamp(saturated(loop.trim_q16 + step), -kMostTrimQ16, kMostTrimQ16);
}

}  // namespace

RateLoop rate_loop_for(const sillion_config& config) {
  RateLoop loop;
  loop.mm3_per_pulse = config.meter_mm3_per_pulse;
  loop.trims = config.attachment.lift_settable != 0;
  return loop;
}

void follow_meter(RateLoop& loop, std::uint32_t meter_pulses, std::int64_t band_us,
                  std::int32_t should_be_mm3ps, bool may_rise, bool may_fall) {
  if (loop.mm3_per_pulse == 0) return;
  const std::uint32_t pulses = meter_pulses - loop.last_count;
  loop.last_count = meter_pulses;
  loop.window_band_us += band_us;
  loop.window_expected += band_us * should_be_mm3ps;
  if (pulses > kLeap) {
    loop.started = false;
    start_window(loop);
    return;
  }
  if (pulses > 0 && !loop.started) {
    loop.started = true;
    start_window(loop);
    return;
  }
  loop.window_pulses += pulses;
  const bool whole = pulses > 0 && loop.window_band_us >= kWindowUs;
  if (whole || loop.window_band_us >= kDeadMeterUs) end_window(loop, may_rise, may_fall);
}

}  // namespace controller
