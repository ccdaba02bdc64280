#include "controller/pressure_watch.h"

#include "controller/ticks.h"

namespace controller {
namespace {

constexpr std::int32_t kMostCounts = (1 << kAnalogBits) - 1;
constexpr std::int32_t kSlow = 100;  // samples of 10 ms: 1 s
constexpr std::int32_t kShare = 12;
constexpr std::int32_t kLeastPa = 5'000;
constexpr std::int16_t kAddMs = 10;
constexpr std::int16_t kTakeMs = 5;
constexpr std::int16_t kSureMs = 500;
constexpr std::int16_t kMostMs = 1'000;
constexpr std::int32_t kMachine = 255;  // the b of an alarm's event that is no row's

void widen(PressureRange& range, std::int32_t value_pa) {
  range.low_pa = std::min(range.low_pa, value_pa);
  range.high_pa = std::max(range.high_pa, value_pa);
}

std::int32_t width_pa(const PressureRange& range) { return range.high_pa - range.low_pa; }

void follows_again(PressureWatch& watch, Report& report) {
  if (watch.second)
    report.event(SILLION_EVENT_ALARM_OVER, SILLION_ALARM_SECOND_REGULATOR, kMachine);
  watch.second = watch.astray = watch.above = false;
}

void judge(PressureWatch& watch, std::int32_t set_pa, Report& report) {
  if (watch.count_ms < kSureMs || watch.second) return;
  const bool by_itself = width_pa(watch.measured) > std::int64_t{2} * width_pa(watch.set) +
                                                        std::max(set_pa / 64, kLeastPa / 2);
  if (watch.above && by_itself) {
    watch.second = true;
    report.event(SILLION_EVENT_ALARM, SILLION_ALARM_SECOND_REGULATOR, kMachine);
  } else if (!watch.astray) {
    watch.astray = true;
    report.event(SILLION_EVENT_PRESSURE_ASTRAY, watch.measured_pa, set_pa);
  }
}

}  // namespace

void watch_pressure(PressureWatch& watch, std::int32_t set_pa, std::uint16_t counts,
                    std::int32_t full_scale_pa, Report& report) {
  if (full_scale_pa <= 0) return;
  const std::int32_t sample_pa =
      saturated(divide_rounded(std::int64_t{counts} * full_scale_pa, kMostCounts));
  const bool first = watch.measured_pa < 0;
  const std::int64_t both_pa = std::int64_t{watch.measured_pa} + sample_pa;  // beyond 32 bits
  watch.measured_pa = first ? sample_pa : static_cast<std::int32_t>(both_pa / 2);
  watch.slow_pa += first ? sample_pa - watch.slow_pa : (set_pa - watch.slow_pa) / kSlow;
  const std::int32_t high_pa = std::max(set_pa, watch.slow_pa);
  const std::int32_t low_pa = std::min(set_pa, watch.slow_pa);
  const std::int32_t above_pa = watch.measured_pa - high_pa;
  const std::int32_t below_pa = low_pa - watch.measured_pa;
  const std::int32_t most_pa = high_pa / kShare + kLeastPa;
  const std::int32_t off_pa = std::max(above_pa, below_pa);
  if (watch.count_ms == 0 && off_pa <= most_pa / 2) {
    watch.measured = {watch.measured_pa, watch.measured_pa};
    watch.set = {set_pa, set_pa};
  }
  widen(watch.measured, watch.measured_pa);
  widen(watch.set, set_pa);
  const bool counted = watch.count_ms > 0;
  if (off_pa > most_pa) {
    watch.count_ms =
        std::min<std::int16_t>(kMostMs, static_cast<std::int16_t>(watch.count_ms + kAddMs));
    watch.above = watch.above || above_pa > most_pa;
    judge(watch, set_pa, report);
  } else {
    watch.count_ms = std::max<std::int16_t>(0, static_cast<std::int16_t>(watch.count_ms - kTakeMs));
  }
  if (counted && watch.count_ms == 0) follows_again(watch, report);
}

}  // namespace controller
