#include "sim/study/valve/invented_trace.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/valve/wear.h"
#include "sim/bench/pass.h"
#include "sim/bench/random.h"
#include "sim/scenario/loader.h"
#include "sim/study/rig/valve_drive.h"

namespace sim::valve {
namespace {

constexpr double kApart_s = 20e-3;           // for plunger and current to come to rest
constexpr double kMostSamples_ratio = 12e6;  // 60 s at 200 kHz: less than the reader's 1 GB
constexpr double kUsualRange_a = 5.0;        // where the setup does not state the probe's range

/// One pulse's histories over the time after its command on, and the volume that has left the
/// outlet by each instant.
struct LonePulse {
  double on_s = 0.0;
  rig::ValveHistory history;
  std::vector<double> volume_m3;
};

double at(const std::vector<double>& time_s, const std::vector<double>& values,  // tidy: unit the
          double wanted_s) {                                                     // column's own
  const auto after = std::upper_bound(time_s.begin(), time_s.end(), wanted_s);
  if (after == time_s.begin()) return 0.0;
  if (after == time_s.end()) return values.back();
  const auto k = static_cast<std::size_t>(after - time_s.begin());
  const double share_ratio = (wanted_s - time_s[k - 1]) / (time_s[k] - time_s[k - 1]);
  return values[k - 1] + share_ratio * (values[k] - values[k - 1]);
}

LonePulse pulse_of(const rig::RigSetup& setup, double on_s, double friction_n,
                   const std::atomic<bool>* stop) {
  LonePulse pulse{.on_s = on_s};
  rig::RigSetup run = setup;
  run.part.valve.plunger.coulomb_friction_n = friction_n;
  const bench::PulseCommand command{0.0, on_s};
  rig::drive_valve(run, rig::conditions_of(run), {&command, 1},
                   std::max(kApart_s, setup.drive.period_s - on_s), stop, &pulse.history);
  double sum_m3 = 0.0, before_s = 0.0;
  for (std::size_t k = 0; k < pulse.history.time_s.size(); ++k) {
    sum_m3 += pulse.history.outlet_flow_m3ps[k] * (pulse.history.time_s[k] - before_s);
    before_s = pulse.history.time_s[k];
    pulse.volume_m3.push_back(sum_m3);
  }
  return pulse;
}

double rate_of(const rig::ValveHistory& history, const std::vector<double>& values,  // tidy: unit
               double after_s) {                                                     // per second
  constexpr double kAcross_s = 20e-6;
  return (at(history.time_s, values, after_s + kAcross_s) -
          at(history.time_s, values, after_s - kAcross_s)) /
         (2.0 * kAcross_s);
}

double terminals_v(const rig::RigSetup& setup, const LonePulse& pulse, double after_s,
                   double current_a) {
  constexpr double kBlocked_a = 1e-6;
  if (after_s < pulse.on_s) return setup.drive.supply_v;
  if (current_a > kBlocked_a) return rig::released_v(setup, setup.drive.supply_v);
  const rig::ValveHistory& history = pulse.history;
  if (setup.part.valve.coil.force_law == model::ForceLaw::kReluctance)
    return rate_of(history, history.linkage_vs, after_s);
  return setup.part.valve.coil.force_constant_npa * rate_of(history, history.lift_m, after_s);
}

/// The pulses of the drive, each kind simulated once.
class PulsesInTurn {
 public:
  PulsesInTurn(const rig::RigSetup& setup, const std::atomic<bool>* stop) : setup_(setup) {
    std::vector<double> widths_s = {setup.drive.on_time_s};
    if (setup.bench.widths_in_turn && !setup.programme.widths_s.empty())
      widths_s = setup.programme.widths_s;
    for (const double on_s : widths_s) {
      usual_.push_back(pulse_of(setup, on_s, setup.part.valve.plunger.coulomb_friction_n, stop));
      if (setup.bench.odd_every > 0)
        odd_.push_back(pulse_of(setup, on_s, setup.bench.odd_friction_n, stop));
    }
  }
  const LonePulse& pulse(int number) const {
    const auto kind = static_cast<std::size_t>(number) % usual_.size();
    const bool odd = setup_.bench.odd_every > 0 && (number + 1) % setup_.bench.odd_every == 0;
    return odd ? odd_[kind] : usual_[kind];
  }

