#include "sim/study/rig/rig.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <stdexcept>

#include "model/denormals.h"
#include "model/row/bare_tube.h"
#include "sim/bench/pass.h"
#include "sim/bench/pulse_record.h"
#include "sim/scenario/loader.h"
#include "sim/study/rig/rig_recorder.h"

namespace sim::rig {
namespace {

constexpr int kStepsBetweenScans = 64;

const char* fault_words(model::RowFault fault) {
  switch (fault) {
    case model::RowFault::kNone: return "in order";
    case model::RowFault::kNotANumber: return "no longer a number, or beyond all pressures";
    case model::RowFault::kNegativeVolume: return "a negative volume";
    case model::RowFault::kBelowVapour: return "a pressure below vapour";
  }
  return "unknown";
}

std::vector<bench::PulseCommand> commands_of(const RigSetup& setup) {
  std::vector<bench::PulseCommand> commands;
  if (setup.inlet == RigInlet::kChain) {
    for (int k = 0; k < setup.drive.pulses; ++k) {
      const double on_s = setup.drive.first_on_s + k * setup.drive.period_s;
      commands.push_back({on_s, on_s + setup.drive.on_time_s});
    }
  } else if (setup.train.peak != 0.0) {
    const double period_s = setup.train.frequency_hz > 0.0 ? 1.0 / setup.train.frequency_hz : 0.0;
    for (int k = 0; k < setup.train.pulses; ++k)
      commands.push_back({k * period_s, k * period_s + setup.train.rise_s + setup.train.hold_s});
  }
  return commands;
}

/// Hose, valve and tube, or a tube alone, simulated one step at a time.
class Rig {
 public:
  explicit Rig(const RigSetup& setup, const std::vector<bench::PulseCommand>& commands)
      : setup_(setup), commands_(commands) {
    const model::RowUnitParams row = row_of(setup);
    if (setup.inlet == RigInlet::kChain) {
      chain_.emplace(row, setup.solver, setup.supply_pa);
      const model::RowFit& fit = chain_->fit();
      fit_ = {.step_s = static_cast<double>(fit.step_ns) * 1e-9,
              .hose_cells = fit.hose.in_cells(),
              .tube_cells = fit.tube.in_cells()};
      before_.valve_exit_pressure_pa = before_.outlet_pressure_pa =
          setup.end.kind == model::EndKind::kPressure ? setup.end.pressure_pa : 0.0;
    } else {
      tube_.emplace(row, setup.ideal, setup.solver, setup.history.first());
      fit_ = {.step_s = tube_->fit().step_s, .tube_cells = static_cast<double>(tube_->fit().cells)};
      before_.valve_exit_pressure_pa = tube_->steady_inlet_pressure_pa();
      before_.outlet_pressure_pa = tube_->steady_outlet_pressure_pa();
      before_.valve_flow_m3ps = before_.outlet_flow_m3ps = tube_->steady_flow_m3ps();
    }
  }

  const RigFit& fit() const { return fit_; }
  const model::RowStepOutput& before() const { return before_; }
  double stored_m3() const {
    return chain_ ? chain_->stored_volume_m3() : tube_->stored_volume_m3();
  }
  bool has_middle() const {
    return tube_ && tube_->fit().cells % 2 == 0 && !setup_.solver.cavities;
  }
  double middle_pa() const { return has_middle() ? tube_->middle_pressure_pa() : 0.0; }

  model::RowStepOutput step(double from_s, double to_s) {
    if (tube_) return tube_->step(model::history_mean(setup_.history, from_s, to_s));
    while (next_ < commands_.size() && commands_[next_].off_s <= from_s) ++next_;
    double drive_s = 0.0;
    for (std::size_t k = next_; k < commands_.size() && commands_[k].on_s < to_s; ++k)
      drive_s +=
          std::max(0.0, std::min(to_s, commands_[k].off_s) - std::max(from_s, commands_[k].on_s));
    const double drive_ratio = drive_s / (to_s - from_s);
    return chain_->step(
        {.supply_pressure_pa = setup_.supply_pa,
         .supply_voltage_v = setup_.drive.supply_v,
         .current_limit_a = setup_.drive.current_limit_a,
         .drive_ratio = drive_ratio,
         .fast_decay_ratio = setup_.drive.decay == CurrentDecay::kFast ? 1.0 - drive_ratio : 0.0});
  }

