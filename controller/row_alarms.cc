#include "controller/row_alarms.h"

#include "controller/lowest_rate.h"
#include "controller/ticks.h"

namespace controller {
namespace {

constexpr std::int64_t kWaySpacings = 20;
constexpr std::int64_t kFirstWaySpacings = 60;
constexpr std::int64_t kWindowBands = 10;
constexpr std::int64_t kDeadPulses = 4;
constexpr std::int64_t kWindowPulses = 10;
constexpr std::int32_t kSettlesUs = 1'000'000;
constexpr std::uint16_t kEmptyMs = 300;

void raise(RowAlarms& alarms, const sillion_config& config, std::uint32_t alarm, bool on,
           Report& report) {
  if (((alarms.raised & alarm) != 0) == on) return;
  alarms.raised = on ? alarms.raised | alarm : alarms.raised & ~alarm;
  report.event(on ? SILLION_EVENT_ALARM : SILLION_EVENT_ALARM_OVER,
               static_cast<std::int32_t>(alarm), static_cast<std::int32_t>(config.row));
}

void start_windows(RowAlarms& alarms) {
  alarms.since_pulse_nmm3 = 0;
  alarms.window_nmm3 = 0;
  alarms.window_pulses = 0;
}

/// Volume of one band at the rate of the configuration, 1e-6 mm3: nm um um are 1e-21 m3.
std::int64_t band_nmm3(const sillion_config& config) {
  return std::int64_t{config.in_band_rate_nm} * config.row_width_um / 1'000 *
         config.band_length_um / 1'000;
}

void judge_flow(RowAlarms& alarms, const sillion_config& config, std::uint32_t pulses,
                std::int64_t expected_nmm3, Report& report) {
  const std::int64_t pulse_nmm3 = std::int64_t{config.meter_mm3_per_pulse} * kMicro;
  const std::int64_t bands_nmm3 = kWindowBands * band_nmm3(config);
  alarms.since_pulse_nmm3 = pulses > 0 ? 0 : alarms.since_pulse_nmm3 + expected_nmm3;
  alarms.window_nmm3 += expected_nmm3;
  alarms.window_pulses += pulses;
  const bool dead = alarms.since_pulse_nmm3 >= std::max(bands_nmm3, kDeadPulses * pulse_nmm3);
  if (dead || pulses > 0) raise(alarms, config, SILLION_ALARM_NO_FLOW, dead, report);
  if (alarms.window_nmm3 < std::max(bands_nmm3, kWindowPulses * pulse_nmm3)) return;
  const std::int64_t measured_nmm3 = alarms.window_pulses * pulse_nmm3;
  const bool low = 10 * measured_nmm3 < 7 * alarms.window_nmm3;
  const bool high = 10 * measured_nmm3 > 13 * alarms.window_nmm3;
  raise(alarms, config, SILLION_ALARM_LOW_FLOW, low && (alarms.raised & SILLION_ALARM_NO_FLOW) == 0,
        report);
  raise(alarms, config, SILLION_ALARM_HIGH_FLOW, high, report);
  alarms.window_nmm3 = 0;
  alarms.window_pulses = 0;
}

/// True while there is no pressure at the hose.
bool judge_line(RowAlarms& alarms, const sillion_config& config, const AlarmInputs& now,
                Report& report) {
  const bool low = now.set_pa > 0 && 4 * std::int64_t{now.pressure_pa} < now.set_pa;
  if (!low)
    alarms.low_ms = 0;
  else if (alarms.low_ms < kEmptyMs)
    ++alarms.low_ms;
  const bool empty = alarms.low_ms >= kEmptyMs;
  if (empty) {
    raise(alarms, config, SILLION_ALARM_NO_FLOW, false, report);
    raise(alarms, config, SILLION_ALARM_LOW_FLOW, false, report);
  }
  if (low && !empty) return true;  // what stands is neither raised nor over
  raise(alarms, config, SILLION_ALARM_EMPTY_LINE, empty, report);
  return empty;
}

void judge_wear(RowAlarms& alarms, const sillion_config& config, const AlarmInputs& now,
                Report& report) {
  const bool before = (alarms.raised & SILLION_ALARM_WORN) != 0;
  const bool worn = now.rise_q16 > (before ? kWornOverQ16 : kWornQ16);
  if (worn && !before) {
    const LowestRate lowest = lowest_rate(config, now.speed_umps, now.rise_q16);
    report.event(SILLION_EVENT_LOWEST_RATE, lowest.now_nm, lowest.table_nm);
  }
  raise(alarms, config, SILLION_ALARM_WORN, worn, report);
}

}  // namespace

void judge_alarms(RowAlarms& alarms, const sillion_config& config, const AlarmInputs& now,
                  Report& report) {
  const std::uint32_t pulses = now.meter_pulses - alarms.meter_pulses;
  alarms.meter_pulses = now.meter_pulses;
  raise(alarms, config, SILLION_ALARM_SLOW_VALVE, now.slow_valve, report);
  const bool seed = now.seeds != alarms.seeds;
  alarms.seeds = now.seeds;
  if (!now.at_work || !alarms.at_work) {
    alarms.at_work = now.at_work;
    alarms.work_from_ticks = report.now_ticks;
    alarms.edge_place_pm = now.place_pm;
    alarms.seen = false;
    alarms.low_ms = 0;
    start_windows(alarms);
    return;
  }
  if (seed) {
    alarms.seen = true;
    alarms.edge_place_pm = now.place_pm;
    raise(alarms, config, SILLION_ALARM_NO_SEEDS, false, report);
  }
  const std::int64_t way_um = (now.place_pm - alarms.edge_place_pm) / kMicro;
  const std::int64_t most = alarms.seen ? kWaySpacings : kFirstWaySpacings;
  if (way_um >= most * config.theoretical_spacing_um)
    raise(alarms, config, SILLION_ALARM_NO_SEEDS, true, report);
  // The instant is remembered no longer than a counter can tell it apart.
  if (since_us(report.now_ticks, alarms.work_from_ticks) < kSettlesUs) return;
  alarms.work_from_ticks = later(report.now_ticks, -kSettlesUs);
  if (judge_line(alarms, config, now, report)) {
    start_windows(alarms);
    return;
  }
  if (config.meter_mm3_per_pulse == 0) return;
  judge_wear(alarms, config, now, report);
  judge_flow(alarms, config, pulses, now.band_us * now.should_be_mm3ps, report);
}

}  // namespace controller
