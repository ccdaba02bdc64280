#include "controller/machine_controller.h"

#include "controller/ticks.h"

namespace controller {
namespace {

constexpr std::int32_t kMotionRepeatUs = 100'000;
constexpr std::int32_t kMotionValidMs = 500;
constexpr std::uint32_t kSetPointEveryTicks = 100;
constexpr std::uint32_t kTrimEveryTicks = 1000;
constexpr std::int32_t kSetPointValidMs = 1000;

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

bool take_frames(MachineController& machine, const sillion_input& in, Report& report) {
  bool new_speed = false;
  const std::uint32_t count = std::min<std::uint32_t>(in.frame_count, SILLION_FRAMES_MAX);
  for (std::uint32_t i = 0; i < count; ++i) {
    const sillion_frame& frame = in.frames[i];
    if (frame.id == SILLION_BUS_GROUND_SPEED || frame.id == SILLION_BUS_COURSE_SPEED) {
      new_speed = take_bus_frame(machine.estimate, frame, report) || new_speed;
    } else if (frame.id == SILLION_FRAME_ROW_REPORT) {
      take_row(machine, frame, report);
    }
    // Other traffic on the bus is not for us.
  }
  return new_speed;
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

void send_set_point(MachineController& machine, Report& report) {
  const SpeedEstimate& estimate = machine.estimate;
  if (estimate.known || machine.pressure.pressure_pa == 0) {
    set_pressure(machine.pressure, machine.config, estimate.known ? estimate.speed_umps : 0,
                 estimate.yaw_uradps, report);
  }
  report.out.pressure_setpoint_valid = 1;
  report.out.pressure_setpoint_pa = static_cast<std::uint32_t>(machine.pressure.pressure_pa);
  SetPointFrame set_point;
  set_point.sequence = ++machine.set_point_sequence;
  set_point.valid_ms = kSetPointValidMs;
  set_point.rate_nm = machine.config.in_band_rate_nm;
  set_point.pressure_pa = machine.pressure.pressure_pa;
  send(report.out, encode(set_point));
}

}  // namespace

MachineController machine_controller_for(const sillion_config& config, const void* storage,
                                         std::size_t storage_size) {
  MachineController machine;
  machine.config = config;
  machine.totals = totals_on(storage, storage_size);
  machine.store = totals_store_for(config, storage, storage_size);
  machine.estimate = speed_estimate_for(config);
  machine.motion_sent_ticks = config.start_ticks;
  return machine;
}

void step(MachineController& machine, const sillion_input& in, Report& report) {
  if (take_frames(machine, in, report)) send_motion(machine, in, report);
  go_on(machine.store, machine.totals, machine.config, in, report);
  if ((in.why & SILLION_WHY_TICK) == 0) return;
  report.out.watchdog_kick = 1;
  forget_old_signals(machine.estimate, report.now_ticks);
  const bool silent = since_us(report.now_ticks, machine.motion_sent_ticks) >= kMotionRepeatUs;
  if (machine.estimate.known && silent) send_motion(machine, in, report);
  if (machine.ticks_done % kSetPointEveryTicks == 0) send_set_point(machine, report);
  if (machine.ticks_done % kTrimEveryTicks == 0) trim_pressure(machine.pressure, report.now_ticks);
  count_seconds(machine.totals);
  ++machine.ticks_done;
}

}  // namespace controller
