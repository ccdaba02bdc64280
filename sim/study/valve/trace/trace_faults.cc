#include "sim/study/valve/trace/trace_faults.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/statistics/spread.h"

namespace sim::valve {
namespace {

constexpr double kBounce_ratio = 0.10;

const Found& opened(const TracePulse& pulse) {
  return pulse.at_stop_after_s.seen() ? pulse.at_stop_after_s : pulse.first_motion_after_s;
}

double median_seen(const std::vector<TracePulse>& pulses, const Found TracePulse::* figure) {
  std::vector<double> seen;
  for (const TracePulse& pulse : pulses)
    if ((pulse.*figure).seen()) seen.push_back((pulse.*figure).value);
  return statistics::upper_median_of(std::move(seen));
}

}  // namespace

void mark_faults(const std::vector<PulseCourse>& courses, const std::vector<PulseWindow>& heads,
                 const TraceReading& reading, std::vector<TracePulse>& pulses) {
  const double stop_s = median_seen(pulses, &TracePulse::at_stop_after_s);
  const double motion_s = median_seen(pulses, &TracePulse::first_motion_after_s);
  const double seated_s = median_seen(pulses, &TracePulse::seated_after_s);
  for (std::size_t p = 0; p < pulses.size(); ++p) {
    const PulseCourse& course = courses[p];
    TracePulse& pulse = pulses[p];
    if (heads[p].gap) continue;
    const auto mark = [&](PulseFault fault) {
      pulse.faults = static_cast<std::uint8_t>(pulse.faults | fault);
    };
    if (!course.moved) {
      mark(kPulseMissing);
      continue;
    }
    const double usual_s = pulse.at_stop_after_s.seen() ? stop_s : motion_s;
    if (opened(pulse).value - usual_s > reading.late_after_s) mark(kPulseLate);
    if (course.stop_bounce_ratio > kBounce_ratio || course.seat_bounce_ratio > kBounce_ratio)
      mark(kPulseBouncing);
    if (!course.stopped) mark(kPulseClipped);
    if (pulse.seated_after_s.value - seated_s > reading.late_after_s) mark(kPulseSticking);
    // A reluctance solenoid shows the plunger only while its field lasts.
    const bool long_seen =
        heads[p].closing_known || (std::isfinite(course.seen_until_s) &&
                                   course.seen_until_s - seated_s > reading.late_after_s);
    if (course.stopped && long_seen && !course.released) mark(kPulseSticking);
  }
}

void say_what_is_open(const ValveTrace& trace, const TraceReading& reading,
                      const std::vector<PulseCourse>& courses, bool rested,
                      TraceFindings& findings) {
  std::vector<std::string>& say = findings.cannot_tell;
  const double step_s = 1.0 / findings.sample_hz;
  const auto pulses = courses.size();
  std::size_t moved = 0, stops = 0, leaves = 0;
  for (std::size_t p = 0; p < pulses; ++p) {
    moved += courses[p].moved ? 1 : 0;
    stops += findings.pulses[p].at_stop_after_s.seen() ? 1 : 0;
    leaves += findings.pulses[p].left_stop_after_s.seen() ? 1 : 0;
  }
  const bool iron = reading.coil.force_law == model::ForceLaw::kReluctance;
  std::size_t seats = 0;
  for (const TracePulse& pulse : findings.pulses) seats += pulse.seated_after_s.seen() ? 1 : 0;
  if (iron && moved > 0 && seats == 0)
    say.emplace_back(
        "when the plunger lands on its seat: the coil's field has faded by then; slow decay would "
        "show it");
  else if (trace.voltage_v.empty() && reading.decay == rig::CurrentDecay::kFast)
    say.emplace_back(
        "when the plunger lands on its seat: with fast decay the current is gone by then; a column "
        "`voltage [V]` at the coil's terminals, or slow decay, would show it");
  if (step_s > 0.15e-3)
    say.push_back(fmt::format(
        "anything nearer than {:.2g} ms, one sample at {:.3g} kHz: a plunger's way takes about "
        "1 ms; 10 kHz shows landings, 100 kHz first motion too",
        step_s * 1e3, findings.sample_hz * 1e-3));
  if (moved > 0 && stops == 0 && step_s <= 0.15e-3)
    say.emplace_back("when the plunger reaches its stop: no kink stands out of the noise");
  if (moved > 0 && leaves == 0)
    say.emplace_back(
        "when the plunger leaves its stop: the current is gone too soon after the command for this "
        "sample rate and noise; slow decay, a voltage column or more samples would show it");
  if (!findings.inductance_h.seen())
    say.emplace_back(
        "the coil's inductance, and so whether the plunger moved and when: too few samples while "
        "the current rises and falls; more samples a second or longer commands would show them");
  if (!rested)
    say.emplace_back(
        "the probe's offset and drift: no rest is longer than the current needs to fade; a pause "
        "of 10 ms would show them");
  if (findings.misfit_ratio > 3.0)
    say.push_back(
        fmt::format("all of the coil by {}: they leave {:.1f} times the noise "
                    "over (a limited current, {}, a supply that sags); a voltage column tells more",
                    iron ? "the magnetic circuit of the setup's keys, moved to fit"
                         : "one resistance and one inductance",
                    findings.misfit_ratio, iron ? "iron of another kind" : "eddy currents"));
  if (!trace.mass_kg.empty() && trace.flow_m3ps.empty() && !findings.leak_m3ps.seen())
    say.emplace_back(
        "a leak when shut: no rest is longer than 0.4 s; weigh for a minute without pulses");
  if (findings.gaps > 0)
    say.push_back(
        fmt::format("{} gap{} in the samples, the longest {:.3g} ms: pulses there have "
                    "no times",
                    findings.gaps, findings.gaps == 1 ? "" : "s", findings.longest_gap_s * 1e3));
}

}  // namespace sim::valve
