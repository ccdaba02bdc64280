// Order: commands, probe, coil, courses; then coil and courses twice more, each with what the other
// found. Pulses are analysed in parallel, results are placed by index, and sums run in order.
#include "sim/study/valve/trace/trace_pulses.h"

#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <cmath>

#include "sim/statistics/quantiles.h"
#include "sim/statistics/spread.h"
#include "sim/study/valve/trace/trace_course.h"
#include "sim/study/valve/trace/trace_faults.h"
#include "sim/study/valve/trace/trace_flow.h"
#include "sim/study/valve/trace/trace_iron_fit.h"

namespace sim::valve {
namespace {

constexpr double kMassKnown_ratio = 0.30;
constexpr double kMuchWorse_ratio = 2.0;
constexpr double kLong_ratio = 0.5;  // of the longest command

class Analysis {
 public:
  Analysis(const ValveTrace& trace, const TraceReading& reading)
      : trace_(trace),
        reading_(reading),
        clock_(clock_of(trace)),
        commands_(commands_of(trace)),
        rests_(rest_before(trace, commands_)),
        probe_(probe_of(trace, rests_)) {
    refuse_saturated(trace, probe_, rests_, reading.probe_range_a);
    courses_.resize(commands_.size());
    heads_.resize(commands_.size());
    valve_.step_s = clock_.step_s;
  }

  TraceFindings run() {
    if (reading_.coil.force_law == model::ForceLaw::kReluctance)
      first_iron();
    else
      first_coil();
    if (coil_.told) {
      for (int round = 0; round < 3; ++round) look_again(round);
    }
    return findings();
  }

 private:
  PulseWindow window(std::size_t pulse) const {
    return window_of(trace_, commands_, pulse, clock_, probe_, reading_);
  }

  // What is kept of a window: the figures that later steps need, but no samples.
  static PulseWindow head_of(const PulseWindow& window) {
    PulseWindow head;
    head.first = window.first, head.on = window.on, head.off = window.off;
    head.known = window.known, head.on_trace_s = window.on_trace_s, head.off_s = window.off_s;
    head.driven_v = window.driven_v, head.hold_a = window.hold_a, head.gap = window.gap;
    head.closing_known = window.closing_known, head.released_v = window.released_v;
    return head;
  }

  void use(const CoilFigures& coil) {
    coil_ = coil;
    // A slow motion of the plunger, smaller than half the noise, can lie in the stretches that are
    // taken for still ones. It does so in every pulse alike, so averaging does not remove it.
    double most_a = 0.0;
    for (const PulseWindow& head : heads_) most_a = std::max(most_a, head.hold_a);
    const double hidden_h = most_a > 0.0 ? 0.5 * coil.inductance_h * probe_.noise_a / most_a : 0.0;
    coil_.inductance_sd_h = statistics::root_of_squares(coil.inductance_sd_h, hidden_h);
    valve_.resistance_ohm = coil.resistance_ohm;
    valve_.inductance_h = coil.inductance_h;
    valve_.inductance_sd_h = coil_.inductance_sd_h;
    valve_.noise_vs = coil.inductance_h * probe_.noise_a;
  }

  void first_coil() {
    std::vector<CoilSums> sums(commands_.size());
    oneapi::tbb::parallel_for(std::size_t{0}, commands_.size(), [&](std::size_t p) {
      const PulseWindow seen = window(p);
      heads_[p] = head_of(seen);
      if (!seen.gap) sums[p] = surely_still(seen);
    });
    CoilSums all;
    for (const CoilSums& one : sums) all.take(one);
    use(coil_of(all, probe_.noise_a));
  }

