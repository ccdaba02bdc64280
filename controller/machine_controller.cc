#include "controller/machine_controller.h"

#include "controller/ticks.h"

namespace controller {
namespace {

constexpr std::int32_t kMotionRepeatUs = 100'000;
constexpr std::int32_t kMotionValidMs = 500;
constexpr std::uint32_t kSetPointEveryTicks = 100;
constexpr std::uint32_t kTrimEveryTicks = 1000;
constexpr std::int32_t kSetPointValidMs = 1000;
constexpr std::uint32_t kWatchEveryTicks = 10;

/// Says which alarms of a row have come and gone.
void take_alarms(MachineController& machine, const RowReportFrame& row, Report& report) {
  const std::int32_t now = row.alarms;
  const std::int32_t before = machine.alarms[row.row];
  const std::int32_t came = now & ~before;
  const std::int32_t went = before & ~now;
  if (came != 0) report.event(SILLION_EVENT_ALARM, came, row.row);
  if (went != 0) report.event(SILLION_EVENT_ALARM_OVER, went, row.row);
  machine.alarms[row.row] = row.alarms;
}

void take_row(MachineController& machine, const sillion_frame& frame, Report& report) {
  RowReportFrame row;
  bool started_anew = false;
  if (!take_row_report(machine.pressure, frame, machine.config, row, started_anew, report)) return;
  take_alarms(machine, row, report);
  const SpeedEstimate& estimate = machine.estimate;
  take_counts(machine.totals, row, started_anew, machine.config,
              estimate.known ? estimate.speed_umps : 0, estimate.yaw_uradps);
}

/// What the frames of a call bring.
struct News {
  bool speed = false;
  bool rate = false;
};

News take_frames(MachineController& machine, const sillion_input& in, Report& report) {
  News news;
  const std::uint32_t count = std::min<std::uint32_t>(in.frame_count, SILLION_FRAMES_MAX);
  for (std::uint32_t i = 0; i < count; ++i) {
    const sillion_frame& frame = in.frames[i];
    if (frame.id == SILLION_BUS_GROUND_SPEED || frame.id == SILLION_BUS_COURSE_SPEED) {
      news.speed = take_bus_frame(machine.estimate, frame, report) || news.speed;
    } else if (frame.id == SILLION_BUS_RATE) {
      news.rate =
          take_rate(machine.rate, frame, machine.config, machine.pressure.pressure_pa, report) ||
          news.rate;
    } else if (frame.id == SILLION_FRAME_ROW_REPORT) {
      take_row(machine, frame, report);
    }
    // Other traffic on the bus is not for us.
  }
  return news;
}

void send_motion(MachineController& machine, const sillion_input& in, Report& report) {
  const SpeedEstimate& estimate = machine.estimate;
  MotionFrame motion;
  motion.sequence = ++machine.motion_sequence;
  motion.valid_ms = kMotionValidMs;
  motion.age_ms = since_us(report.now_ticks, estimate.measured_ticks) / 1000;
  motion.work = static_cast<std::uint8_t>(in.digital & 0xff);
  motion.accel_umps2 = estimate.accel_umps2;
  motion.speed_umps = estimate.speed_umps;
  motion.yaw_uradps = estimate.yaw_uradps;
  send(report.out, encode(motion));
  machine.motion_sent_ticks = report.now_ticks;
}

void move_pressure(MachineController& machine, Report& report) {
  const SpeedEstimate& estimate = machine.estimate;
  if (machine.rate.rate_nm > 0) machine.config.in_band_rate_nm = machine.rate.rate_nm;
  if (estimate.known || machine.pressure.pressure_pa == 0) {
    set_pressure(machine.pressure, machine.config, estimate.known ? estimate.speed_umps : 0,
                 estimate.yaw_uradps, report);
  }
  report.out.pressure_setpoint_valid = 1;
  report.out.pressure_setpoint_pa = static_cast<std::uint32_t>(machine.pressure.pressure_pa);
}

void send_set_point(MachineController& machine, Report& report) {
  const Told told = told_now(machine.rate, machine.config, machine.pressure.pressure_pa,
                             machine.watch.measured_pa, report);
  SetPointFrame set_point;
  set_point.sequence = ++machine.set_point_sequence;
  set_point.valid_ms = kSetPointValidMs;
  set_point.rate_nm = told.rate_nm;
  set_point.pressure_pa = told.pressure_pa;
  set_point.machine_us = report.now_ticks;
  send(report.out, encode(set_point));
}

}  // namespace

MachineController machine_controller_for(const sillion_config& config, const void* storage,
                                         std::size_t storage_size, std::uint32_t resets) {
  MachineController machine;
  machine.config = config;
  machine.totals = totals_on(storage, storage_size);
  machine.store = totals_store_for(config, storage, storage_size);
  machine.estimate = speed_estimate_for(config);
  machine.motion_sent_ticks = config.start_ticks;
  machine.rate.rate_nm = machine.rate.old_nm = config.in_band_rate_nm;
  machine.motion_sequence = machine.set_point_sequence = first_sequence(resets);
  return machine;
}

void step(MachineController& machine, const sillion_input& in, Report& report) {
  const News news = take_frames(machine, in, report);
  if (news.speed) send_motion(machine, in, report);
  if (news.rate) {
    move_pressure(machine, report);
    send_set_point(machine, report);
  }
  go_on(machine.store, machine.totals, machine.config, in, report);
  if ((in.why & SILLION_WHY_TICK) == 0) return;
  report.out.watchdog_kick = 1;
  forget_old_signals(machine.estimate, report.now_ticks);
  const bool silent = since_us(report.now_ticks, machine.motion_sent_ticks) >= kMotionRepeatUs;
  if (machine.estimate.known && silent) send_motion(machine, in, report);
  if (machine.ticks_done % kSetPointEveryTicks == 0) {
    move_pressure(machine, report);
    send_set_point(machine, report);
  }
  if (machine.ticks_done % kWatchEveryTicks == 0) {
    watch_pressure(machine.watch, machine.pressure.pressure_pa, in.analog_counts[0],
                   machine.config.analog_full_scale[0], report);
  }
  // A pressure that another controller moves is not trimmed against it.
  if (machine.ticks_done % kTrimEveryTicks == 0 && machine.watch.count_ms == 0) {
    trim_pressure(machine.pressure, report.now_ticks);
  }
  count_seconds(machine.totals);
  ++machine.ticks_done;
}

}  // namespace controller
