#include "sim/bench/pulse_train.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "model/denormals.h"
#include "sim/bench/pass.h"
#include "sim/bench/pulse_record.h"

namespace sim::bench {
namespace {

/// Lets the column come to rest after the last pulse, as the record of a run does.
constexpr double kRunOut_s = 0.08;

/// Vapour is looked for so often: it stands for hundreds of steps.
constexpr long long kStepsBetweenLooks = 8;

/// Normal scores of 16 even strata (mean 0, sd 0.96), in an order that puts no trend between
/// neighbours.
constexpr double kScores_ratio[16] = {0.40,  -1.32, 1.01,  -0.08, -0.58, 1.86, -0.78, 0.24,
                                      -1.01, 0.58,  -0.24, 1.32,  -1.86, 0.08, 0.78,  -0.40};

std::vector<double> on_commands_s(const PulseTrain& train) {
  std::vector<double> on_s;
  for (int k = 0; k < train.pulses; ++k) {
    const double wanted_s =
        train.period_s * (k + train.scatter_ratio * (kScores_ratio[k % 16] - kScores_ratio[0]));
    on_s.push_back(k == 0 ? 0.0
                          : std::max(wanted_s, on_s.back() + train.on_time_s + train.least_gap_s));
  }
  return on_s;
}

/// When the plunger comes to its stop in each pulse: where its rise ends above nine tenths.
class StopFinder {
 public:
  StopFinder(const std::vector<double>& on_s, double travel_m)
      : on_s_(on_s), opening_s_(on_s.size(), HUGE_VAL), travel_m_(travel_m) {}
  void take(double from_s, double to_s, double lift_m) {
    while (next_ < on_s_.size() && on_s_[next_] < to_s) {
      ++next_;
      rises_ = false;
    }
    if (lift_m < 0.5 * travel_m_) rises_ = true;
    if (next_ > 0 && rises_ && before_m_ > 0.9 * travel_m_ && lift_m <= before_m_) {
      opening_s_[next_ - 1] = std::min(opening_s_[next_ - 1], from_s - on_s_[next_ - 1]);
      rises_ = false;
    }
    before_m_ = lift_m;
  }
  double opening_s(std::size_t pulse) const {
    return std::isfinite(opening_s_[pulse]) ? opening_s_[pulse] : TrainPulse{}.opening_s;
  }

 private:
  const std::vector<double>& on_s_;
  std::vector<double> opening_s_;
  double travel_m_;
  double before_m_ = 0.0;
  std::size_t next_ = 0;
  bool rises_ = false;
};

double overlap_s(double from_s, double to_s, double a_s, double b_s) {
  return std::max(0.0, std::min(to_s, b_s) - std::max(from_s, a_s));
}

}  // namespace

std::vector<TrainPulse> run_train(const model::RowUnitParams& row,
                                  const model::SolverParams& solver, const PulseTrain& train,
                                  const TrainWatch& watch) {
  model::RowUnit unit = unit_for_trains(row, solver);
  return run_train(unit, row, train, watch);
}

model::RowUnit unit_for_trains(const model::RowUnitParams& row, const model::SolverParams& solver) {
  const model::DenormalGuard guard;
  return {row, solver, 0.0};
}

std::vector<TrainPulse> run_train(model::RowUnit& unit, const model::RowUnitParams& row,
                                  const PulseTrain& train, const TrainWatch& watch) {
  const model::DenormalGuard guard;
  unit.come_to_rest(train.pressure_pa);
  const double dt_s = static_cast<double>(unit.fit().step_ns) * 1e-9;
  const std::vector<double> on_s = on_commands_s(train);
  std::vector<PulseCommand> commands;
  for (const double at_s : on_s) commands.push_back({at_s, at_s + train.on_time_s});
  PulseRecord record(
      std::move(commands),
      {.speed_mps = train.ground_speed_mps,
       .jet = train.jet,
       .dribble_mps = model::dribble_speed_mps(row.liquid, row.outlet),
       .steady_m3ps = model::steady_flow_m3ps(row, train.pressure_pa, row.valve.plunger.travel_m),
       .owned_after_s = 0.9 * unit.fit().tube_travel_time_s});
  const double end_s = on_s.back() + train.on_time_s + kRunOut_s;
  std::size_t next_on = 0;  // first pulse that is not yet switched off
  std::size_t last_on = 0;  // last pulse that was switched on
  std::vector<double> largest_vapour_m3(on_s.size(), 0.0);
  StopFinder stop(on_s, row.valve.plunger.travel_m);
  for (long long step = 0; static_cast<double>(step) * dt_s < end_s; ++step) {
    const double from_s = static_cast<double>(step) * dt_s;
    const double to_s = from_s + dt_s;
    double drive_s = 0.0;
    while (next_on < on_s.size() && on_s[next_on] + train.on_time_s <= from_s) ++next_on;
    for (std::size_t k = next_on; k < on_s.size() && on_s[k] < to_s; ++k)
      drive_s += overlap_s(from_s, to_s, on_s[k], on_s[k] + train.on_time_s);
    const double drive_ratio = drive_s / dt_s;
    const auto out = unit.step({.supply_pressure_pa = train.pressure_pa,
                                .supply_voltage_v = train.voltage_v,
                                .current_limit_a = train.current_limit_a,
                                .drive_ratio = drive_ratio,
                                .fast_decay_ratio = train.fast_decay ? 1.0 - drive_ratio : 0.0});
    if (out.fault != model::RowFault::kNone)
      throw BenchError("the nominal row left physics while it was tuned");
    record.take(from_s, to_s, out);
    stop.take(from_s, to_s, out.lift_m);
    if (step % kStepsBetweenLooks == 0) {
      while (last_on + 1 < on_s.size() && on_s[last_on + 1] <= from_s) ++last_on;
      largest_vapour_m3[last_on] = std::max(largest_vapour_m3[last_on], unit.line_vapour_m3());
    }
    if (watch) watch(from_s, to_s, out);
  }
  std::vector<TrainPulse> pulses;
  for (const RecordedPulse& pulse : record.finish())
    pulses.push_back({.band = pulse.band,
                      .lead_s = pulse.band.start_x_ground_m / train.ground_speed_mps,
                      .lag_s = pulse.band.end_x_ground_m / train.ground_speed_mps - train.on_time_s,
                      .largest_lift_m = pulse.largest_lift_m,
                      .opening_s = stop.opening_s(pulses.size()),
                      .least_lift_after_m = pulse.least_lift_after_m,
                      .largest_vapour_m3 = largest_vapour_m3[pulses.size()]});
  return pulses;
}

}  // namespace sim::bench