  // Before the pulses are known: the setup's circuit with the steady current's resistance.
  void first_iron() {
    oneapi::tbb::parallel_for(std::size_t{0}, commands_.size(),
                              [&](std::size_t p) { heads_[p] = head_of(window(p)); });
    const Found resistance_ohm = held_resistance();
    if (!resistance_ohm.seen()) return;
    stated_ = reading_.coil;
    stated_.resistance_ohm = resistance_ohm.value;
    use_iron({.told = true, .coil = stated_, .resistance_sd_ohm = resistance_ohm.sd});
    if (!coil_.told) return;
    // In the shortest commands the plunger still flies when the longest have it at the stop.
    double longest_s = 0.0;
    for (const PulseWindow& head : heads_) longest_s = std::max(longest_s, head.off_s);
    std::vector<std::size_t> held;
    for (std::size_t p = 0; p < heads_.size(); ++p)
      if (heads_[p].off_s > kLong_ratio * longest_s) held.push_back(p);
    // Whether the pulses open is not known yet: what explains the stretches better is taken.
    IronFit first;
    for (const bool opened : {true, false}) {
      std::vector<IronPulse> pulses;
      const std::size_t count = std::min(held.size(), kMostIronPulses);
      for (std::size_t k = 0; k < count; ++k) {
        PulseWindow seen = window(held[k * held.size() / count]);
        if (seen.gap) continue;
        std::vector<StillSpan> spans = surely_still_spans(seen, opened);
        pulses.push_back({std::move(seen), std::move(spans)});
      }
      const IronFit fit = fit_iron(pulses, stated_, reading_.travel_m, probe_.noise_a);
      if (fit.told && (!first.told || fit.misfit_ratio < first.misfit_ratio)) first = fit;
    }
    if (first.told) use_iron(first);
    coil_.misfit_ratio = 0.0;
  }

  void use_iron(const IronFit& fit) {
    std::vector<double> holds_a, starts_a;
    for (const PulseWindow& head : heads_) holds_a.push_back(head.hold_a);
    for (const PulseCourse& course : courses_)
      if (course.up.found && course.stopped) starts_a.push_back(course.up.start_a);
    const double hold_a = statistics::upper_median_of(holds_a);
    if (!(hold_a > 10.0 * probe_.noise_a)) return;
    coil_ = {.told = fit.told,
             .resistance_ohm = fit.coil.resistance_ohm,
             .resistance_sd_ohm = fit.resistance_sd_ohm,
             .inductance_h = fit.coil.inductance_h,
             .inductance_sd_h = fit.inductance_sd_h,
             .misfit_ratio = fit.misfit_ratio};
    iron_ = {.coil = fit.coil,
             .travel_m = reading_.travel_m,
             .constant_npa = equal_constant_npa(fit.coil, reading_.travel_m, hold_a),
             .noise_a = probe_.noise_a,
             .lift_off_a = starts_a.empty() ? kFirstShare_ratio * hold_a
                                            : statistics::upper_median_of(starts_a)};
    valve_.resistance_ohm = coil_.resistance_ohm;
    valve_.inductance_h = coil_.inductance_h;
    valve_.noise_vs = equal_noise_vs(iron_, hold_a);
    valve_.iron = &iron_;
    const double drive = iron_.constant_npa * iron_.constant_npa / reading_.mass_kg;
    valve_.drive = {drive, kMassKnown_ratio / statistics::kTwoSided95_ratio * drive};
  }

  void fit_still_iron() {
    // Pulses that opened fully, or surely not at all, from all over the trace.
    std::vector<std::size_t> useful;
    for (std::size_t p = 0; p < courses_.size(); ++p)
      if (!courses_[p].spans.empty() && (courses_[p].stopped || !courses_[p].moved))
        useful.push_back(p);
    std::vector<IronPulse> pulses;
    const std::size_t count = std::min(useful.size(), kMostIronPulses);
    for (std::size_t k = 0; k < count; ++k) {
      const std::size_t p = useful[k * useful.size() / count];
      pulses.push_back({window(p), courses_[p].spans});
    }
    const IronFit better = fit_iron(pulses, stated_, reading_.travel_m, probe_.noise_a);
    // Stretches in which the plunger moved after all show as a circuit that explains less.
    const bool first = coil_.misfit_ratio == 0.0;
    if (better.told && (first || better.misfit_ratio < kMuchWorse_ratio * coil_.misfit_ratio)) {
      use_iron(better);
      valve_.linkage_vs = iron_.constant_npa * iron_.travel_m;
    }
  }

  void look_again(int round) {
    valve_.quick = round < 1;
    oneapi::tbb::parallel_for(std::size_t{0}, commands_.size(), [&](std::size_t p) {
      courses_[p] = {};
      const PulseWindow seen = window(p);
      if (!seen.gap) courses_[p] = course_of(seen, valve_);
    });
    for (std::size_t p = 0; p < heads_.size(); ++p)
      heads_[p].closing_known = heads_[p].closing_known && std::isinf(courses_[p].seen_until_s);
    if (round == 2) return;
    take_common(round);
    if (valve_.iron != nullptr) {
      fit_still_iron();
      return;
    }
    CoilSums all;
    for (const PulseCourse& course : courses_) all.take(course.still);
    const CoilFigures better = coil_of(all, probe_.noise_a);
    if (better.told) use(better);
  }

