#include "controller/safe_state.h"

#include "controller/delay_law.h"

namespace controller {
namespace {

std::uint32_t causes_now(const SafeState& safe, const RowMotion& motion, std::uint32_t digital,
                         std::uint32_t now_ticks) {
  std::uint32_t causes = safe.config_lost ? SILLION_SAFE_CONFIG : 0;
  if (safe.no_rate) causes |= SILLION_SAFE_NO_RATE;
  if (!motion.known) {
    causes |= SILLION_SAFE_NO_SPEED;
  } else if (row_speed_umps(motion, now_ticks) <= kSlowestUmps) {
    causes |= SILLION_SAFE_NOT_FORWARD;
  }
  if ((digital & SILLION_INPUT_LOWERED) == 0) causes |= SILLION_SAFE_LIFTED;
  if ((digital & SILLION_INPUT_ROW_ENABLED) == 0) causes |= SILLION_SAFE_ROW_DISABLED;
  if ((digital & SILLION_INPUT_RUN) == 0) causes |= SILLION_SAFE_HOLD;
  return causes;
}

}  // namespace

bool must_close(SafeState& safe, const RowMotion& motion, std::uint32_t digital, Report& report) {
  const std::uint32_t causes = causes_now(safe, motion, digital, report.now_ticks);
  const std::uint32_t before = safe.causes;
  safe.causes = causes;
  const bool stale = (causes & SILLION_SAFE_NO_SPEED) != 0;
  const bool was_stale = (before & SILLION_SAFE_NO_SPEED) != 0;
  if (stale && !was_stale) report.event(SILLION_EVENT_SPEED_STALE);
  if (!stale && was_stale && safe.had_speed) report.event(SILLION_EVENT_SPEED_BACK);
  safe.had_speed = safe.had_speed || !stale;
  if (causes != 0 && before == 0) {
    report.event(SILLION_EVENT_SAFE_CLOSED, static_cast<std::int32_t>(causes));
  }
  if (causes == 0 && before != 0) {
    report.event(SILLION_EVENT_SAFE_OVER, static_cast<std::int32_t>(before));
  }
  return causes != 0;
}

void count_safe_time(const SafeState& safe, std::int32_t gone_ms, Report& report) {
  if (safe.causes == 0) return;
  const auto ms = static_cast<std::uint32_t>(gone_ms);
  report.health.safe_closed_ms += ms;
  if ((safe.causes & SILLION_SAFE_NO_SPEED) != 0) report.health.stale_speed_ms += ms;
}

}  // namespace controller