  /// Throws where the step left physics, or where stations no longer hold numbers.
  void check(long long number, double at_s, const model::RowStepOutput& out) const {
    if (out.fault != model::RowFault::kNone)
      throw bench::BenchError(fmt::format("rig: {} at {:.6f} ms, at the ends of the tube",
                                          fault_words(out.fault), at_s * 1e3));
    if (!tube_ || number % kStepsBetweenScans != 0) return;
    const int station = tube_->first_bad_station();
    if (station >= 0)
      throw bench::BenchError(
          fmt::format("rig: the line diverged at {:.6f} ms, station {}", at_s * 1e3, station));
  }

 private:
  const RigSetup& setup_;
  const std::vector<bench::PulseCommand>& commands_;
  std::optional<model::RowUnit> chain_;
  std::optional<model::BareTube> tube_;
  RigFit fit_;
  model::RowStepOutput before_;
  std::size_t next_ = 0;
};

double steady_flow_of(const RigSetup& setup) {
  const model::RowUnitParams row = row_of(setup);
  if (setup.inlet == RigInlet::kChain)
    return model::steady_flow_m3ps(row, setup.supply_pa, row.valve.plunger.travel_m);
  double value = setup.history.first();
  if (setup.train.peak != 0.0) value = setup.train.peak;
  if (setup.end.kind == model::EndKind::kClosed && setup.inlet == RigInlet::kFlow) return 0.0;
  return model::BareTube(row, setup.ideal, setup.solver, value).steady_flow_m3ps();
}

RigPulse pulse_of(const RigSetup& setup, const bench::PulseCommand& command,
                  const bench::RecordedPulse& recorded) {
  const bool jets = recorded.jet_speed_mps > 0.0;
  return {.on_s = command.on_s,
          .off_s = command.off_s,
          .lead_s = recorded.half_up_s - command.on_s,
          .lag_s = recorded.half_down_s - command.off_s,
          .flight_s = jets ? model::jet_flight_time_s(recorded.jet_speed_mps, setup.part.jet) : 0.0,
          .mass_kg = recorded.band.dose_m3 * setup.liquid.liquid.density_kgpm3,
          .volume_m3 = recorded.band.dose_m3,
          .x05_m = recorded.x05_m,
          .x95_m = recorded.x95_m,
          .start_x_m = recorded.band.start_x_ground_m,
          .end_x_m = recorded.band.end_x_ground_m,
          .centroid_x_m = recorded.band.centre_x_ground_m,
          .secondary_ratio = recorded.band.secondary_ratio,
          .half_falls_ratio = static_cast<double>(recorded.half_falls)};
}

/// The first pulses of the drive, by which the form of the lines is judged.
bench::PulseTrain first_pulses(const RigSetup& setup) {
  constexpr int kMostPulses = 8;
  return {.pressure_pa = setup.supply_pa,
          .voltage_v = setup.drive.supply_v,
          .current_limit_a = setup.drive.current_limit_a,
          .ground_speed_mps = setup.ground_speed_mps,
          .on_time_s = setup.drive.on_time_s,
          .period_s = setup.drive.period_s,
          .least_gap_s = 0.0,
          .pulses = std::min(setup.drive.pulses, kMostPulses),
          .fast_decay = setup.drive.decay == CurrentDecay::kFast,
          .jet = setup.part.jet};
}

}  // namespace

double RigBalance::residual_ratio() const {
  return passed_m3 > 0.0 ? std::abs(residual_m3()) / passed_m3 : 0.0;
}

namespace {

/// Follows the current over the last four periods of the last command.
class RippleWatch {
 public:
  RippleWatch(const RigSetup& setup, const std::vector<bench::PulseCommand>& commands) {
    const double chop_hz = setup.part.valve.coil.chop_hz;
    if (!(chop_hz > 0.0) || commands.empty()) return;
    to_s_ = commands.back().off_s;
    from_s_ = std::max(commands.back().on_s, to_s_ - 4.0 / chop_hz);
  }
  void take(double at_s, double current_a) {
    if (at_s <= from_s_ || at_s > to_s_) return;
    seen_ += 1.0;
    seen_so_far_.least_a = seen_ > 1.0 ? std::min(seen_so_far_.least_a, current_a) : current_a;
    seen_so_far_.most_a = seen_ > 1.0 ? std::max(seen_so_far_.most_a, current_a) : current_a;
    seen_so_far_.mean_a += (current_a - seen_so_far_.mean_a) / seen_;
  }
  bool watches() const { return to_s_ > 0.0; }
  const RigChopping& seen() const { return seen_so_far_; }

