#include "controller/row_controller.h"

#include "controller/delay_law.h"
#include "controller/frames.h"
#include "controller/set_point_table.h"
#include "controller/ticks.h"

namespace controller {
namespace {

constexpr std::int32_t kReportEveryMs = 200;
constexpr std::int32_t kSleepUs = 20'000;
constexpr std::int32_t kOldestUs = 50'000;  // receive stamp of a frame of this call
constexpr std::int32_t kMostTickMs = 100;   // between two periodic calls; more is garbage

void take_set_point(ReceivedSetPoint& kept, ClockRate& clock, const sillion_frame& frame,
                    Report& report) {
  SetPointFrame sent;
  const bool good = decode(frame, sent);
  if (!good || !in_sequence(kept.sequence, sent.sequence)) {
    ++report.health.bad_frames;
    if (!good) report.event(SILLION_EVENT_BAD_FRAME, saturated(frame.id));
    return;
  }
  kept.known = true;
  kept.received_ticks = report.now_ticks;
  kept.valid_us = sent.valid_ms * 1000;
  kept.rate_nm = sent.rate_nm;
  kept.pressure_pa = sent.pressure_pa;
  // A stamp from the future or from long ago belongs to no frame of this call.
  const std::int32_t waited_us = since_us(report.now_ticks, frame.received_ticks);
  if (waited_us >= 0 && waited_us <= kOldestUs)
    take_pair(clock, sent.machine_us, frame.received_ticks);
}

void take_frames(RowController& row, const sillion_input& in, Report& report) {
  const std::uint32_t count = std::min<std::uint32_t>(in.frame_count, SILLION_FRAMES_MAX);
  for (std::uint32_t i = 0; i < count; ++i) {
    const sillion_frame& frame = in.frames[i];
    if (frame.id == SILLION_FRAME_MOTION) take_motion(row.motion, frame, report);
    if (frame.id == SILLION_FRAME_SETPOINT) take_set_point(row.set_point, row.clock, frame, report);
    // Frames of other rows and of other nodes are not for us.
  }
  ReceivedSetPoint& kept = row.set_point;
  if (kept.known && since_us(report.now_ticks, kept.received_ticks) > kept.valid_us) kept = {};
}

std::int32_t rate_now_nm(const RowController& row) {
  return row.set_point.known ? row.set_point.rate_nm : row.config.in_band_rate_nm;
}

/// The flow wanted now, and the point of the table that gives it.
Setting setting_now(RowController& row, Report& report) {
  const sillion_attachment_table& table = row.config.attachment;
  const std::int32_t rate_nm = rate_now_nm(row);
  const std::int32_t speed_umps = row_speed_umps(row.motion, report.now_ticks);
  const std::int32_t wanted = wanted_flow_mm3ps(rate_nm, row.config.row_width_um, speed_umps);
  if (!row.rate.trims && row.set_point.known) {
    // Pressure alone sets the flow, the same in every row: leads and lags go with that flow.
    const std::int32_t given =
        flow_at_pressure_mm3ps(table, pressure_in_table_pa(row.config, row.set_point.pressure_pa));
    const SetPoint set = set_point_for(table, given);
    return {given, set.current_ma, set.lead_us, set.lag_us, set.opening_us, true, true};
  }
  const SetPoint set = set_point_for(table, wanted);
  const SetPoint trimmed =
      set_point_for(table, trimmed_mm3ps(set.reachable_mm3ps, row.rate.trim_q16));
  const bool outside = speed_umps > kSlowestUmps && rate_nm > 0 && !set.in_range;
  if (outside && !row.rate_out_of_range) {
    report.event(SILLION_EVENT_RATE_OUT_OF_RANGE, saturated(std::int64_t{wanted} * 10),
                 set.reachable_mm3ps * 10);
  }
  row.rate_out_of_range = outside;
  return {set.reachable_mm3ps,
          trimmed.current_ma,
          set.lead_us,
          set.lag_us,
          set.opening_us,
          trimmed.reachable_mm3ps<table.flow_mm3ps[table.points - 1], trimmed.reachable_mm3ps> table
              .flow_mm3ps[0]};
}

/// Rising edges become seeds; true when the plan has to be looked at again.
bool take_edges(RowController& row, const sillion_input& in, bool safe_closed,
                const Present& present, Report& report) {
  if (in.edge_overflow != 0) ++report.health.capture_overflows;
  bool queued = false;
  const std::uint32_t count = std::min<std::uint32_t>(in.edge_count, SILLION_EDGES_MAX);
  for (std::uint32_t i = 0; i < count; ++i) {
    if (!accept_edge(row.edges, in.edges[i], report)) continue;
    const std::uint32_t number = row.seeds++;
    // A closed row gets no band; in the stream every seed has one already.
    if (safe_closed || row.config.continuous != 0) continue;
    Seed seed;
    seed.edge_ticks = in.edges[i].at_ticks;
    seed.number = number & 0x7fff'ffffu;
    place_seed(seed, present.law, present.odometer, present.motion);
    if (!row.queue.push(seed)) {
      ++report.health.queue_overflows;
      report.event(SILLION_EVENT_QUEUE_OVERFLOW, static_cast<std::int32_t>(number));
      stream_for_lost_seed(row.planner, seed);
    }
    queued = true;
  }
  return queued;
}

/// Reports once that bands leave no time to close between them, so that a stream results.
void tell_not_resolvable(RowController& row, Report& report) {
  if (row.told_not_resolvable || row.config.continuous != 0) return;
  const std::int64_t gap_um =
      std::int64_t{row.config.theoretical_spacing_um} - row.config.band_length_um;
  const std::int64_t speed = row_speed_umps(row.motion, report.now_ticks);
  if (gap_um * kMicro >= speed * row.config.attachment.shortest_closed_us) return;
  row.told_not_resolvable = true;
  report.event(SILLION_EVENT_NOT_RESOLVABLE);
}

std::int32_t hose_pressure_pa(const sillion_config& config, const sillion_input& in) {
  constexpr std::int64_t kMostCounts = (1 << kAnalogBits) - 1;
  return saturated(std::int64_t{in.analog_counts[0]} * config.analog_full_scale[0] / kMostCounts);
}

/// What the pressure at the hose is held against; 0: nothing.
std::int32_t set_pressure_pa(const RowController& row) {
  const bool measured = row.config.analog_full_scale[0] > 0;
  return measured && row.set_point.known ? row.set_point.pressure_pa : 0;
}

void send_report(RowController& row, bool safe_closed, Report& report) {
  RowReportFrame said;
  said.sequence = ++row.report_sequence;
  said.row = static_cast<std::uint8_t>(row.config.row);
  said.state = static_cast<std::uint8_t>(
      (row.rate.flow_valid ? kFlowValid : 0) | (safe_closed ? kSafeClosed : 0) |
      (row.planner.streaming ? kStreaming : 0) | (row.rate.trims ? kSetsLift : 0) |
      (report.health.resets & 15u) << kResetsShift);
  said.alarms = static_cast<std::uint16_t>(row.alarms.raised);
  said.seeds = static_cast<std::uint16_t>(row.seeds);
  said.bands = static_cast<std::uint16_t>(row.planner.openings);
  said.flow_mm3ps = row.rate.flow_mm3ps;
  said.wanted_mm3ps = row.rate.expected_mm3ps;
  send(report.out, encode(said));
}

std::int32_t ms_since_tick(const RowController& row, std::uint32_t now_ticks) {
  return std::clamp<std::int32_t>(since_us(now_ticks, row.tick_ticks) / 1000, 0, kMostTickMs);
}

void do_periodic_work(RowController& row, const sillion_input& in, const Setting& setting,
                      bool safe_closed, Report& report) {
  report.out.watchdog_kick = 1;
  const std::int32_t gone_ms = std::max<std::int32_t>(1, ms_since_tick(row, report.now_ticks));
  row.tick_ticks = report.now_ticks;
  for (std::int32_t ms = 0; ms < gone_ms; ++ms)  // the mean is one over ms, asleep or not
    take_supply(row.corrections, in.analog_counts[1], kAnalogBits, row.config.analog_full_scale[1]);
  forget_old_edge(row.edges, report.now_ticks);
  count_safe_time(row.safe, gone_ms, report);
  count_stream_time(row.planner, report);
  const bool slow = is_slow(row.opening, (row.alarms.raised & SILLION_ALARM_SLOW_VALVE) != 0);
  if (slow && (row.alarms.raised & SILLION_ALARM_SLOW_VALVE) == 0)
    report.event(SILLION_EVENT_OPENING_LATE, opening_late_us(row.opening));
  const std::int64_t band_us = from_ticks(row.clock, row.planner.band_time_us - row.band_time_us);
  row.band_time_us = row.planner.band_time_us;
  follow_meter(row.rate, in.meter_pulses, band_us, setting.should_be_mm3ps, setting.may_rise,
               setting.may_fall);
  judge_alarms(row.alarms, row.config,
               {.at_work = !safe_closed && row.config.continuous == 0,
                .place_pm = row.odometer.place_pm,
                .seeds = row.seeds,
                .band_us = band_us,
                .should_be_mm3ps = setting.should_be_mm3ps,
                .meter_pulses = in.meter_pulses,
                .pressure_pa = hose_pressure_pa(row.config, in),
                .set_pa = set_pressure_pa(row),
                .speed_umps = row_speed_umps(row.motion, report.now_ticks),
                .rise_q16 = row.rate.rise_q16,
                .slow_valve = slow},
               report);
  row.until_report_ms -= gone_ms;
  if (row.until_report_ms > 0) return;
  row.until_report_ms += kReportEveryMs;
  send_report(row, safe_closed, report);
}

/// Asks for no periodic call while nothing can come of one.
void sleep(RowController& row, const sillion_input& in, Report& report) {
  constexpr std::uint32_t kRests = SILLION_SAFE_LIFTED | SILLION_SAFE_HOLD;
  const bool writes = in.storage_busy != 0 || report.out.storage_command != SILLION_STORAGE_NONE ||
                      row.store.copies_to_write != 0;
  if ((row.safe.causes & kRests) == 0 || writes) {  // either cause has shut the valve in this call
    row.wake_ticks = report.now_ticks;
    return;
  }
  if ((in.why & SILLION_WHY_TICK) != 0) row.wake_ticks = later(report.now_ticks, kSleepUs);
  const std::int32_t left_us = since_us(row.wake_ticks, report.now_ticks);
  if (left_us > 0 && left_us <= kSleepUs)
    report.out.sleep_ticks = static_cast<std::uint32_t>(left_us);
}

}  // namespace

RowController row_controller_for(const sillion_config& config, const void* storage,
                                 std::size_t storage_size) {
  RowController row;
  row.config = config;
  row.edges = edge_filter_for(config);
  row.motion = row_motion_for(config);
  row.odometer.at_ticks = config.start_ticks;
  row.tick_ticks = config.start_ticks;
  row.wake_ticks = config.start_ticks;
  row.rate = rate_loop_for(config);
  row.store = config_store_for(config, storage, storage_size);
  row.safe.config_lost = row.store.lost;
  row.cycles = valve_cycles_for(storage, storage_size);
  return row;
}

void step(RowController& row, const sillion_input& in, Report& report) {
  if (!row.told_simulated && row.config.attachment.evidence_grade == 0) {
    report.event(SILLION_EVENT_TABLE_SIMULATED);
  }
  row.told_simulated = true;

  advance(row.odometer, in_ticks(row.clock, row.motion), report.now_ticks);  // [1]
  take_frames(row, in, report);                                              // [2]
  drop_stale_speed(row.motion, report.now_ticks);
  const Setting setting = setting_now(row, report);
  const Shift today = shift_now(row.corrections, row.config, report);
  const std::int32_t trim_us = opening_trim_us(row.opening);
  const DelayLaw law =
      in_ticks(row.clock, delay_law_for(row.config, setting.lead_us + today.lead_us + trim_us,
                                        setting.lag_us + today.lag_us));
  const RowMotion motion = in_ticks(row.clock, row.motion);
  const Present present{law,
                        row.odometer,
                        motion,
                        row.config.attachment.shortest_closed_us,
                        setting.current_ma,
                        row.config.attachment.rest};
  take_matches(row.planner, row.queue, in, present, report);  // [3]
  take_burst(row.opening, row.planner, in,
             expected_opening_us(setting.opening_us,
                                 voltage_lead_us(row.corrections, row.config.attachment)));
  const bool tick = (in.why & SILLION_WHY_TICK) != 0;
  const SafeState before = row.safe;
  row.safe.no_rate = rate_now_nm(row) == 0;
  const bool safe_closed = must_close(row.safe, row.motion, in.digital, report);  // [4]
  // A row that wakes up was closed until now; the ms in which a cause came counts whole, that in
  // which it went does not.
  if (!safe_closed)
    count_safe_time(
        before, std::max<std::int32_t>(0, ms_since_tick(row, report.now_ticks) - (tick ? 1 : 0)),
        report);
  const bool queued = take_edges(row, in, safe_closed, present, report);  // [5]
  if (safe_closed) {                                                      // [6]
    // The command is given on every entry, the first call after a reset included: the bridge may
    // still be driving.
    if (!row.shut) shut_down(row.planner, row.queue, present, report);
  } else if (tick || queued || (in.why & SILLION_WHY_COMPARE) != 0) {
    place_seeds(row.planner, row.queue, present);
    plan_pulses(row.planner, row.queue, row.config.continuous != 0, present, report);
    tell_not_resolvable(row, report);
  }
  row.shut = safe_closed;
  if (tick) do_periodic_work(row, in, setting, safe_closed, report);  // [7] [8]
  go_on(row.store, row.config, in, report);                           // [9]
  if (row.store.copies_to_write == 0) go_on(row.cycles, row.planner.openings, in, report);
  sleep(row, in, report);  // [10]
}

}  // namespace controller
