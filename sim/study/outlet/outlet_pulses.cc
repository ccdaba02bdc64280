#include "sim/study/outlet/outlet_pulses.h"

#include <algorithm>
#include <cmath>

#include "sim/bench/pulse_train.h"
#include "sim/bench/row_fixed.h"
#include "sim/study/tune/tune.h"

namespace sim::outlet {
namespace {

/// The second pulse meets the slosh of the first, the sixth that of a settled train.
constexpr int kTrainPulses = 6;
constexpr double kMostDuty_ratio = 0.5;

/// Level crossings of one pulse's outlet flow, interpolated linearly between the middles of steps.
class ShapeWatch {
 public:
  ShapeWatch(const bench::PulseTrain& train, double steady_m3ps, double owned_after_s)
      : train_(train), steady_m3ps_(steady_m3ps), owned_after_s_(owned_after_s) {}

  void take(double from_s, double to_s, const model::RowStepOutput& out) {
    const double middle_s = 0.5 * (from_s + to_s);
    if (pulse_ + 1 < train_.pulses && middle_s >= on_s(pulse_ + 1) + owned_after_s_) close();
    const double flow_ratio = out.outlet_flow_m3ps / steady_m3ps_;
    const double off_s = on_s(pulse_) + train_.on_time_s;
    if (flow_ratio > last_ratio_) {
      keep_first(up10_s_, crossing_s(0.1, middle_s, flow_ratio));
      keep_first(up90_s_, crossing_s(0.9, middle_s, flow_ratio));
    } else if (middle_s > off_s) {
      const double down90_s = crossing_s(0.9, middle_s, flow_ratio);
      if (!std::isnan(down90_s) && std::isnan(down10_s_)) down90_s_ = down90_s;
      keep_first(down50_s_, crossing_s(0.5, middle_s, flow_ratio));
      keep_first(down10_s_, crossing_s(0.1, middle_s, flow_ratio));
      keep_first(down05_s_, crossing_s(0.05, middle_s, flow_ratio));
    }
    last_s_ = middle_s;
    last_ratio_ = flow_ratio;
    void_m3_ = out.valve_cavity_m3 + out.outlet_void_m3;
    largest_void_m3_ = std::max(largest_void_m3_, void_m3_);
  }
  /// The longest of each time over all pulses, once the train is over.
  PulseShape worst() {
    close();
    return worst_;
  }
  bool shuts() const { return shuts_; }
  double void_m3() const { return void_m3_; }
  double largest_void_m3() const { return largest_void_m3_; }

 private:
  double on_s(int pulse) const { return train_.period_s * pulse; }
  static void keep_first(double& kept_s, double at_s) {
    if (std::isnan(kept_s)) kept_s = at_s;
  }
  // Not-a-number where the flow did not cross the level in this step.
  double crossing_s(double level_ratio, double now_s, double now_ratio) const {
    if ((last_ratio_ < level_ratio) == (now_ratio < level_ratio)) return kNever_s;
    return last_s_ + (now_s - last_s_) * (level_ratio - last_ratio_) / (now_ratio - last_ratio_);
  }
  static void keep_longer(double& kept_s, double one_s) {
    if (std::isnan(kept_s) || one_s > kept_s) kept_s = one_s;
  }
  void close() {
    keep_longer(worst_.rise_s, up90_s_ - up10_s_);
    keep_longer(worst_.fall_s, down10_s_ - down90_s_);
    keep_longer(worst_.tail_s, down05_s_ - down50_s_);
    shuts_ = shuts_ && !std::isnan(down05_s_);
    up10_s_ = up90_s_ = down90_s_ = down50_s_ = down10_s_ = down05_s_ = kNever_s;
    ++pulse_;
  }

