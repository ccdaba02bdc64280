#include "sim/study/valve/valve_bursts.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/bench/random.h"

namespace sim::valve {
namespace {

constexpr double kFirstOn_s = 1e-3;
constexpr double kLongestGap_s = 0.1;
constexpr double kClosedTo_s = 10e-6;
constexpr int kBurst = 10;
constexpr int kDuties = 19;  // 0.05 to 0.95

struct Spread {
  double mean = 0.0;  // tidy: unit the caller's
  double sd = 0.0;    // tidy: unit the caller's
};

template <class Of>
Spread spread_of(std::span<const rig::TimedPulse> pulses, const Of& of) {
  Spread spread;
  const auto n = static_cast<double>(pulses.size());
  for (const rig::TimedPulse& pulse : pulses) spread.mean += of(pulse) / n;
  for (const rig::TimedPulse& pulse : pulses)
    spread.sd += (of(pulse) - spread.mean) * (of(pulse) - spread.mean) / (n - 1.0);
  spread.sd = std::sqrt(spread.sd);
  return spread;
}

double mean_dose_m3(std::span<const rig::TimedPulse> pulses) {
  return spread_of(pulses, [](const rig::TimedPulse& pulse) { return pulse.dose_m3; }).mean;
}

double linear_share_ratio(const rig::RigSetup& setup, double rate_hz,
                          const std::atomic<bool>* stop) {
  std::vector<double> on_s, dose_m3;
  for (int k = 1; k <= kDuties; ++k) {
    on_s.push_back(0.05 * k / rate_hz);
    const std::vector<rig::TimedPulse> pulses =
        rig::drive_valve(setup, rig::conditions_of(setup),
                         even_train(on_s.back(), 1.0 / rate_hz, kBurst), 0.0, stop);
    // The first pulse starts from still liquid, and the flow of the last has not ended: the mean is
    // taken over the others.
    dose_m3.push_back(mean_dose_m3(std::span(pulses).subspan(1, pulses.size() - 2)));
  }
  const DoseLine line = longest_dose_line(on_s, dose_m3, setup.programme.linear_error_ratio);
  return line.found ? (line.to_s - line.from_s) * rate_hz : 0.0;
}

}  // namespace

std::vector<bench::PulseCommand> even_train(double on_s, double period_s, int pulses) {
  std::vector<bench::PulseCommand> commands;
  for (int k = 0; k < pulses; ++k) {
    const double at_s = kFirstOn_s + k * period_s;
    commands.push_back({at_s, at_s + on_s});
  }
  return commands;
}

double shortest_closed_s(const rig::RigSetup& setup, const std::atomic<bool>* stop) {
  const double on_s = setup.drive.on_time_s;
  const auto seats = [&](double gap_s) {
    const std::vector<rig::TimedPulse> pulses = rig::drive_valve(
        setup, rig::conditions_of(setup), even_train(on_s, on_s + gap_s, 2), 0.0, stop);
    return pulses[0].seated_s == pulses[0].seated_s;
  };
  double low_s = 0.0, high_s = kLongestGap_s;
  if (!seats(high_s)) return std::numeric_limits<double>::quiet_NaN();
  while (high_s - low_s > kClosedTo_s) {
    const double middle_s = 0.5 * (low_s + high_s);
    (seats(middle_s) ? high_s : low_s) = middle_s;
  }
  return high_s;
}

RepetitionRun run_repetition(const rig::RigSetup& setup, double rate_hz, double shortest_gap_s,
                             const std::atomic<bool>* stop) {
  RepetitionRun run{.rate_hz = rate_hz};
  const double period_s = 1.0 / rate_hz;
  run.on_s = std::min(setup.drive.on_time_s, period_s - shortest_gap_s);
  run.linear_share_ratio = linear_share_ratio(setup, rate_hz, stop);
  if (!(run.on_s > 0.0)) {
    run.on_s = 0.0;
    run.error_ratio = HUGE_VAL;
    return run;
  }
  run.duty_ratio = run.on_s * rate_hz;
  const rig::ValveConditions conditions = rig::conditions_of(setup);
  const double alone_m3 =
      rig::drive_valve(setup, conditions, even_train(run.on_s, period_s, 1), kSettle_s, stop)[0]
          .dose_m3;
  const std::vector<rig::TimedPulse> pulses =
      rig::drive_valve(setup, conditions, even_train(run.on_s, period_s, kBurst), kSettle_s, stop);
  run.seats_between = true;
  for (std::size_t k = 1; k + 1 < pulses.size(); ++k) {
    run.seats_between = run.seats_between && pulses[k].seated_s == pulses[k].seated_s;
    run.error_ratio = std::max(
        run.error_ratio, alone_m3 > 0.0 ? std::abs(pulses[k].dose_m3 / alone_m3 - 1.0) : HUGE_VAL);
  }
  return run;
}

RepeatFigures run_repeatability(const rig::RigSetup& setup, const std::atomic<bool>* stop) {
  RepeatFigures figures{.pulses = setup.programme.pulses, .period_s = setup.drive.period_s};
  const bench::RandomStream stream;
  const double on_s = setup.drive.on_time_s;
  std::vector<bench::PulseCommand> commands;
  double at_s = kFirstOn_s;
  for (int k = 0; k < figures.pulses + 2; ++k) {
    commands.push_back({at_s, at_s + on_s});
    const double score_ratio =
        stream.normal_ratio(bench::Purpose::kBenchPulse, static_cast<std::uint64_t>(k));
    at_s += std::max(on_s + 2e-3,
                     figures.period_s * (1.0 + setup.programme.scatter_ratio * score_ratio));
  }
  const std::vector<rig::TimedPulse> all =
      rig::drive_valve(setup, rig::conditions_of(setup), commands, kSettle_s, stop);
  const std::span<const rig::TimedPulse> pulses =
      std::span(all).subspan(1, static_cast<std::size_t>(figures.pulses));
  const Spread dose = spread_of(pulses, [](const rig::TimedPulse& pulse) { return pulse.dose_m3; });
  figures.dose_mean_m3 = dose.mean;
  figures.dose_sd_ratio =
      dose.mean > 0.0 ? dose.sd / dose.mean : std::numeric_limits<double>::quiet_NaN();
  figures.opening_sd_s =
      spread_of(pulses, [](const rig::TimedPulse& pulse) { return pulse.at_stop_s; }).sd;
  figures.closing_sd_s =
      spread_of(pulses, [](const rig::TimedPulse& pulse) { return pulse.seated_s; }).sd;
  return figures;
}

}  // namespace sim::valve
