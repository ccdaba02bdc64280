// The words of a valve sheet: sentence, limits, figures.
#include <fmt/format.h>

#include <cmath>

#include "shared/units.h"
#include "sim/output/shown_units.h"
#include "sim/output/valve_sheet.h"

namespace sim {
namespace {

bool seen(double value) { return value == value; }  // tidy: unit the caller's

std::string ms(double time_s) {
  return seen(time_s) ? fmt::format("{:.2f} ms", time_s * 1e3) : std::string("not seen");
}

std::string small_flow(double flow_m3ps, Units units) {
  if (!seen(flow_m3ps)) return "not known";
  return units == Units::kUs
             ? fmt::format("{:.2f} fl oz/min", flow_m3ps * 60.0 / shared::kFluidOunce_m3)
             : fmt::format("{:.1f} ml/min", flow_m3ps * 6e7);
}

bool is_time(ValveFigureKind kind) {
  return kind == ValveFigureKind::kOpening || kind == ValveFigureKind::kClosing ||
         kind == ValveFigureKind::kStopBounce || kind == ValveFigureKind::kSeatBounce;
}

std::string with_half(const ValveFigure& figure, Units units) {
  std::string words = figure_words(figure.kind, figure.value_si, units);
  if (!seen(figure.value_si)) return words;
  if (figure.half_si > 0.0 && is_time(figure.kind))
    words = fmt::format("{:.3f} ± {:.3f} ms", figure.value_si * 1e3, figure.half_si * 1e3);
  else if (figure.half_si > 0.0)
    words += " ± " + figure_words(figure.kind, figure.half_si, units);
  return words;
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

std::string against(const JudgedLimit& judged, Units units) {
  const ValveLimitKind& kind = *judged.limit.kind;
  return fmt::format("{} {}, limit {}", kind.name, with_half(judged.figure, units),
                     figure_words(kind.figure, judged.limit.limit_si, units));
}

std::string not_in_order(const ValveCheck& check, Units units) {
  std::string first, next, others;
  for (const JudgedLimit& judged : check.verdict.limits) {
    if (judged.standing != LimitStanding::kViolated) continue;
    if (first.empty()) {
      first = std::string(judged.limit.kind->verdict) + ", " + against(judged, units);
      next = judged.limit.kind->next;
    } else {
      others += (others.empty() ? "" : ", ") + std::string(judged.limit.kind->verdict);
    }
  }
  return "Not in order: " + first + "; " + next + (others.empty() ? "" : ". Also " + others);
}

std::string no_verdict(const ValveCheck& check, Units units) {
  if (check.limits.limits.empty()) return "No verdict: no limits are stated to judge by";
  for (const JudgedLimit& judged : check.verdict.limits) {
    if (!judged.limit.kind->essential) continue;
    if (judged.standing == LimitStanding::kNotSeen)
      return fmt::format("No verdict: {}: {}", judged.limit.kind->name, judged.figure.why_not);
    if (judged.standing == LimitStanding::kUndecided)
      return "No verdict: " + against(judged, units) +
             " lies inside the uncertainty; record more pulses, or at a higher sample rate";
  }
  return "No verdict: none of the limits could be judged";
}

void add_times(const ValveCheck& check, std::vector<std::vector<std::string>>& lines) {
  const TimedPulse& pulse = check.programme.nominal;
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
      fmt::format("{}, {:.3f} mm", ms(pulse.stop_bounce_s), pulse.stop_rebound_m * 1e3));
  add("bounce at the seat",
      fmt::format("{}, {:.3f} mm", ms(pulse.seat_bounce_s), pulse.seat_rebound_m * 1e3));
}

void add_doses(const ValveProgramme& p, Units units, std::vector<std::vector<std::string>>& lines) {
  lines.push_back({"shortest pulse that passes liquid", ms(p.shortest_passing_s)});
  if (p.line.found) {
    lines.push_back({"shortest pulse on the straight line", ms(p.line.from_s)});
    lines.push_back({"dose over width",
                     fmt::format("{:.2f} mm³/ms, dead time {:.2f} ms, R² {:.6f}",
                                 p.line.slope_m3ps * 1e6, p.line.dead_s * 1e3, p.line.r2_ratio)});
    lines.push_back({"straight within " +
                         shown_plain(p.setup.programme.linear_error_ratio, Measure::kShare, units),
                     ms(p.line.from_s) + " to " + ms(p.line.to_s)});
  } else {
    lines.push_back({"dose over width", "no straight part"});
  }
  lines.push_back({"shortest closed time", ms(p.shortest_closed_s)});
  lines.push_back(
      {"lowest, highest rate at " + fmt::format("{:.0f} Hz", 1.0 / p.setup.drive.period_s),
       small_flow(p.lowest_m3ps, units) + ", " + small_flow(p.highest_m3ps, units)});
  lines.push_back({"highest repetition, dose within " +
                       shown_plain(p.setup.programme.dose_error_ratio, Measure::kShare, units),
                   p.highest_repetition_hz > 0.0 ? fmt::format("{:.0f} Hz", p.highest_repetition_hz)
                                                 : std::string("none of those tried")});
  lines.push_back({fmt::format("repeatability over {} pulses", p.repeat.pulses),
                   fmt::format("dose sd {:.2f} %, opening {:.3f} ms, closing {:.3f} ms",
                               p.repeat.dose_sd_ratio * 1e2, p.repeat.opening_sd_s * 1e3,
                               p.repeat.closing_sd_s * 1e3)});
  lines.push_back({"lift", p.lift.settable
                               ? "set by the current"
                               : fmt::format("snaps to the stop: spring {:.1f} N/mm, needs {:.1f}",
                                             p.lift.spring_rate_npm * 1e-3,
                                             p.lift.spring_rate_needed_npm * 1e-3)});
}

void add_coil_and_wear(const ValveProgramme& p, Units units,
                       std::vector<std::vector<std::string>>& lines) {
  lines.push_back({"leak when shut, by wear", small_flow(p.leak_m3ps, units)});
  lines.push_back({"coil", fmt::format("{:.2f} ohm at {}", p.resistance_ohm,
                                       shown(p.setup.part.valve.coil.temperature_k,
                                             Measure::kTemperature, units))});
  lines.push_back({"lowest voltage that opens", fmt::format("{:.1f} V", p.lowest_voltage_v)});
  const model::Wear& wear = p.setup.part.valve.wear;
  lines.push_back(
      {"so far", fmt::format("{:.3g} cycles, {}, {:.1f} h at {:.0f} Hz", wear.cycles_ratio,
                             shown(wear.volume_m3, Measure::kVolume, units),
                             p.hours_so_far_s / 3600.0, 1.0 / p.setup.drive.period_s)});
  lines.push_back(
      {"left", p.left.known
                   ? fmt::format("{:.3g} cycles, {}, {:.0f} h; {:.0f} % used", p.left.cycles_ratio,
                                 shown(p.left.volume_m3, Measure::kVolume, units),
                                 p.left.time_s / 3600.0, p.used_ratio * 1e2)
                   : std::string("not known: no life is stated")});
}

}  // namespace

std::string figure_words(ValveFigureKind kind, double value_si, Units units) {
  if (!seen(value_si)) return "not seen";
  switch (kind) {
    case ValveFigureKind::kOpening:
    case ValveFigureKind::kClosing:
    case ValveFigureKind::kStopBounce:
    case ValveFigureKind::kSeatBounce: return ms(value_si);
    case ValveFigureKind::kOddPulses:
    case ValveFigureKind::kRepeatability:
    case ValveFigureKind::kLifeUsed: return fmt::format("{:.1f} %", value_si * 1e2);
    case ValveFigureKind::kLeak:
    case ValveFigureKind::kLowestFlow: return small_flow(value_si, units);
    case ValveFigureKind::kRepetition: return fmt::format("{:.0f} Hz", value_si);
    case ValveFigureKind::kSupply: return fmt::format("{:.2f} V", value_si);
    case ValveFigureKind::kResistance:
      return std::isfinite(value_si) ? fmt::format("{:.2f} ohm", value_si)
                                     : std::string("endless (no current)");
  }
  return "";
}

std::string valve_sentence(const ValveCheck& check, Units units) {
  if (check.verdict.standing == ValveStanding::kNotInOrder) return not_in_order(check, units);
  if (check.verdict.standing == ValveStanding::kNoVerdict) return no_verdict(check, units);
  std::string words;
  for (const JudgedLimit& judged : check.verdict.limits)
    if (judged.limit.kind->essential && judged.standing == LimitStanding::kHolds)
      words += (words.empty() ? "" : "; ") + against(judged, units);
  std::size_t held = 0, open = 0;
  for (const JudgedLimit& judged : check.verdict.limits)
    judged.standing == LimitStanding::kHolds ? ++held : ++open;
  if (words.empty()) words = fmt::format("{} limits hold", held);
  return "In order: " + words +
         (open > 0
              ? fmt::format("; {} further limit{} could not be judged", open, open == 1 ? "" : "s")
              : std::string());
}

std::vector<std::vector<std::string>> limit_lines(const ValveCheck& check, Units units) {
  std::vector<std::vector<std::string>> lines;
  for (const JudgedLimit& judged : check.verdict.limits) {
    const ValveLimitKind& kind = *judged.limit.kind;
    const bool quiet =
        judged.standing == LimitStanding::kHolds || judged.standing == LimitStanding::kNotSeen;
    lines.push_back({std::string(kind.name),
                     judged.standing == LimitStanding::kNotSeen ? judged.figure.why_not
                                                                : with_half(judged.figure, units),
                     std::string(kind.at_most ? "at most " : "at least ") +
                         figure_words(kind.figure, judged.limit.limit_si, units),
                     standing_words(judged.standing), quiet ? "" : std::string(kind.next)});
  }
  return lines;
}

std::vector<std::vector<std::string>> figure_lines(const ValveCheck& check, Units units) {
  std::vector<std::vector<std::string>> lines;
  add_times(check, lines);
  add_doses(check.programme, units, lines);
  add_coil_and_wear(check.programme, units, lines);
  return lines;
}

}  // namespace sim