 private:
  double from_s_ = 0.0, to_s_ = 0.0;
  double seen_ = 0.0;  // tidy: a count
  RigChopping seen_so_far_;
};

/// The same run with an ideal limit tells what the clock moves.
RigChopping against_ideal(const RigResult& chopped, RigChopping seen,
                          const std::atomic<bool>* stop) {
  RigSetup ideal = chopped.setup;
  ideal.part.valve.coil.chop_hz = 0.0;
  ideal.judge_form = false;  // the same form: only the clock differs
  const RigResult beside = run_rig(ideal, stop);
  seen.start_moved_m = chopped.pulses.back().start_x_m - beside.pulses.back().start_x_m;
  seen.end_moved_m = chopped.pulses.back().end_x_m - beside.pulses.back().end_x_m;
  return seen;
}

}  // namespace

RigResult run_rig(const RigSetup& asked, const std::atomic<bool>* stop) {
  const model::DenormalGuard guard;
  RigResult result{.setup = asked};
  const RigSetup& setup = result.setup;
  const std::vector<bench::PulseCommand> commands = commands_of(setup);
  try {
    if (asked.judge_form) {
      result.form = bench::judge_line_form(row_of(asked), asked.solver, first_pulses(asked));
      result.setup.solver = result.form.solver;
    }
    Rig rig(setup, commands);
    result.fit = rig.fit();
    result.steady_flow_m3ps = steady_flow_of(setup);
    const double duration_s = rig_duration_s(setup);
    const double step_s = result.fit.step_s;
    const double travel_s = setup.part.tube.length_m / setup.part.tube.wave_speed_mps;
    bench::PulseRecord pulses(
        commands, {.speed_mps = setup.ground_speed_mps,
                   .jet = setup.part.jet,
                   .dribble_mps = model::dribble_speed_mps(setup.liquid.liquid, setup.part.outlet),
                   .steady_m3ps = result.steady_flow_m3ps,
                   .owned_after_s = 0.9 * travel_s});
    RigRecorder recorder(
        setup.record, duration_s, rig.before(),
        0.5 * (rig.before().valve_exit_pressure_pa + rig.before().outlet_pressure_pa),
        rig.has_middle());
    RippleWatch ripple(setup, commands);
    const double stored_before_m3 = rig.stored_m3();
    for (long long step = 0; static_cast<double>(step) * step_s < duration_s || !recorder.done();
         ++step) {
      if (stop != nullptr && step % 1024 == 0 && stop->load(std::memory_order_relaxed))
        throw bench::Interrupted("interrupted");
      const double from_s = static_cast<double>(step) * step_s;
      const double to_s = static_cast<double>(step + 1) * step_s;
      const model::RowStepOutput out = rig.step(from_s, to_s);
      rig.check(step, to_s, out);
      recorder.take(from_s, to_s, out, rig.middle_pa());
      ripple.take(to_s, out.current_a);
      if (!commands.empty()) pulses.take(from_s, to_s, out);
      result.balance.in_m3 += out.inlet_volume_m3;
      result.balance.out_m3 += out.jet_volume_m3;
      result.balance.passed_m3 += std::abs(out.inlet_volume_m3) + std::abs(out.jet_volume_m3);
      result.simulated_s = to_s;
    }
    result.balance.stored_m3 = rig.stored_m3() - stored_before_m3;
    result.series = recorder.finish();
    const std::vector<bench::RecordedPulse> recorded = pulses.finish();
    for (std::size_t k = 0; k < recorded.size(); ++k)
      result.pulses.push_back(pulse_of(setup, commands[k], recorded[k]));
    if (ripple.watches()) result.chopping = against_ideal(result, ripple.seen(), stop);
  } catch (const std::invalid_argument& error) {
    throw text::InputError(setup.name + ": " + error.what());
  }
  return result;
}

}  // namespace sim::rig