  static constexpr double kNever_s = std::numeric_limits<double>::quiet_NaN();
  bench::PulseTrain train_;
  double steady_m3ps_, owned_after_s_;
  int pulse_ = 0;
  double last_s_ = 0.0, last_ratio_ = 0.0;
  double up10_s_ = kNever_s, up90_s_ = kNever_s;
  double down90_s_ = kNever_s, down50_s_ = kNever_s, down10_s_ = kNever_s, down05_s_ = kNever_s;
  double void_m3_ = 0.0, largest_void_m3_ = 0.0;
  bool shuts_ = true;
  PulseShape worst_;
};

struct Watched {
  std::vector<bench::TrainPulse> pulses;
  PulseShape shape;
  bool shuts = true;
  double void_m3 = 0.0, largest_void_m3 = 0.0;
};

Watched watch_train(const scenario::Scenario& scenario, const bench::PulseTrain& train) {
  const model::RowUnitParams row = bench::nominal_liquid_path(scenario);
  const double steady_m3ps =
      model::steady_flow_m3ps(row, train.pressure_pa, row.valve.plunger.travel_m);
  ShapeWatch watch(train, steady_m3ps, 0.9 * row.tube.length_m / row.tube.wave_speed_mps);
  Watched watched;
  watched.pulses =
      bench::run_train(row, scenario.solver, train,
                       [&](double from_s, double to_s, const model::RowStepOutput& out) {
                         watch.take(from_s, to_s, out);
                       });
  watched.shape = watch.worst();
  for (const bench::TrainPulse& pulse : watched.pulses)
    watched.shape.secondary_ratio =
        std::max(watched.shape.secondary_ratio, pulse.band.secondary_ratio);
  watched.shuts = watch.shuts();
  watched.void_m3 = watch.void_m3();
  watched.largest_void_m3 = watch.largest_void_m3();
  return watched;
}

bench::PulseTrain train_of(const scenario::Scenario& scenario, double pressure_pa) {
  return {.pressure_pa = pressure_pa,
          .voltage_v = scenario.supply.voltage_v,
          .current_limit_a = scenario.attachment.hold_current_a,
          .ground_speed_mps = tune::judged_speed_mps(scenario),
          .on_time_s = scenario.rate.band_length_m / tune::judged_speed_mps(scenario),
          .period_s = 1.0,
          .jet = scenario.attachment.jet};
}

bool has_band(const bench::TrainPulse& pulse) {
  return std::isfinite(pulse.lead_s) && std::isfinite(pulse.lag_s) && pulse.band.dose_m3 > 0.0;
}

RateFigures figures_at(const scenario::Scenario& scenario, bench::PulseTrain train,
                       double rate_hz) {
  RateFigures figures{.rate_hz = rate_hz};
  figures.speed_mps =
      std::min(rate_hz * scenario.seeding.meter.spacing_m, tune::judged_speed_mps(scenario));
  figures.on_time_s =
      std::min(scenario.rate.band_length_m / figures.speed_mps, kMostDuty_ratio / rate_hz);
  train.ground_speed_mps = figures.speed_mps;
  train.on_time_s = figures.on_time_s;
  train.pulses = 1;
  const Watched alone = watch_train(scenario, train);
  train.pulses = kTrainPulses;
  train.period_s = 1.0 / rate_hz;
  const Watched together = watch_train(scenario, train);
  figures.worst = together.shape;
  figures.follows = together.shuts && has_band(alone.pulses[0]);
  for (std::size_t k = 1; k < together.pulses.size() && figures.follows; ++k) {
    const bench::TrainPulse& pulse = together.pulses[k];
    figures.follows = has_band(pulse);
    figures.lead_change_s =
        std::max(figures.lead_change_s, std::abs(pulse.lead_s - alone.pulses[0].lead_s));
    figures.lag_change_s =
        std::max(figures.lag_change_s, std::abs(pulse.lag_s - alone.pulses[0].lag_s));
    figures.dose_change_ratio =
        std::max(figures.dose_change_ratio,
                 std::abs(pulse.band.dose_m3 / alone.pulses[0].band.dose_m3 - 1.0));
  }
  return figures;
}

void keep_worst(PulseShape& worst, const PulseShape& one) {
  const auto keep = [](double& kept, double value) {
    if (std::isnan(kept) || value > kept) kept = value;
  };
  keep(worst.rise_s, one.rise_s);
  keep(worst.fall_s, one.fall_s);
  keep(worst.tail_s, one.tail_s);
  keep(worst.secondary_ratio, one.secondary_ratio);
}

}  // namespace

double RateFigures::change_m() const {
  return follows ? std::max(lead_change_s, lag_change_s) * speed_mps : HUGE_VAL;
}

bool PulseFigures::follows() const {
  return std::all_of(rates.begin(), rates.end(), [](const RateFigures& r) { return r.follows; });
}

double PulseFigures::interference_m() const {
  double most_m = 0.0;
  for (const RateFigures& rate : rates) most_m = std::max(most_m, rate.change_m());
  return most_m;
}

double PulseFigures::dose_change_ratio() const {
  double most_ratio = 0.0;
  for (const RateFigures& rate : rates) most_ratio = std::max(most_ratio, rate.dose_change_ratio);
  return most_ratio;
}

double PulseFigures::worst_rate_hz() const {
  double most_m = -1.0, at_hz = 0.0;
  for (const RateFigures& rate : rates)
    if (rate.change_m() > most_m) {
      most_m = rate.change_m();
      at_hz = rate.rate_hz;
    }
  return at_hz;
}

PulseFigures pulse_figures(const scenario::Scenario& scenario, double pressure_pa,
                           std::span<const double> rates_hz) {
  PulseFigures figures;
  bench::PulseTrain train = train_of(scenario, pressure_pa);
  const Watched alone = watch_train(scenario, train);
  figures.alone = figures.worst = alone.shape;
  figures.largest_void_m3 = alone.largest_void_m3;
  figures.void_at_rest_m3 = alone.void_m3;
  const double rate_hz = tune::judged_speed_mps(scenario) / scenario.seeding.meter.spacing_m;
  bench::PulseTrain pass = train;
  pass.pulses = kTrainPulses;
  pass.period_s = 1.0 / rate_hz;
  pass.on_time_s = std::min(train.on_time_s, kMostDuty_ratio / rate_hz);
  figures.void_of_train_m3 = watch_train(scenario, pass).void_m3;
  for (const double each_hz : rates_hz) {
    figures.rates.push_back(figures_at(scenario, train, each_hz));
    keep_worst(figures.worst, figures.rates.back().worst);
  }
  return figures;
}

}  // namespace sim::outlet