  // Height of the linkage at the stop and the drive's constant, from all pulses that show them.
  void take_common(int round) {
    std::vector<double> heights_vs, drives, answers;
    for (const PulseCourse& course : courses_) {
      if (course.stopped) heights_vs.push_back(course.stop.level_vs - course.still_vs);
      if (!course.up.found || !course.stopped) continue;
      drives.push_back(course.up.drive_ratio);
      answers.push_back(course.up.drive_sd_ratio);
    }
    if (!heights_vs.empty()) {
      const double highest_vs = *std::max_element(heights_vs.begin(), heights_vs.end());
      std::erase_if(heights_vs, [&](double height_vs) { return height_vs < 0.5 * highest_vs; });
      valve_.linkage_vs = statistics::upper_median_of(heights_vs);
    }
    if (round == 0 || drives.empty() || valve_.iron != nullptr) return;
    const double middle = statistics::upper_median_of(drives);
    std::vector<double> off;
    for (const double drive : drives) off.push_back(std::abs(drive - middle));
    const auto count = static_cast<double>(drives.size());
    const double spread =
        drives.size() > 2 ? 1.5 * statistics::upper_median_of(off) / std::sqrt(count) : middle;
    valve_.drive = {middle,
                    std::max({0.10 * middle, spread, statistics::upper_median_of(answers)})};
  }

  // An instant after a command's edge. Its sd combines its own, the edge's and a share of a sample.
  Found after(double at_s, double sd_s, double edge_s, double edge_sd_s, bool few) const {
    const double sampling_s = (few ? 0.3 : 0.1) * clock_.step_s;
    return {at_s - edge_s, statistics::root_of_squares(sd_s, edge_sd_s, sampling_s)};
  }

  PulseSpan span_of(std::size_t p) const {
    return {.shut_before = p > 0 ? commands_[p - 1].off : 0,
            .on = commands_[p].on,
            .off = commands_[p].off,
            .next_on = p + 1 < commands_.size() ? commands_[p + 1].on : trace_.size()};
  }

  TracePulse pulse(std::size_t p, const Found& leak) const {
    const PulseCourse& course = courses_[p];
    const PulseWindow& head = heads_[p];
    TracePulse pulse;
    const double off_s = head.off_s + course.off_shift_s;
    pulse.on_s = head.on_trace_s + course.on_shift_s;
    pulse.off_s = head.on_trace_s + off_s;
    const double before_s =
        p > 0 ? heads_[p - 1].on_trace_s + heads_[p - 1].off_s : trace_.time_s.front();
    pulse.still_s = pulse.on_s - before_s;
    pulse.hold_a = head.hold_a;
    pulse.supply_v = head.driven_v;
    if (head.gap) return pulse;
    const bool few =
        course.stop.found && course.stop.at_s - course.up.start_s < 12.0 * clock_.step_s;
    if (valve_.linkage_vs > 0.0 && course.moved)
      pulse.lift_ratio = course.height_vs / valve_.linkage_vs;
    if (course.up.found) {
      // With a handful of samples on the way the start is known to one sample at best.
      const double start_sd_s =
          statistics::root_of_squares(course.up.start_sd_s, few ? clock_.step_s : 0.0);
      pulse.first_motion_after_s =
          after(course.up.start_s, start_sd_s, course.on_shift_s, course.on_sd_s, few);
      pulse.lift_off_a = course.up.start_a;
    }
    if (course.stopped)
      pulse.at_stop_after_s =
          after(course.stop.at_s, course.stop.at_sd_s, course.on_shift_s, course.on_sd_s, few);
    if (course.down.found)
      pulse.left_stop_after_s =
          after(course.down.start_s, course.down.start_sd_s, off_s, course.off_sd_s, few);
    // Where only the voltage shows the landing, it lies anywhere between two samples.
    const double between_s = !trace_.voltage_v.empty() && decay() == rig::CurrentDecay::kFast
                                 ? 0.4 * clock_.step_s
                                 : 0.0;
    if (course.seat.found)
      pulse.seated_after_s =
          after(course.seat.at_s, statistics::root_of_squares(course.seat.at_sd_s, between_s),
                off_s, course.off_sd_s, few);
    pulse.bounce_s = course.stop_bounce_s;
    pulse.seat_bounce_s = course.seat_bounce_s;
    take_flow(trace_, head, span_of(p), reading_, leak, pulse);
    return pulse;
  }

