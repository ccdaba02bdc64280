// The words of a valve sheet: sentence, limits, figures.
#include <fmt/format.h>

#include <cmath>

#include "shared/units.h"
#include "sim/output/coil_words.h"
#include "sim/output/shown_units.h"
#include "sim/study/valve/valve_sheet.h"

namespace sim::valve {
namespace {

bool known(double value) { return value == value; }  // tidy: unit the caller's

std::string ms(double time_s) {
  return known(time_s) ? fmt::format("{:.2f} ms", time_s * 1e3) : std::string("not seen");
}

std::string small_flow(double flow_m3ps, output::Units units) {
  if (!known(flow_m3ps)) return "not known";
  const double ounces_ratio = flow_m3ps * 60.0 / shared::kFluidOunce_m3;
  return units == output::Units::kUs
             ? fmt::format("{:.{}f} fl oz/min", ounces_ratio, ounces_ratio < 1.0 ? 4 : 2)
             : fmt::format("{:.1f} ml/min", flow_m3ps * 6e7);
}

bool is_time(ValveFigureKind kind) {
  return kind == ValveFigureKind::kOpening || kind == ValveFigureKind::kClosing ||
         kind == ValveFigureKind::kStopBounce || kind == ValveFigureKind::kSeatBounce;
}

double period_of_s(const ValveCheck& check) { return check.programme.setup.drive.period_s; }

/// Times with an interval are shown to the microsecond, as their intervals are.
std::string value_words(const ValveFigure& figure, const ValveCheck& check, output::Units units) {
  if (known(figure.value_si) && figure.half_si > 0.0 && is_time(figure.kind))
    return fmt::format("{:.3f} ms", figure.value_si * 1e3);
  return figure_words(figure.kind, figure.value_si, units, period_of_s(check));
}

/// Half of the 95 % interval; empty where there is none or it rounds to nothing.
std::string half_words(const ValveFigure& figure, output::Units units) {
  if (!known(figure.value_si) || !(figure.half_si > 0.0)) return {};
  const std::string words = is_time(figure.kind) ? fmt::format("{:.3f} ms", figure.half_si * 1e3)
                                                 : figure_words(figure.kind, figure.half_si, units);
  const bool nothing = words.find_first_of("123456789") > words.find(' ');
  return nothing ? std::string() : "± " + words;
}

std::string with_half(const ValveFigure& figure, const ValveCheck& check, output::Units units) {
  const std::string half = half_words(figure, units);
  if (!half.empty() && is_time(figure.kind))
    return fmt::format("{:.3f} ", figure.value_si * 1e3) + half;
  return value_words(figure, check, units) + (half.empty() ? "" : " ") + half;
}

/// Distance of the figure from its limit; negative: the figure is beyond the limit.
std::string margin_words(const JudgedLimit& judged, output::Units units) {
  if (!known(judged.figure.value_si) || !std::isfinite(judged.figure.value_si)) return {};
  const double sign_ratio = judged.limit.kind->at_most ? 1.0 : -1.0;
  const double margin =  // tidy: unit the figure's
      sign_ratio * (judged.limit.limit_si - judged.figure.value_si);
  const std::string words = figure_words(judged.figure.kind, std::abs(margin), units);
  return (margin < 0.0 ? "−" : "") + words;
}

const char* standing_words(LimitStanding standing) {
  switch (standing) {
    case LimitStanding::kHolds: return "holds";
    case LimitStanding::kViolated: return "VIOLATED";
    case LimitStanding::kUndecided: return "undecided";
    case LimitStanding::kNotSeen: return "not seen";
  }
  return "";
}

std::string against(const JudgedLimit& judged, const ValveCheck& check, output::Units units) {
  const ValveLimitKind& kind = *judged.limit.kind;
  return fmt::format("{} {}, limit {}", kind.name, with_half(judged.figure, check, units),
                     figure_words(kind.figure, judged.limit.limit_si, units));
}

std::string not_in_order(const ValveCheck& check, output::Units units) {
  std::string first, next, others;
  for (const JudgedLimit& judged : check.verdict.limits) {
    if (judged.standing != LimitStanding::kViolated) continue;
    if (first.empty()) {
      first = std::string(judged.limit.kind->verdict) + ", " + against(judged, check, units);
      next = judged.limit.kind->next;
    } else {
      others += (others.empty() ? "" : ", ") + std::string(judged.limit.kind->verdict);
    }
  }
  const std::string quality = quality_words(check);
  const std::string advice =
      quality.empty()
          ? "; " + next
          : ". " + quality +
                ", so confirm it by a second trace before any part is replaced; then " + next;
  return "Not in order: " + first + advice + (others.empty() ? "" : ". Also " + others);
}

std::string no_verdict(const ValveCheck& check, output::Units units) {
  if (check.limits.limits.empty()) return "No verdict: no limits are stated to judge by";
  for (const JudgedLimit& judged : check.verdict.limits) {
    if (!judged.limit.kind->essential) continue;
    if (judged.standing == LimitStanding::kNotSeen)
      return fmt::format("No verdict: {}: {}", judged.limit.kind->name, judged.figure.why_not);
    if (judged.standing == LimitStanding::kUndecided)
      return "No verdict: " + against(judged, check, units) +
             " lies inside the uncertainty; record more pulses, or at a higher sample rate";
  }
  return "No verdict: none of the limits could be judged";
}

void add_times(const ValveCheck& check, output::Units units,
               std::vector<std::vector<std::string>>& lines) {
  const rig::TimedPulse& pulse = check.programme.nominal;
  const auto add = [&](const char* name, const std::string& words) {
    lines.push_back({name, words});
  };
  add("command to first motion", ms(pulse.first_motion_s));
  add("opening: command to the stop", ms(pulse.at_stop_s));
  add("command to half flow at the outlet", ms(pulse.half_up_s));
  add("travel time, up", ms(pulse.at_stop_s - pulse.first_motion_s));
  add("command off to leaving the stop", ms(pulse.left_stop_s));
  add("closing: command off to the seat", ms(pulse.seated_s));
  add("travel time, down", ms(pulse.seated_s - pulse.left_stop_s));
  add("command off to half flow", ms(pulse.half_down_s));
  add("bounce at the stop",
      ms(pulse.stop_bounce_s) + ", " + valve_length_words(pulse.stop_rebound_m, units));
  add("bounce at the seat",
      ms(pulse.seat_bounce_s) + ", " + valve_length_words(pulse.seat_rebound_m, units));
}

/// Scatter over the pulses of the repeatability; a train that passes no liquid has none.
std::string repeat_words(const RepeatFigures& repeat) {
  const std::string dose = known(repeat.dose_sd_ratio)
                               ? fmt::format("dose sd {:.2f} %", repeat.dose_sd_ratio * 1e2)
                               : std::string("dose not known: the pulses pass no liquid");
  const auto time = [](const char* name, double sd_s) {
    return known(sd_s) ? fmt::format(", {} {:.3f} ms", name, sd_s * 1e3)
                       : fmt::format(", {} not known: not every pulse lands", name);
  };
  return dose + time("opening", repeat.opening_sd_s) + time("closing", repeat.closing_sd_s);
}

/// "8.00 million", "950": of a count of cycles.
std::string cycles_words(double cycles_ratio) {
  return cycles_ratio >= 1e6 ? fmt::format("{:.3g} million cycles", cycles_ratio * 1e-6)
                             : fmt::format("{:.0f} cycles", cycles_ratio);
}

std::string lift_words(const model::LiftVerdict& lift, output::Units units) {
  const auto rate = [&](double rate_npm) {
    return output::shown(rate_npm, output::Measure::kSpringRate, units);
  };
  if (lift.settable) return "set by the current";
  std::string words = "snaps to the stop: spring " + rate(lift.spring_rate_npm) + ", needs " +
                      rate(lift.spring_rate_needed_npm);
  if (lift.magnet_npm > 0.0)
    words += ", of which " + rate(lift.magnet_npm) + " against the magnet's growing pull";
  return words;
}

void add_doses(const ValveProgramme& p, output::Units units,
               std::vector<std::vector<std::string>>& lines) {
  lines.push_back({"shortest pulse that passes liquid", ms(p.shortest_passing_s)});
  if (p.line.found) {
    lines.push_back({"shortest pulse on the straight line", ms(p.line.from_s)});
    lines.push_back(
        {"dose over width", fmt::format("{} per ms, dead time {:.2f} ms, R² {:.4f}",
                                        valve_dose_words(p.line.slope_m3ps * 1e-3, units),
                                        p.line.dead_s * 1e3, p.line.r2_ratio)});
    lines.push_back({"straight within " + output::shown_plain(p.setup.programme.linear_error_ratio,
                                                              output::Measure::kShare, units),
                     ms(p.line.from_s) + " to " + ms(p.line.to_s)});
  } else {
    lines.push_back({"dose over width", "no straight part"});
  }
  lines.push_back({"shortest closed time: command gap that seats", ms(p.shortest_closed_s)});
  lines.push_back({"smallest dose that repeats",
                   known(p.smallest_m3)
                       ? figure_words(ValveFigureKind::kSmallestDose, p.smallest_m3, units,
                                      p.setup.drive.period_s)
                       : std::string("not known: the doses have no straight part")});
  lines.push_back({fmt::format("highest flow at {:.1f} Hz", 1.0 / p.setup.drive.period_s),
                   small_flow(p.highest_m3ps, units)});
  lines.push_back(
      {"highest repetition, dose within " +
           output::shown_plain(p.setup.programme.dose_error_ratio, output::Measure::kShare, units),
       p.highest_repetition_hz > 0.0 ? fmt::format("{:.0f} Hz", p.highest_repetition_hz)
                                     : std::string("none of those tried")});
  lines.push_back(
      {fmt::format("repeatability over {} pulses", p.repeat.pulses), repeat_words(p.repeat)});
  lines.push_back({"lift", lift_words(p.lift, units)});
}

void add_coil_and_wear(const ValveProgramme& p, output::Units units,
                       std::vector<std::vector<std::string>>& lines) {
  lines.push_back({"leak when shut, by wear", small_flow(p.leak_m3ps, units)});
  lines.push_back({"coil", fmt::format("{:.2f} ohm at {}", p.resistance_ohm,
                                       output::shown(p.setup.part.valve.coil.temperature_k,
                                                     output::Measure::kTemperature, units))});
  const model::Coil& coil = p.setup.part.valve.coil;
  if (coil.force_law != model::ForceLaw::kLinear || coil.chop_hz > 0.0)
    lines.push_back({"solenoid", output::coil_line(coil, units)});
  lines.push_back({"lowest voltage that opens", fmt::format("{:.1f} V", p.lowest_voltage_v)});
  const model::Wear& wear = p.setup.part.valve.wear;
  lines.push_back(
      {"so far", fmt::format("{}, {}, {:.0f} h at {:.1f} Hz", cycles_words(wear.cycles_ratio),
                             output::shown(wear.volume_m3, output::Measure::kVolume, units, 0),
                             p.hours_so_far_s / 3600.0, 1.0 / p.setup.drive.period_s)});
  lines.push_back(
      {"left",
       p.left.known
           ? fmt::format("{}, {}, {:.0f} h; {:.0f} % used", cycles_words(p.left.cycles_ratio),
                         output::shown(p.left.volume_m3, output::Measure::kVolume, units, 0),
                         p.left.time_s / 3600.0, p.used_ratio * 1e2)
           : std::string("not known: no life is stated")});
}

}  // namespace

std::string valve_length_words(double length_m, output::Units units) {
  if (!known(length_m)) return "not seen";
  return units == output::Units::kUs ? fmt::format("{:.4f} in", length_m / shared::kInch_m)
                                     : fmt::format("{:.3f} mm", length_m * 1e3);
}

std::string valve_dose_words(double dose_m3, output::Units units) {
  if (!known(dose_m3)) return "not seen";
  const double ounces_ratio = dose_m3 / shared::kFluidOunce_m3;
  return units == output::Units::kUs
             ? fmt::format("{:.{}f} fl oz", ounces_ratio, ounces_ratio < 1e-3 ? 6 : 5)
             : fmt::format("{:.1f} mm³", dose_m3 * 1e9);
}

std::string quality_words(const ValveCheck& check) {
  if (check.fit && check.fit->misfit)
    return fmt::format("MISFIT: the model leaves {:.1f} times the trace's noise over",
                       check.fit->misfit_ratio);
  if (!check.fit_refused.empty()) return "NO FIT: no model could be fitted to this trace";
  return {};
}

std::string figure_words(ValveFigureKind kind, double value_si, output::Units units,
                         double period_s) {
  if (!known(value_si)) return "not seen";
  switch (kind) {
    case ValveFigureKind::kOpening:
    case ValveFigureKind::kClosing:
    case ValveFigureKind::kStopBounce:
    case ValveFigureKind::kSeatBounce: return ms(value_si);
    case ValveFigureKind::kOddPulses:
    case ValveFigureKind::kRepeatability:
    case ValveFigureKind::kLifeUsed: return fmt::format("{:.1f} %", value_si * 1e2);
    case ValveFigureKind::kLeak: return small_flow(value_si, units);
    case ValveFigureKind::kSmallestDose:
      return valve_dose_words(value_si, units) +
             (period_s > 0.0 ? fmt::format(" ({} at {:.1f} Hz)",
                                           small_flow(value_si / period_s, units), 1.0 / period_s)
                             : std::string());
    case ValveFigureKind::kRepetition: return fmt::format("{:.0f} Hz", value_si);
    case ValveFigureKind::kSupply: return fmt::format("{:.2f} V", value_si);
    case ValveFigureKind::kResistance:
      return std::isfinite(value_si) ? fmt::format("{:.2f} ohm", value_si)
                                     : std::string("endless (no current)");
  }
  return "";
}

std::string valve_sentence(const ValveCheck& check, output::Units units) {
  if (check.verdict.standing == ValveStanding::kNotInOrder) return not_in_order(check, units);
  if (check.verdict.standing == ValveStanding::kNoVerdict) return no_verdict(check, units);
  std::string words;
  for (const JudgedLimit& judged : check.verdict.limits)
    if (judged.limit.kind->essential && judged.standing == LimitStanding::kHolds)
      words += (words.empty() ? "" : "; ") + against(judged, check, units);
  std::size_t held = 0, open = 0;
  for (const JudgedLimit& judged : check.verdict.limits)
    judged.standing == LimitStanding::kHolds ? ++held : ++open;
  if (words.empty()) words = fmt::format("{} limits hold", held);
  const std::string quality = quality_words(check);
  return "In order: " + words + (quality.empty() ? "" : "; " + quality) +
         (open > 0
              ? fmt::format("; {} further limit{} could not be judged", open, open == 1 ? "" : "s")
              : std::string());
}

std::vector<std::vector<std::string>> limit_lines(const ValveCheck& check, output::Units units) {
  std::vector<std::vector<std::string>> lines;
  for (const JudgedLimit& judged : check.verdict.limits) {
    const ValveLimitKind& kind = *judged.limit.kind;
    const bool quiet = judged.standing == LimitStanding::kHolds;
    const bool shown_at_all = judged.standing != LimitStanding::kNotSeen;
    lines.push_back(
        {std::string(kind.name),
         shown_at_all ? value_words(judged.figure, check, units) : std::string("not known"),
         half_words(judged.figure, units),
         std::string(kind.at_most ? "≤ " : "≥ ") +
             figure_words(kind.figure, judged.limit.limit_si, units),
         margin_words(judged, units), standing_words(judged.standing),
         !shown_at_all ? judged.figure.why_not
         : quiet       ? ""
                       : std::string(kind.next)});
  }
  return lines;
}

std::vector<std::vector<std::string>> figure_lines(const ValveCheck& check, output::Units units) {
  std::vector<std::vector<std::string>> lines;
  add_times(check, units, lines);
  add_doses(check.programme, units, lines);
  add_coil_and_wear(check.programme, units, lines);
  return lines;
}

}  // namespace sim::valve
