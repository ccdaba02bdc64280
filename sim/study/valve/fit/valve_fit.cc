#include "sim/study/valve/fit/valve_fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "model/valve/copper.h"
#include "sim/scenario/loader.h"
#include "sim/statistics/quantiles.h"
#include "sim/study/rig/valve_drive.h"
#include "sim/study/valve/fit/valve_fit_hold.h"
#include "sim/study/valve/trace/trace_iron.h"

namespace sim::valve {
namespace {

constexpr double kHardlyTold_ratio = 0.8;  // of what the setup's value counts as known to
constexpr double kStudent_ratio = 3.182;   // 97.5 % point of Student's t, 3 degrees of freedom

/// Variance that held unknowns leave in the told ones. A held value counts as known to `told_ratio`
/// of itself (if it were known better it would be told), or better where the trace limits it; mass
/// and seat count as exact.
///   h = change of the residuals by the held unknown, r = (J'J)^-1 J'h
///   variance += r r' / (|h - J r|^2 + 1/prior^2)
Eigen::VectorXd held_variance(const FitProblem& problem, const Settled& settled,
                              double told_ratio) {
  Eigen::VectorXd variance = Eigen::VectorXd::Zero(settled.fit.x.size());
  const model::Valve valve = problem.valve_at(settled.fit.x);
  for (std::size_t k = 0; k < problem.unknowns.size(); ++k) {
    if (settled.why_held[k].empty() || gives_scale(problem.unknowns[k])) continue;
    model::Valve as_held = valve;
    const double unit =
        std::min(judged_against(problem.unknowns[k], valve),  // tidy: unit of x
                 problem.unknowns[k].logarithm ? 1.0 : problem.unknowns[k].in(as_held));
    if (!(unit > 0.0)) continue;
    const Eigen::VectorXd h = problem.change_by(settled.fit.x, k, kFitStep_ns);
    const Eigen::VectorXd r = response_of(settled.fit, h);
    const double prior = told_ratio * unit / statistics::kTwoSided95_ratio;  // tidy: unit of x
    const double own = (h - settled.fit.jacobian * r).squaredNorm();  // tidy: unit of x to the -2
    variance += r.cwiseAbs2() / (own + 1.0 / (prior * prior));
  }
  return variance;
}

void write_values(const FitProblem& problem, const Settled& settled, const rig::RigSetup& setup,
                  double told_ratio, ValveFit& fit) {
  const Eigen::VectorXd gain = response_of(settled.fit, problem.gain_rows());
  // The effect of other step sizes: the error of the discretisation, rounding of instants included.
  Eigen::VectorXd by_steps = Eigen::VectorXd::Zero(settled.fit.x.size());
  const std::array<std::int64_t, 3> other_ns = {2 * kFitStep_ns, kFitStep_ns * 3 / 2,
                                                kFitStep_ns * 5 / 4};
  for (const std::int64_t step_ns : other_ns)
    by_steps +=
        response_of(settled.fit, problem.residuals(settled.fit.x, step_ns) - settled.fit.left)
            .cwiseAbs2() /
        static_cast<double>(other_ns.size());
  // The voltage that drives a pulse is a mean of noisy samples. A resistance known to 0.01 %
  // depends on it as much as on the current.
  Eigen::VectorXd by_supply = Eigen::VectorXd::Zero(settled.fit.x.size());
  for (const Eigen::VectorXd& change : problem.supply_rows(settled.fit.x, kFitStep_ns))
    by_supply += response_of(settled.fit, change).cwiseAbs2();
  const Eigen::VectorXd by_held = held_variance(problem, settled, told_ratio);
  model::Valve setup_valve = setup.part.valve;
  for (std::size_t k = 0; k < problem.unknowns.size(); ++k) {
    const Unknown& unknown = problem.unknowns[k];
    FittedValue value{.key = unknown.key, .name = unknown.name};
    value.setup_si = unknown.in(setup_valve);
    value.value_si = unknown.in(fit.valve);
    value.why_held = settled.why_held[k];
    for (std::size_t j = 0; j < problem.free.size(); ++j) {
      if (problem.free[j] != k) continue;
      const auto at = static_cast<Eigen::Index>(j);
      const double by_gain = setup.bench.probe_gain_tolerance_ratio * gain(at);  // tidy: unit of x
      const double own = settled.fit.half_width(at);                             // tidy: unit of x
      const double by_step = kStudent_ratio * std::sqrt(by_steps(at));           // tidy: unit of x
      const double by_others =                                                   // tidy: unit of x
          statistics::kTwoSided95_ratio * std::sqrt(by_supply(at) + by_held(at));
      const double half = std::sqrt(own * own + by_gain * by_gain + by_step * by_step +
                                    by_others * by_others);  // tidy: unit of x
      value.told = true;
      value.half_width_si = half * (unknown.logarithm ? value.value_si : unknown.scale_si);
      if (unknown.known_ratio > 0.0 && half > kHardlyTold_ratio * unknown.known_ratio) {
        value.told = false;
        value.why_held = fmt::format(
            "the trace adds little to the setup's value, which counts as known to {:.0f} %",
            100.0 * unknown.known_ratio);
      }
    }
    fit.values.push_back(value);
  }
  const auto told = static_cast<Eigen::Index>(problem.free.size());
  fit.correlation = Eigen::MatrixXd::Identity(told, told);
  for (Eigen::Index i = 0; i < told; ++i)
    for (Eigen::Index j = 0; j < told; ++j)
      if (i != j)
        fit.correlation(i, j) =
            settled.fit.covariance(i, j) /
            std::sqrt(settled.fit.covariance(i, i) * settled.fit.covariance(j, j));
}

void write_curves(const FitProblem& problem, const SquaresFit& solved, const rig::RigSetup& setup,
                  ValveFit& fit) {
  const FitRun& run = problem.runs().front();
  const FitPulse& first = run.pulses.front();
  const bench::PulseCommand& command = run.commands[first.command];
  const FitSamples samples = samples_of(model_course(setup, fit.valve, run, kFitStep_ns), first,
                                        problem.shifts_of(0, solved.x).front());
  FitCurve curve{.on_s = run.start_s + command.on_s, .off_s = run.start_s + command.off_s};
  for (std::size_t i = 0; i < first.time_s.size(); ++i) {
    curve.time_s.push_back(first.time_s[i] - command.on_s);
    curve.measured_a.push_back(first.current_a[i]);
    curve.modelled_a.push_back(samples.current_a[i]);
    curve.lift_m.push_back(samples.lift_m[i]);
  }
  fit.curves.push_back(curve);
  rig::RigSetup fitted = setup;
  fitted.part.valve = fit.valve;
  fitted.solver.step_ns = kFitStep_ns;
  rig::ValveConditions conditions = rig::conditions_of(fitted);
  conditions.supply_v = run.supply_v[first.command];
  const std::vector<bench::PulseCommand> commands(
      run.commands.begin(), run.commands.begin() + static_cast<std::ptrdiff_t>(first.command) + 1);
  const rig::TimedPulse pulse = rig::drive_valve(fitted, conditions, commands, 0.02).back();
  fit.first_motion_after_s = pulse.first_motion_s;
  fit.at_stop_after_s = pulse.at_stop_s;
  fit.left_stop_after_s = pulse.left_stop_s;
  fit.seated_after_s = pulse.seated_s;
}

}  // namespace

ValveFit fit_valve(const rig::RigSetup& setup, const ValveTrace& trace,
                   const TraceFindings& findings, const FitOptions& options,
                   const std::atomic<bool>* stop) {
  std::vector<FitRun> pulses = choose_pulses(trace, findings, options.most_pulses);
  if (pulses.empty())
    throw text::InputError(
        "no pulse of the trace can be fitted: each is missing, late, sticking or has a "
        "gap");
  model::Valve start = setup.part.valve;
  if (findings.resistance_ohm.seen()) {
    start.coil.resistance_ohm =
        findings.resistance_ohm.value / model::copper_ohm(1.0, start.coil.temperature_k);
  }
  if (findings.inductance_h.seen()) start.coil.inductance_h = findings.inductance_h.value;
  if (findings.coil) {
    start.coil.reluctance = findings.coil->reluctance;
    keep_physical(start.coil, start.plunger.travel_m);
  }
  const double linkage_vs =  // tidy: unit V s
      start.coil.force_constant_npa * start.plunger.travel_m;
  if (findings.linkage_vs.seen() && findings.linkage_vs.value > 0.0)
    start.plunger.travel_m *= std::clamp(findings.linkage_vs.value / linkage_vs, 0.5, 2.0);
  FitProblem problem(setup, std::move(pulses), findings.sample_hz, start);
  const Settled settled = settle(problem, options.told_ratio, stop);
  if (!settled.fit.solved)
    throw text::InputError(
        "the trace shows none of the valve's values: its pulses are too short, too noisy or "
        "sampled too seldom");
  ValveFit fit;
  fit.valve = problem.valve_at(settled.fit.x);
  fit.pulses = static_cast<int>(problem.pulses());
  fit.evaluations = settled.fit.evaluations;
  fit.probe_gain_tolerance_ratio = setup.bench.probe_gain_tolerance_ratio;
  fit.noise_a = problem.runs().front().pulses.front().current_noise_a;
  fit.misfit_ratio = std::sqrt(problem.current_square_ratio(settled.fit.left));
  fit.residual_a = fit.misfit_ratio * fit.noise_a;
  fit.misfit = more_than_noise(problem, settled.fit);
  write_values(problem, settled, setup, options.told_ratio, fit);
  write_curves(problem, settled.fit, setup, fit);
  if (fit.misfit)
    fit.notes.push_back(
        std::string("The model cannot follow this trace within its noise: ") +
        (findings.coil ? "iron of another kind than the setup's, "
                       : "eddy currents in the iron, ") +
        "a filter in the probe or other hydraulics than the setup's are "
        "likely. Values and intervals below hold only as far as that does not matter.");
  return fit;
}

}  // namespace sim::valve
