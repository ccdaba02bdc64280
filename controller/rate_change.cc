#include "controller/rate_change.h"

#include "controller/corrections.h"
#include "controller/frames.h"
#include "controller/set_point_table.h"
#include "controller/ticks.h"

namespace controller {
namespace {

constexpr std::int32_t kWaitUs = 1'500'000;
constexpr std::int32_t kCome = 32;             // share of the set point
constexpr std::int32_t kMostRateNm = 100'000;  // 1000 l/ha
constexpr std::int32_t kFieldPerNm = 100;      // of the bus's unit

std::int32_t in_band_nm(std::int32_t field_e11, const sillion_config& config) {
  const bool touch =
      config.continuous != 0 || config.band_length_um >= config.theoretical_spacing_um;
  const std::int64_t spacing_um = touch ? 1 : config.theoretical_spacing_um;
  const std::int64_t band_um = touch ? 1 : config.band_length_um;
  return saturated(divide_rounded(field_e11 * spacing_um, band_um * kFieldPerNm));
}

std::int32_t between(std::int32_t value, std::int32_t a, std::int32_t b) {
  return std::clamp(value, std::min(a, b), std::max(a, b));
}

std::int32_t flow_at_mm3ps(const sillion_config& config, std::int32_t pressure_pa) {
  return flow_at_pressure_mm3ps(config.attachment, pressure_in_table_pa(config, pressure_pa));
}

void come(RateChange& change, Report& report) {
  change.moving = false;
  report.event(SILLION_EVENT_NEW_RATE, change.rate_nm,
               since_us(report.now_ticks, change.came_ticks) / 1000);
}

}  // namespace

bool take_rate(RateChange& change, const sillion_frame& frame, const sillion_config& config,
               std::int32_t pressure_pa, Report& report) {
  RateFrame said;
  const bool good = decode(frame, said);
  if (good && !said.sets_rate) return false;
  const std::int32_t rate_nm = good ? in_band_nm(said.field_e11, config) : 0;
  if (!good || rate_nm > kMostRateNm) {
    ++report.health.bad_frames;
    report.event(SILLION_EVENT_BAD_FRAME, saturated(frame.id));
    return false;
  }
  if (rate_nm == change.rate_nm) return false;
  if (change.rate_nm > 0) change.old_nm = change.rate_nm;
  change.rate_nm = rate_nm;
  change.old_pa = pressure_pa;
  change.came_ticks = report.now_ticks;
  if (rate_nm == 0) {
    come(change, report);
  } else {
    change.moving = true;
  }
  return true;
}

Told told_now(RateChange& change, const sillion_config& config, std::int32_t set_pa,
              std::int32_t measured_pa, Report& report) {
  if (!change.moving) return {change.rate_nm, set_pa};
  const std::int32_t off_pa = std::max(measured_pa - set_pa, set_pa - measured_pa);
  const bool late = since_us(report.now_ticks, change.came_ticks) >= kWaitUs;
  if (measured_pa < 0 || late || off_pa <= set_pa / kCome) {
    come(change, report);
    return {change.rate_nm, set_pa};
  }
  const std::int32_t has_pa = between(measured_pa, change.old_pa, set_pa);
  const std::int64_t flow = flow_at_mm3ps(config, has_pa);
  const std::int32_t rate_nm =
      saturated(divide_rounded(change.rate_nm * flow, flow_at_mm3ps(config, set_pa)));
  return {between(rate_nm, change.old_nm, change.rate_nm), has_pa};
}

}  // namespace controller