 private:
  const rig::RigSetup& setup_;
  std::vector<LonePulse> usual_, odd_;
};

void check_apart(const rig::RigSetup& setup) {
  if (setup.inlet != rig::RigInlet::kChain)
    throw text::InputError(setup.name + ": a trace needs a valve; take [inlet] out");
  double longest_s = setup.drive.on_time_s;
  if (setup.bench.widths_in_turn)
    for (const double on_s : setup.programme.widths_s) longest_s = std::max(longest_s, on_s);
  const double samples_ratio =
      (setup.drive.first_on_s + setup.drive.period_s * setup.drive.pulses) * setup.bench.sample_hz;
  if (samples_ratio > kMostSamples_ratio)
    throw text::InputError(fmt::format(
        "{}: bench.sample_rate: the trace of {} pulses would have {:.3g} samples, at most {:.3g}: "
        "take fewer drive.pulses, a shorter drive.period or drive.first_on, or a lower rate",
        setup.name, setup.drive.pulses, samples_ratio, kMostSamples_ratio));
  if (setup.drive.pulses > 1 && setup.drive.period_s < longest_s + kApart_s)
    throw text::InputError(
        fmt::format("{}: drive.period: in an invented trace each pulse must come to rest: at least "
                    "\"{:.4g} ms\"",
                    setup.name, (longest_s + kApart_s) * 1e3));
}

}  // namespace

ValveTrace invent_trace(const rig::RigSetup& setup, const std::atomic<bool>* stop) {
  check_apart(setup);
  const rig::RigDrive& drive = setup.drive;
  const rig::RigBench& bench = setup.bench;
  const PulsesInTurn pulses(setup, stop);
  const double leak_m3ps =
      model::leak_m3pspa(setup.part.valve, setup.liquid.liquid) * setup.supply_pa;
  const double range_a = bench.probe_range_a > 0.0 ? bench.probe_range_a : kUsualRange_a;
  const double quantum_a = 2.0 * range_a / static_cast<double>(1LL << bench.bits);
  const bench::RandomStream stream;
  ValveTrace trace;
  const double end_s = drive.first_on_s + drive.period_s * drive.pulses;
  double before_m3 = leak_m3ps * drive.first_on_s;  // out before the present command
  int now = 0;
  for (std::uint64_t k = 0; static_cast<double>(k) < end_s * bench.sample_hz; ++k) {
    if (stop != nullptr && k % 4096 == 0 && stop->load(std::memory_order_relaxed))
      throw bench::Interrupted("interrupted");
    const double time_s = static_cast<double>(k) / bench.sample_hz;
    const auto number = static_cast<int>(std::floor((time_s - drive.first_on_s) / drive.period_s));
    for (; now < number; ++now) before_m3 += pulses.pulse(now).volume_m3.back();
    const bool pulsing = number >= 0;
    const LonePulse& pulse = pulses.pulse(std::max(number, 0));
    const double after_s = time_s - drive.first_on_s - number * drive.period_s;
    const double current_a =
        pulsing ? at(pulse.history.time_s, pulse.history.current_a, after_s) : 0.0;
    const double noisy_a =
        current_a + bench.current_noise_a * stream.normal_ratio(bench::Purpose::kBenchCurrent, k);
    trace.time_s.push_back(time_s);
    trace.command_ratio.push_back(pulsing && after_s < pulse.on_s ? 1.0F : 0.0F);
    trace.voltage_v.push_back(static_cast<float>(
        (pulsing ? terminals_v(setup, pulse, after_s, current_a) : 0.0) +
        bench.voltage_noise_v * stream.normal_ratio(bench::Purpose::kBenchVoltage, k)));
    trace.current_a.push_back(static_cast<float>(quantum_a * std::round(noisy_a / quantum_a)));
    if (!bench.weighed) continue;
    const double volume_m3 = pulsing
                                 ? before_m3 + at(pulse.history.time_s, pulse.volume_m3, after_s)
                                 : leak_m3ps * time_s;
    trace.mass_kg.push_back(static_cast<float>(volume_m3 * setup.liquid.liquid.density_kgpm3));
  }
  return trace;
}

std::string trace_csv(const ValveTrace& trace) {
  std::string text = "time [s],command [1],voltage [V],current [A]";
  text += trace.mass_kg.empty() ? "\n" : ",mass [g]\n";
  for (std::size_t k = 0; k < trace.size(); ++k) {
    text += fmt::format(
        "{:.7g},{:.0f},{:.3f},{:.5f}", trace.time_s[k], static_cast<double>(trace.command_ratio[k]),
        static_cast<double>(trace.voltage_v[k]), static_cast<double>(trace.current_a[k]));
    if (!trace.mass_kg.empty())
      text += fmt::format(",{:.5f}", static_cast<double>(trace.mass_kg[k]) * 1e3);
    text += "\n";
  }
  return text;
}

}  // namespace sim::valve
