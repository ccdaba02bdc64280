#include "sim/study/valve/valve_verdict.h"

#include <algorithm>
#include <cmath>

#include "sim/statistics/quantiles.h"
#include "sim/statistics/spread.h"

namespace sim::valve {
namespace {

constexpr double kZero_m3ps = 0.05e-6 / 60.0;  // 0.05 ml/min: the sheet shows tenths

bool seen(double value) { return value == value; }  // tidy: unit the caller's

struct Mean {
  double value = std::numeric_limits<double>::quiet_NaN();  // tidy: unit the caller's
  double half = 0.0;                                        // tidy: unit the caller's
};

/// Mean over the pulses that show the figure. `half`: from the scatter between pulses or from their
/// own variances, whichever is larger.
template <class Of>
Mean mean_of(const std::vector<TracePulse>& pulses, const Of& of) {
  double count_ratio = 0.0, sum = 0.0, own = 0.0;  // tidy: unit the caller's
  for (const TracePulse& pulse : pulses) {
    const Found found = of(pulse);
    if (!found.seen()) continue;
    count_ratio += 1.0;
    sum += found.value;
    own += found.sd * found.sd;
  }
  if (count_ratio == 0.0) return {};
  const double mean = sum / count_ratio;  // tidy: unit the caller's
  double scatter = 0.0;                   // tidy: unit the caller's, squared
  for (const TracePulse& pulse : pulses) {
    const Found found = of(pulse);
    if (found.seen()) scatter += (found.value - mean) * (found.value - mean);
  }
  const double within = own / count_ratio;  // tidy: unit the caller's, squared
  const double between =
      count_ratio > 1.0 ? scatter / (count_ratio - 1.0) : 0.0;  // tidy: unit same
  return {mean, statistics::kTwoSided95_ratio * std::sqrt(std::max(between, within) / count_ratio)};
}

/// Pulses that opened fully: neither missing nor clipped.
std::vector<TracePulse> good_pulses(const TraceFindings& findings) {
  std::vector<TracePulse> good;
  for (const TracePulse& pulse : findings.pulses)
    if ((pulse.faults & (kPulseMissing | kPulseClipped)) == 0) good.push_back(pulse);
  return good;
}

/// Whether all widths agree within 1 %: otherwise the doses differ by their widths.
bool one_width(const std::vector<TracePulse>& pulses) {
  double least_s = HUGE_VAL, most_s = 0.0;
  for (const TracePulse& pulse : pulses) {
    least_s = std::min(least_s, pulse.off_s - pulse.on_s);
    most_s = std::max(most_s, pulse.off_s - pulse.on_s);
  }
  return most_s < 1.01 * least_s;
}

ValveFigure time_figure(ValveFigureKind kind, const Mean& mean, const char* why_not) {
  ValveFigure figure{.kind = kind, .value_si = mean.value, .half_si = mean.half, .why_not = {}};
  if (!seen(mean.value)) figure.why_not = why_not;
  return figure;
}

const char* no_seat_words(const TraceFindings& findings) {
  return findings.coil ? "no landing on the seat is seen in the trace: use slow decay"
                       : "no landing on the seat is seen in the trace: record the coil's voltage, "
                         "or use slow decay";
}

/// Eddy currents step with the voltage as a command's edge does: all times of a reluctance
/// solenoid's trace share a shift of about half a sample, which no number of pulses averages out.
void share_edge(const TraceFindings& findings, std::vector<ValveFigure>& figures) {
  if (!findings.coil || !(findings.coil->reluctance.eddy_ohm > 0.0)) return;
  const double half_s = statistics::kTwoSided95_ratio * 0.5 / findings.sample_hz;
  for (ValveFigure& figure : figures)
    if (seen(figure.value_si) &&
        (figure.kind == ValveFigureKind::kOpening || figure.kind == ValveFigureKind::kClosing))
      figure.half_si = statistics::root_of_squares(figure.half_si, half_s);
}

ValveFigure odd_pulses(const TraceFindings& findings) {
  double odd_ratio = 0.0;
  for (const TracePulse& pulse : findings.pulses)
    if ((pulse.faults & (kPulseMissing | kPulseLate | kPulseSticking)) != 0) odd_ratio += 1.0;
  return {
      .kind = ValveFigureKind::kOddPulses,
      .value_si = odd_ratio / static_cast<double>(std::max<std::size_t>(findings.pulses.size(), 1)),
      .half_si = 0.0,
      .why_not = {}};
}

/// The resistance as it was: its value at 20 C would need the winding's temperature, which a trace
/// does not show.
ValveFigure resistance_figure(const TraceFindings& findings, const rig::RigSetup& setup) {
  ValveFigure figure{.kind = ValveFigureKind::kResistance};
  const double gain_ratio = setup.bench.probe_gain_tolerance_ratio;
  if (findings.resistance_ohm.seen()) {
    figure.value_si = findings.resistance_ohm.value;
    const double own_ohm = statistics::kTwoSided95_ratio * findings.resistance_ohm.sd;
    const double gain_ohm = gain_ratio * figure.value_si;
    figure.half_si = statistics::root_of_squares(own_ohm, gain_ohm);
    return figure;
  }
  // Where no resistance and inductance explain the current, the mean at the ends of the commands
  // still shows an open or a shorted coil.
  double supply_v = 0.0, hold_a = 0.0;
  for (const TracePulse& pulse : findings.pulses) {
    supply_v += pulse.supply_v;
    hold_a += std::abs(pulse.hold_a);
  }
  if (findings.pulses.empty() || !(supply_v > 0.0)) {
    figure.why_not = "no steady current in the trace";
    return figure;
  }
  const double least_a =
      std::max(hold_a, 3.0 * findings.noise_a * static_cast<double>(findings.pulses.size()));
  figure.value_si = least_a > 0.0 ? supply_v / least_a : HUGE_VAL;
  figure.half_si = std::isfinite(figure.value_si) ? gain_ratio * figure.value_si : 0.0;
  return figure;
}

/// Mean dose of each width, widths rising; widths within a tenth of a millisecond count as one.
void doses_by_width(const TraceFindings& findings, std::vector<double>& widths_s,
                    std::vector<double>& doses_m3) {
  constexpr double kSameWidth_s = 0.1e-3;
  std::vector<std::pair<double, double>> pulses;  // tidy: unit s, m3
  for (const TracePulse& pulse : findings.pulses)
    if (pulse.dose_m3.seen() && (pulse.faults & (kPulseLate | kPulseSticking)) == 0)
      pulses.emplace_back(pulse.off_s - pulse.on_s, pulse.dose_m3.value);
  std::sort(pulses.begin(), pulses.end());
  for (std::size_t k = 0; k < pulses.size();) {
    double count_ratio = 0.0, width_s = 0.0, dose_m3 = 0.0;
    const double first_s = pulses[k].first;
    for (; k < pulses.size() && pulses[k].first < first_s + kSameWidth_s; ++k) {
      count_ratio += 1.0;
      width_s += pulses[k].first;
      dose_m3 += pulses[k].second;
    }
    widths_s.push_back(width_s / count_ratio);
    doses_m3.push_back(dose_m3 / count_ratio);
  }
}

/// Smallest dose that repeats, from the trace's own doses: the shortest on the straight line and
/// what leaks in one period of the drive. Needs doses of at least three widths.
ValveFigure smallest_figure(const TraceFindings& findings, const rig::RigSetup& setup) {
  ValveFigure figure{.kind = ValveFigureKind::kSmallestDose};
  figure.why_not = "needs the doses of three widths or more";
  std::vector<double> widths_s, doses_m3;
  doses_by_width(findings, widths_s, doses_m3);
  if (widths_s.size() < 3) return figure;
  const DoseLine line = dose_line(widths_s, doses_m3, setup.programme.linear_error_ratio);
  if (!line.found) {
    figure.why_not = "the doses have no straight part";
    return figure;
  }
  const double leak_m3ps = seen(findings.leak_m3ps.value) ? findings.leak_m3ps.value : 0.0;
  const double leak_sd_m3ps = seen(findings.leak_m3ps.sd) ? findings.leak_m3ps.sd : 0.0;
  const double shortest_m3 = line.slope_m3ps * (line.from_s - line.dead_s);
  figure.value_si = std::max(0.0, leak_m3ps) * setup.drive.period_s + std::max(0.0, shortest_m3);
  const double by_leak_m3 = leak_sd_m3ps * setup.drive.period_s;
  figure.half_si =
      statistics::kTwoSided95_ratio * statistics::root_of_squares(line.from_sd_m3, by_leak_m3);
  return figure;
}

/// The leak while shut. A value below zero by more than its interval comes from the instrument.
ValveFigure leak_figure(const TraceFindings& findings) {
  const Found& leak = findings.leak_m3ps;
  ValveFigure figure{.kind = ValveFigureKind::kLeak};
  if (!leak.seen()) {
    figure.why_not = "no flow or collected mass at rest in the trace";
    return figure;
  }
  const double half_m3ps = statistics::kTwoSided95_ratio * leak.sd;
  if (leak.value + half_m3ps < -kZero_m3ps) {
    figure.why_not = "not known: flow or mass falls while the valve is shut; set the zero";
    return figure;
  }
  figure.value_si = std::max(0.0, leak.value);
  figure.half_si = half_m3ps;
  return figure;
}

LimitStanding standing_of(const ValveLimit& limit, const ValveFigure& figure) {
  if (!seen(figure.value_si)) return LimitStanding::kNotSeen;
  const double sign_ratio = limit.kind->at_most ? 1.0 : -1.0;
  const double beyond = sign_ratio * (figure.value_si - limit.limit_si);  // tidy: unit the figure's
  if (beyond > figure.half_si) return LimitStanding::kViolated;
  return beyond > -figure.half_si && figure.half_si > 0.0 ? LimitStanding::kUndecided
                                                          : LimitStanding::kHolds;
}

}  // namespace

std::vector<ValveFigure> figures_of(const ValveProgramme& programme) {
  const auto figure = [](ValveFigureKind kind, double value_si, const char* why_not) {
    return ValveFigure{.kind = kind,
                       .value_si = value_si,
                       .half_si = 0.0,
                       .why_not = seen(value_si) ? "" : why_not};
  };
  const rig::TimedPulse& pulse = programme.nominal;
  return {figure(ValveFigureKind::kSupply, programme.setup.drive.supply_v, ""),
          figure(ValveFigureKind::kResistance, programme.resistance_ohm, ""),
          figure(ValveFigureKind::kOpening, pulse.at_stop_s, "the plunger never reaches its stop"),
          figure(ValveFigureKind::kClosing, pulse.seated_s, "the plunger never lands on its seat"),
          figure(ValveFigureKind::kStopBounce, pulse.stop_bounce_s, ""),
          figure(ValveFigureKind::kSeatBounce, pulse.seat_bounce_s, ""),
          figure(ValveFigureKind::kLeak, programme.leak_m3ps, ""),
          figure(ValveFigureKind::kSmallestDose, programme.smallest_m3,
                 "not known: the doses have no straight part"),
          figure(ValveFigureKind::kRepetition, programme.highest_repetition_hz, ""),
          figure(ValveFigureKind::kRepeatability, programme.repeat.dose_sd_ratio,
                 "not known: the pulses pass no liquid"),
          figure(ValveFigureKind::kLifeUsed,
                 model::life_known(programme.setup.part.valve.wear)
                     ? programme.used_ratio
                     : std::numeric_limits<double>::quiet_NaN(),
                 "no life is stated")};
}

std::vector<ValveFigure> figures_of(const TraceFindings& findings, const rig::RigSetup& setup) {
  const std::vector<TracePulse> good = good_pulses(findings);
  std::vector<ValveFigure> figures = {
      time_figure(ValveFigureKind::kOpening,
                  mean_of(good, [](const TracePulse& p) { return p.at_stop_after_s; }),
                  "no landing at the stop is seen in the trace"),
      time_figure(ValveFigureKind::kClosing,
                  mean_of(good, [](const TracePulse& p) { return p.seated_after_s; }),
                  no_seat_words(findings)),
      odd_pulses(findings), resistance_figure(findings, setup)};
  share_edge(findings, figures);
  Mean supply = mean_of(findings.pulses,
                        [](const TracePulse& p) { return Found{.value = p.supply_v, .sd = 0.0}; });
  figures.push_back(time_figure(ValveFigureKind::kSupply, supply, "no pulse"));
  const auto largest = [&](double TracePulse::* of) {
    double largest_s = 0.0;
    for (const TracePulse& pulse : good) largest_s = std::max(largest_s, pulse.*of);
    return good.empty() ? std::numeric_limits<double>::quiet_NaN() : largest_s;
  };
  figures.push_back({.kind = ValveFigureKind::kStopBounce,
                     .value_si = largest(&TracePulse::bounce_s),
                     .half_si = 0.0,
                     .why_not = "no pulse"});
  if (findings.closing_seen)
    figures.push_back({.kind = ValveFigureKind::kSeatBounce,
                       .value_si = largest(&TracePulse::seat_bounce_s),
                       .half_si = 0.0,
                       .why_not = "no pulse"});
  figures.push_back(leak_figure(findings));
  const Mean dose = mean_of(good, [](const TracePulse& p) { return p.dose_m3; });
  if (dose.value > 0.0 && good.size() > 1 && one_width(good)) {
    double square = 0.0;  // tidy: unit m6
    for (const TracePulse& pulse : good)
      square += (pulse.dose_m3.value - dose.value) * (pulse.dose_m3.value - dose.value);
    figures.push_back(
        {.kind = ValveFigureKind::kRepeatability,
         .value_si = std::sqrt(square / static_cast<double>(good.size() - 1)) / dose.value,
         .half_si = 0.0,
         .why_not = {}});
  }
  figures.push_back(smallest_figure(findings, setup));
  for (const ValveFigureKind kind : {ValveFigureKind::kSmallestDose, ValveFigureKind::kRepetition,
                                     ValveFigureKind::kRepeatability})
    if (std::none_of(figures.begin(), figures.end(),
                     [&](const ValveFigure& figure) { return figure.kind == kind; }))
      figures.push_back({.kind = kind,
                         .value_si = std::numeric_limits<double>::quiet_NaN(),
                         .half_si = 0.0,
                         .why_not = kind == ValveFigureKind::kRepetition
                                        ? "not measured"
                                        : "needs doses of one width"});
  const model::Wear& wear = setup.part.valve.wear;
  if (model::life_known(wear))
    figures.push_back(
        {.kind = ValveFigureKind::kLifeUsed,
         .value_si = model::wear_share_ratio(wear, setup.liquid.liquid.abrasiveness_ratio),
         .half_si = 0.0,
         .why_not = {}});
  return figures;
}

ValveVerdict judge_valve(const std::vector<ValveFigure>& figures, const ValveLimits& limits) {
  ValveVerdict verdict;
  bool judged = false, violated = false, essential_open = false;
  for (const ValveLimit& limit : limits.limits) {
    JudgedLimit one{.limit = limit, .figure = {.kind = limit.kind->figure}};
    one.figure.why_not = "needs a trace";
    for (const ValveFigure& figure : figures)
      if (figure.kind == limit.kind->figure) one.figure = figure;
    one.standing = standing_of(limit, one.figure);
    const bool open =
        one.standing == LimitStanding::kUndecided || one.standing == LimitStanding::kNotSeen;
    judged = judged || !open;
    violated = violated || one.standing == LimitStanding::kViolated;
    essential_open = essential_open || (open && limit.kind->essential);
    verdict.limits.push_back(one);
  }
  verdict.standing = violated                    ? ValveStanding::kNotInOrder
                     : !judged || essential_open ? ValveStanding::kNoVerdict
                                                 : ValveStanding::kInOrder;
  return verdict;
}

}  // namespace sim::valve