  TraceFindings findings() const {
    TraceFindings found;
    found.sample_hz = 1.0 / clock_.step_s;
    found.gaps = clock_.gaps;
    found.longest_gap_s = clock_.longest_gap_s;
    found.duration_s = trace_.time_s.back() - trace_.time_s.front();
    found.noise_a = probe_.noise_a;
    found.quantum_a = probe_.quantum_a;
    found.offset_a = probe_.offset_a;
    found.drift_aps = probe_.drift_aps;
    found.decay = decay();
    if (coil_.told) {
      found.resistance_ohm = {coil_.resistance_ohm, coil_.resistance_sd_ohm};
      if (valve_.iron == nullptr || coil_.inductance_sd_h > 0.0)
        found.inductance_h = {coil_.inductance_h, coil_.inductance_sd_h};
      found.misfit_ratio = coil_.misfit_ratio;
    } else {
      found.resistance_ohm = held_resistance();
    }
    if (valve_.iron == nullptr) {
      take_linkage(found);
    } else {
      found.coil = iron_.coil;
    }
    take_liquid_means(trace_, commands_, rests_, reading_, found);
    found.pulses.resize(commands_.size());
    oneapi::tbb::parallel_for(std::size_t{0}, commands_.size(),
                              [&](std::size_t p) { found.pulses[p] = pulse(p, found.leak_m3ps); });
    if (coil_.told) mark_faults(courses_, heads_, reading_, found.pulses);
    for (const TracePulse& one : found.pulses)
      found.closing_seen = found.closing_seen || one.seated_after_s.seen();
    say_what_is_open(trace_, reading_, courses_, probe_.rested, found);
    return found;
  }

  // The decay that the voltage shows; without that column, the one that the trace is read with.
  rig::CurrentDecay decay() const {
    if (trace_.voltage_v.empty()) return reading_.decay;
    const PulseWindow& head = heads_.front();
    return head.released_v < -0.3 * head.driven_v ? rig::CurrentDecay::kFast
                                                  : rig::CurrentDecay::kSlow;
  }

  // The resistance from the ends of the commands alone, where the trace does not give the
  // inductance.
  Found held_resistance() const {
    std::vector<double> ohms, off;
    for (const PulseWindow& head : heads_)
      if (head.hold_a > 10.0 * probe_.noise_a) ohms.push_back(head.driven_v / head.hold_a);
    if (ohms.empty()) return {};
    const double middle = statistics::upper_median_of(ohms);
    for (const double ohm : ohms) off.push_back(std::abs(ohm - middle));
    const double by_noise = middle * probe_.noise_a / (heads_[0].driven_v / middle);
    const auto count = static_cast<double>(ohms.size());
    return {middle, std::max(1.5 * statistics::upper_median_of(off), by_noise) / std::sqrt(count)};
  }

  void take_linkage(TraceFindings& found) const {
    double sum_vs = 0.0, squares = 0.0, count = 0.0;
    for (const PulseCourse& course : courses_) {
      if (!course.stopped) continue;
      const double height_vs = course.stop.level_vs - course.still_vs;
      if (height_vs < 0.5 * valve_.linkage_vs) continue;
      sum_vs += height_vs, squares += height_vs * height_vs, count += 1.0;
    }
    if (count == 0.0) return;
    const double mean_vs = sum_vs / count;
    const double scatter =
        count > 1.0 ? std::max(0.0, (squares - count * mean_vs * mean_vs) / (count - 1.0))
                    : valve_.noise_vs * valve_.noise_vs;
    found.linkage_vs = {mean_vs, std::sqrt(scatter / count)};
  }

  const ValveTrace& trace_;
  const TraceReading& reading_;
  TraceClock clock_;
  std::vector<TraceCommand> commands_;
  std::vector<Stretch> rests_;
  ProbeFigures probe_;
  CoilFigures coil_;
  model::Coil stated_;  // of a reluctance solenoid: the setup's circuit, resistance as it was
  IronFigures iron_;
  ValveFigures valve_;
  std::vector<PulseCourse> courses_;
  std::vector<PulseWindow> heads_;
};

}  // namespace

TraceFindings analyse_trace(const ValveTrace& trace, const TraceReading& reading) {
  return Analysis(trace, reading).run();
}

}  // namespace sim::valve
