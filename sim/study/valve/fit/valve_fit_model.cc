#include "sim/study/valve/fit/valve_fit_model.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "model/denormals.h"
#include "model/valve/copper.h"
#include "sim/bench/pass.h"
#include "sim/scenario/loader.h"
#include "sim/statistics/spread.h"

namespace sim::valve {
namespace {

constexpr double kBefore_s = 0.2;
constexpr double kAfter_s = 10e-3;
constexpr double kFirstOn_s = 1e-3;
constexpr double kPhase_s = 10e-6;
constexpr double kBin_s = 5e-6;
constexpr double kEmfBin_s = 100e-6;
constexpr double kClear_s = 60e-6;    // after the current has ended, until filters and diode settle
constexpr double kEdgeStep_s = 2e-6;  // a step of the fit's model
constexpr int kEnoughRested = 3;
constexpr int kQuiet = 5;  // samples without current that show its end

bool usable(const TraceFindings& findings, std::size_t k) {
  const TracePulse& pulse = findings.pulses[k];
  return (pulse.faults & (kPulseMissing | kPulseLate | kPulseSticking)) == 0 &&
         pulse.off_s > pulse.on_s && pulse.lift_ratio == pulse.lift_ratio;
}

bool rested(const TraceFindings& findings, std::size_t k) {
  return k == 0 || findings.pulses[k].on_s - findings.pulses[k - 1].off_s >= kBefore_s;
}

/// Takes the samples; those that lie closer than a bin are averaged.
void take_samples(const ValveTrace& trace, const TraceFindings& findings, double from_s,
                  double to_s, double start_s, FitPulse& pulse) {
  const auto first = std::lower_bound(trace.time_s.begin(), trace.time_s.end(), from_s);
  auto k = static_cast<std::size_t>(first - trace.time_s.begin());
  while (k < trace.size() && trace.time_s[k] < to_s) {
    double count_ratio = 0.0, time_s = 0.0, current_a = 0.0, voltage_v = 0.0;
    const double bin_s = trace.time_s[k];
    for (; k < trace.size() && trace.time_s[k] < std::min(bin_s + kBin_s, to_s); ++k) {
      count_ratio += 1.0;
      time_s += trace.time_s[k];
      current_a += static_cast<double>(trace.current_a[k]);
      if (!trace.voltage_v.empty()) voltage_v += static_cast<double>(trace.voltage_v[k]);
    }
    time_s /= count_ratio;
    pulse.time_s.push_back(time_s - start_s);
    pulse.current_a.push_back(current_a / count_ratio - findings.offset_a -
                              findings.drift_aps * (time_s - trace.time_s.front()));
    if (!trace.voltage_v.empty()) pulse.voltage_v.push_back(voltage_v / count_ratio);
  }
}

/// Takes out the samples beside a command's edge. Eddy currents make the current step there, and
/// the model, driven by the mean voltage of its steps, spreads that step over two of them.
void drop_near(double edge_s, double sample_hz, FitPulse& pulse) {
  const double clear_s = 1.0 / sample_hz + 2.0 * kEdgeStep_s;
  const auto from = static_cast<std::size_t>(
      std::lower_bound(pulse.time_s.begin(), pulse.time_s.end(), edge_s - clear_s) -
      pulse.time_s.begin());
  const auto to = static_cast<std::size_t>(
      std::upper_bound(pulse.time_s.begin(), pulse.time_s.end(), edge_s + clear_s) -
      pulse.time_s.begin());
  for (std::vector<double>* column : {&pulse.time_s, &pulse.current_a, &pulse.voltage_v}) {
    if (column->empty()) continue;
    column->erase(column->begin() + static_cast<std::ptrdiff_t>(from),
                  column->begin() + static_cast<std::ptrdiff_t>(to));
  }
}

/// Standard error of a pulse's mean driven voltage; 0 where none was recorded.
double supply_se_v(const ValveTrace& trace, const TracePulse& pulse) {
  if (trace.voltage_v.empty()) return 0.0;
  const auto place = [&](double time_s) {
    return static_cast<std::size_t>(
        std::lower_bound(trace.time_s.begin(), trace.time_s.end(), time_s) - trace.time_s.begin());
  };
  double count_ratio = 0.0, square = 0.0;  // tidy: unit V2
  // The samples beside the edges may belong to either side.
  for (std::size_t k = place(pulse.on_s) + 1; k + 2 < place(pulse.off_s); ++k) {
    const double off_mean_v = static_cast<double>(trace.voltage_v[k]) - pulse.supply_v;
    count_ratio += 1.0;
    square += off_mean_v * off_mean_v;
  }
  return count_ratio > 1.0 ? std::sqrt(square / (count_ratio - 1.0) / count_ratio) : 0.0;
}

/// Noise of the averaged samples; the voltage's is measured in the millisecond before the command.
void find_noise(const ValveTrace& trace, const TraceFindings& findings, double on_s,
                FitPulse& pulse) {
  const double bins_ratio = std::max(1.0, kBin_s * findings.sample_hz);
  const double quantum_a = findings.quantum_a / statistics::kWidthOfEvenSpread_ratio;
  pulse.current_noise_a = std::max({findings.noise_a, quantum_a, 1e-6}) / std::sqrt(bins_ratio);
  if (trace.voltage_v.empty()) return;
  double count_ratio = 0.0, sum_v = 0.0, square = 0.0;  // tidy: unit V2
  auto k = static_cast<std::size_t>(
      std::lower_bound(trace.time_s.begin(), trace.time_s.end(), on_s - 1e-3) -
      trace.time_s.begin());
  for (; k < trace.size() && trace.time_s[k] < on_s - 1.5 / findings.sample_hz; ++k) {
    const auto volts_v = static_cast<double>(trace.voltage_v[k]);
    count_ratio += 1.0;
    sum_v += volts_v;
    square += volts_v * volts_v;
  }
  const double mean_v = count_ratio > 0.0 ? sum_v / count_ratio : 0.0;
  const double variance = count_ratio > 3.0 ? square / count_ratio - mean_v * mean_v : 1.0;
  pulse.voltage_noise_v =
      std::max(std::sqrt(std::max(variance, 0.0)), 1e-3) / std::sqrt(bins_ratio);
}

/// First sample at which the coil is without current; the number of samples where there is none.
std::size_t end_of_current(const FitPulse& pulse) {
  int quiet = 0;
  for (std::size_t k = pulse.first_after_off; k < pulse.time_s.size(); ++k) {
    quiet = std::abs(pulse.current_a[k]) < 4.0 * pulse.current_noise_a ? quiet + 1 : 0;
    if (quiet == kQuiet)
      return static_cast<std::size_t>(
          std::lower_bound(pulse.time_s.begin(), pulse.time_s.end(), pulse.time_s[k] + kClear_s) -
          pulse.time_s.begin());
  }
  return pulse.time_s.size();
}

void bin_emf(FitPulse& pulse) {
  if (pulse.voltage_v.empty()) return;
  const double sample_s =
      (pulse.time_s.back() - pulse.time_s.front()) / static_cast<double>(pulse.time_s.size() - 1);
  const auto each = static_cast<std::size_t>(std::max(1.0, std::round(kEmfBin_s / sample_s)));
  for (std::size_t k = end_of_current(pulse); k + each <= pulse.time_s.size(); k += each) {
    const auto first = pulse.voltage_v.begin() + static_cast<std::ptrdiff_t>(k);
    const auto last = first + static_cast<std::ptrdiff_t>(each);
    const auto count_ratio = static_cast<double>(each);
    const auto [least, most] = std::minmax_element(first, last);
    const double jump_v = (*most - *least) / count_ratio / statistics::kWidthOfEvenSpread_ratio;
    pulse.emf.push_back(
        {.from_s = pulse.time_s[k] - 0.5 * sample_s,
         .to_s = pulse.time_s[k + each - 1] + 0.5 * sample_s,
         .mean_v = std::accumulate(first, last, 0.0) / count_ratio,
         .noise_v = std::sqrt(pulse.voltage_noise_v * pulse.voltage_noise_v / count_ratio +
                              jump_v * jump_v)});
  }
}

void add_pulse(const ValveTrace& trace, const TraceFindings& findings, std::size_t k,
               std::size_t command, FitRun& run) {
  const TracePulse& own = findings.pulses[k];
  FitPulse pulse{.command = command};
  double to_s = own.off_s + kAfter_s;
  if (k + 1 < findings.pulses.size()) to_s = std::min(to_s, findings.pulses[k + 1].on_s);
  take_samples(trace, findings, own.on_s, to_s, run.start_s, pulse);
  if (findings.coil && findings.coil->reluctance.eddy_ohm > 0.0) {
    drop_near(own.on_s - run.start_s, findings.sample_hz, pulse);
    drop_near(own.off_s - run.start_s, findings.sample_hz, pulse);
  }
  while (pulse.first_after_off < pulse.time_s.size() &&
         pulse.time_s[pulse.first_after_off] < own.off_s - run.start_s)
    ++pulse.first_after_off;
  find_noise(trace, findings, own.on_s, pulse);
  bin_emf(pulse);
  if (pulse.time_s.size() >= kFewestSamples) run.pulses.push_back(pulse);
}

/// The runs of the chosen pulses; neighbours whose lead-in times overlap share one run.
std::vector<FitRun> runs_of(const ValveTrace& trace, const TraceFindings& findings,
                            const std::vector<std::size_t>& chosen) {
  std::vector<FitRun> runs;
  std::size_t next = 0;  // the first command that is in no run yet
  for (const std::size_t k : chosen) {
    std::size_t first = k;
    while (first > 0 && findings.pulses[first - 1].on_s > findings.pulses[k].on_s - kBefore_s)
      --first;
    if (runs.empty() || first >= next) {
      // Each run starts at another phase of the solver's steps, so that their effect averages out.
      const double phase_ratio = 0.6180339887498949 * static_cast<double>(runs.size());
      runs.push_back({.start_s = findings.pulses[first].on_s - kFirstOn_s +
                                 kPhase_s * (phase_ratio - std::floor(phase_ratio))});
      next = first;
    }
    FitRun& run = runs.back();
    for (; next <= k; ++next) {
      run.commands.push_back(
          {findings.pulses[next].on_s - run.start_s, findings.pulses[next].off_s - run.start_s});
      run.supply_v.push_back(findings.pulses[next].supply_v);
      run.supply_se_v.push_back(supply_se_v(trace, findings.pulses[next]));
    }
    add_pulse(trace, findings, k, run.commands.size() - 1, run);
  }
  std::erase_if(runs, [](const FitRun& run) { return run.pulses.empty(); });
  return runs;
}

double at(const std::vector<double>& values, double place_ratio) {  // tidy: unit the column's own
  const auto k = static_cast<std::size_t>(std::max(place_ratio, 0.0));
  if (k + 1 >= values.size()) return values.back();
  const double share_ratio = std::max(place_ratio, 0.0) - static_cast<double>(k);
  return values[k] + share_ratio * (values[k + 1] - values[k]);
}

/// Mean voltage over the step: the supply while driven, after a command that of the decay.
double terminals_v(const FitRun& run, const rig::RigSetup& setup, std::size_t first, double from_s,
                   double step_s) {
  const double to_s = from_s + step_s;
  double volt_s = 0.0;
  for (std::size_t k = first; k < run.commands.size() && run.commands[k].on_s < to_s; ++k) {
    const bench::PulseCommand& command = run.commands[k];
    volt_s += run.supply_v[k] *
              std::max(0.0, std::min(to_s, command.off_s) - std::max(from_s, command.on_s));
    const double next_s = k + 1 < run.commands.size() ? run.commands[k + 1].on_s : to_s;
    volt_s += rig::released_v(setup, run.supply_v[k]) *
              std::max(0.0, std::min(to_s, next_s) - std::max(from_s, command.off_s));
  }
  return volt_s / step_s;
}

}  // namespace

std::vector<FitRun> choose_pulses(const ValveTrace& trace, const TraceFindings& findings,
                                  int most) {
  // Pulses of one kind agree in width to half a millisecond and in voltage to half a volt.
  std::vector<std::pair<std::pair<long, long>, std::vector<std::size_t>>> kinds;
  // After another pulse the column still sloshes, and its model is not accurate to the microsecond.
  int rests = 0;
  for (std::size_t k = 0; k < findings.pulses.size(); ++k)
    rests += usable(findings, k) && rested(findings, k) ? 1 : 0;
  const bool any_rested = rests >= kEnoughRested;
  for (std::size_t k = 0; k < findings.pulses.size(); ++k) {
    if (!usable(findings, k) || (any_rested && !rested(findings, k))) continue;
    const TracePulse& pulse = findings.pulses[k];
    const std::pair<long, long> kind{std::lround((pulse.off_s - pulse.on_s) * 2e3),
                                     std::lround(pulse.supply_v * 2.0)};
    const auto found = std::find_if(kinds.begin(), kinds.end(),
                                    [&](const auto& one) { return one.first == kind; });
    if (found == kinds.end())
      kinds.push_back({kind, {k}});
    else
      found->second.push_back(k);
  }
  std::vector<std::size_t> chosen;
  for (std::size_t round = 0; static_cast<int>(chosen.size()) < most; ++round) {
    bool any = false;
    for (const auto& [kind, pulses] : kinds) {
      if (round >= pulses.size() || static_cast<int>(chosen.size()) >= most) continue;
      // Pulses are taken from all over the trace, not only from its start.
      const std::size_t take = std::min(pulses.size(), static_cast<std::size_t>(most));
      chosen.push_back(pulses[round < take ? round * pulses.size() / take : round]);
      any = true;
    }
    if (!any) break;
  }
  std::sort(chosen.begin(), chosen.end());
  chosen.erase(std::unique(chosen.begin(), chosen.end()), chosen.end());
  return runs_of(trace, findings, chosen);
}

FitCourse model_course(const rig::RigSetup& setup, const model::Valve& valve, const FitRun& run,
                       std::int64_t step_ns) {
  const model::DenormalGuard guard;
  model::RowUnitParams row = rig::row_of(setup);
  row.valve = valve;
  model::SolverParams solver = setup.solver;
  solver.step_ns = step_ns;
  // The fast form of the valve jumps where an impact moves through a step: it has no usable slope.
  solver.reference_valve = true;
  model::RowUnit unit(row, solver, setup.supply_pa);
  const double dt_s = static_cast<double>(unit.fit().step_ns) * 1e-9;
  const double end_s = run.pulses.back().time_s.back() + 4.0 * dt_s;
  const model::Coil& coil = valve.coil;
  FitCourse course{.step_s = dt_s,
                   .resistance_ohm = model::copper_ohm(coil.resistance_ohm, coil.temperature_k)};
  std::size_t next = 0;
  for (double from_s = 0.0; from_s < end_s;
       from_s = static_cast<double>(course.current_a.size()) * dt_s) {
    while (next + 1 < run.commands.size() && run.commands[next + 1].on_s < from_s) ++next;
    // The terminals' mean voltage drives the coil; once its current is zero, the diodes block.
    const model::RowStepOutput out =
        unit.step({.supply_pressure_pa = setup.supply_pa,
                   .supply_voltage_v = terminals_v(run, setup, next, from_s, dt_s),
                   .current_limit_a = setup.drive.current_limit_a,
                   .drive_ratio = 1.0});
    if (out.fault != model::RowFault::kNone)
      throw bench::BenchError(
          fmt::format("valve: the row left physics at {:.6f} ms", from_s * 1e3));
    course.current_a.push_back(out.current_a);
    course.lift_m.push_back(out.lift_m);
    course.linkage_vs.push_back(coil.force_law == model::ForceLaw::kReluctance
                                    ? out.linkage_vs
                                    : coil.inductance_h * out.current_a +
                                          coil.force_constant_npa * out.lift_m);
  }
  return course;
}

FitSamples samples_of(const FitCourse& course, const FitPulse& pulse, const EdgeShift& shift) {
  FitSamples samples;
  for (std::size_t i = 0; i < pulse.time_s.size(); ++i) {
    const double late_s = i < pulse.first_after_off ? shift.on_s : shift.off_s;
    const double place_ratio = (pulse.time_s[i] - late_s) / course.step_s - 1.0;
    samples.current_a.push_back(at(course.current_a, place_ratio));
    samples.lift_m.push_back(at(course.lift_m, place_ratio));
  }
  for (const EmfBin& bin : pulse.emf) {
    const double from_ratio = (bin.from_s - shift.off_s) / course.step_s - 1.0;
    const double to_ratio = (bin.to_s - shift.off_s) / course.step_s - 1.0;
    // While a diode still conducts, the terminals stand at its voltage; the drop along the winding
    // then balances the linkage's rate.
    const double ohmic_v = 0.5 * course.resistance_ohm *
                           (at(course.current_a, from_ratio) + at(course.current_a, to_ratio));
    samples.emf_v.push_back(ohmic_v +
                            (at(course.linkage_vs, to_ratio) - at(course.linkage_vs, from_ratio)) /
                                (bin.to_s - bin.from_s));
  }
  return samples;
}

}  // namespace sim::valve
