// The page of a valve sheet, made to be printed on one side of A4 or Letter.
#include "sim/study/valve/valve_sheet.h"

#include <fmt/format.h>

#include <cmath>

#include "shared/units.h"
#include "sim/output/cautions.h"
#include "sim/output/html.h"
#include "sim/output/shown_units.h"
#include "sim/output/svg.h"
#include "sim/statistics/quantiles.h"

namespace sim::valve {
namespace {

constexpr std::string_view kSheetStyle = R"css(<style>
main { max-width: 1000px; }
.sheet h2 { margin: 14px 0 4px; padding-top: 6px; font-size: 16px; }
.write { margin: 0 0 10px; }
.write span { display: inline-block; min-width: 110px; border-bottom: 1px solid #1b232d;
  margin-right: 16px; }
.quality { margin: 0 0 10px; font-weight: 600; }
.limits table { width: 100%; font-size: 14px; }
.limits td { white-space: nowrap; padding-right: 12px; }
.limits td:last-child { min-width: 11em; white-space: normal; }
.limits th[scope="row"] { min-width: 8.5em; }
.abreast th[scope="row"] { width: 48%; }
.plot { overflow-x: auto; }
.plot figure { margin: 4px 0 8px; }
.abreast { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); gap: 0 22px;
  align-items: start; }
.abreast table { width: 100%; margin: 4px 0 8px; }
.small { font-size: 13px; }
.small p, .small ul { max-width: none; }
@media (max-width: 700px) {
  .abreast { grid-template-columns: minmax(0, 1fr); }
  .plot svg { min-width: 620px; }
  main { padding: 20px 14px 32px; }
}
@media print {
  @page { margin: 8mm 11mm; }
  .screen { display: none; }
  h1 { font-size: 12pt; line-height: 1.15; }
  .margin { display: none; }
  .subject { font-size: 9pt; margin: 0 0 3px; }
  .verdict { margin: 0 0 4px; }
  .write, .quality { font-size: 9pt; margin: 0 0 3px; }
  .sheet h2 { font-size: 9.5pt; margin: 2px 0 1px; padding-top: 1px; }
  .sheet table { font-size: 8.5pt; line-height: 1.15; margin: 1px 0 3px; }
  .sheet th, .sheet td { padding: 1px 7px 1px 0; }
  .abreast table { font-size: 8pt; }
  .plot figure { margin: 1px 0; }
  .plot figcaption { display: none; }
  .small { font-size: 7.5pt; line-height: 1.15; }
  .small ul { margin: 1px 0; }
  .small li, .small p { margin: 1px 0; line-height: 1.15; }
  .abreast { gap: 0 14px; }
}
</style>
)css";

std::string ms_text(double time_s) {
  return time_s == time_s ? fmt::format("{:.2f}", time_s * 1e3) : std::string("-");
}

std::string plot_html(const std::string& svg, const char* kind) {
  return "<div class=\"plot\"><div class=\"" + std::string(kind) + "\">" +
         output::figure_html(svg, "") + "</div></div>\n";
}

std::string conditions_table(const ValveProgramme& p, output::Units units) {
  output::Table table{"", {"Condition", "first motion", "opening", "closing", "dose"}, {}, 1};
  const auto add = [&](const ConditionRun& run, const std::string& name) {
    table.lines.push_back({name, ms_text(run.pulse.first_motion_s), ms_text(run.pulse.at_stop_s),
                           ms_text(run.pulse.seated_s),
                           valve_dose_words(run.pulse.dose_m3, units)});
  };
  for (const ConditionRun& run : p.voltages)
    add(run, fmt::format("{:.3g} V", run.conditions.supply_v));
  for (const ConditionRun& run : p.temperatures)
    add(run,
        "coil " + output::shown_plain(run.conditions.coil_k, output::Measure::kTemperature, units));
  for (const ConditionRun& run : p.pressures)
    add(run, output::shown(run.conditions.pressure_pa, output::Measure::kPressure, units));
  return output::table_html(table);
}

std::string bursts_table(const ValveProgramme& p) {
  output::Table table{
      "", {"Burst", "on, ms", "dose error", "seats between", "straight share of duty"}, {}, 1};
  for (const RepetitionRun& run : p.repetitions)
    table.lines.push_back(
        {fmt::format("{:.3g} Hz", run.rate_hz), ms_text(run.on_s),
         std::isfinite(run.error_ratio) ? fmt::format("{:.1f} %", run.error_ratio * 1e2)
                                        : std::string("-"),
         run.seats_between ? "yes" : "no", fmt::format("{:.2f}", run.linear_share_ratio)});
  return output::table_html(table);
}

/// Every second step of the lifts; valve.json has all of them.
std::string lifts_line(const ValveProgramme& p, output::Units units) {
  std::string words = "Lift under a held current: ";
  for (std::size_t k = 0; k < p.lifts.size(); k += 2)
    words += fmt::format("{}{:.2f} A {} ({})", k == 0 ? "" : ", ", p.lifts[k].current_a,
                         valve_length_words(p.lifts[k].lift_m, units),
                         output::shown(p.lifts[k].flow_m3ps, output::Measure::kFlow, units));
  return output::paragraph_html(words + ".");
}

std::string found(const Found& value, double per_si_ratio, const char* unit, int decimals) {
  if (!value.seen()) return "not seen";
  return fmt::format("{:.{}f} ± {:.{}f} {}", value.value * per_si_ratio, decimals,
                     statistics::kTwoSided95_ratio * value.sd * per_si_ratio, decimals, unit);
}

/// The magnetic circuit that the still stretches show.
std::vector<std::string> iron_line(const model::Coil& coil) {
  const model::Reluctance& iron = coil.reluctance;
  std::string words =
      fmt::format("gap {:.3f} mm, leakage {:.2f} mH", iron.gap_m * 1e3, iron.leakage_h * 1e3);
  if (iron.saturation_vs > 0.0)
    words += fmt::format(", saturation {:.2f} mWb, half current {:.2f} A", iron.saturation_vs * 1e3,
                         iron.half_current_a);
  if (iron.eddy_ohm > 0.0) words += fmt::format(", eddy currents {:.1f} ohm", iron.eddy_ohm);
  return {"magnetic circuit", words};
}

std::string trace_section(const TraceFindings& f) {
  int missing = 0, late = 0, bouncing = 0, sticking = 0, clipped = 0;
  for (const TracePulse& pulse : f.pulses) {
    missing += (pulse.faults & kPulseMissing) != 0 ? 1 : 0;
    late += (pulse.faults & kPulseLate) != 0 ? 1 : 0;
    bouncing += (pulse.faults & kPulseBouncing) != 0 ? 1 : 0;
    sticking += (pulse.faults & kPulseSticking) != 0 ? 1 : 0;
    clipped += (pulse.faults & kPulseClipped) != 0 ? 1 : 0;
  }
  output::Table table{"", {}, {}, 2};
  table.lines = {
      {"pulses",
       fmt::format("{} in {:.2f} s; missing {}, late {}, sticking {}, bouncing {}, "
                   "clipped {}",
                   f.pulses.size(), f.duration_s, missing, late, sticking, bouncing, clipped)},
      {"samples", fmt::format("{:.4g} kHz, {} gaps, noise {:.1f} mA, quantum {:.2f} mA",
                              f.sample_hz * 1e-3, f.gaps, f.noise_a * 1e3, f.quantum_a * 1e3)},
      {"coil, as it was",
       found(f.resistance_ohm, 1.0, "ohm", 3) + ", " + found(f.inductance_h, 1e3, "mH", 3)},
      f.coil ? iron_line(*f.coil)
             : std::vector<std::string>{"force constant times travel",
                                        found(f.linkage_vs, 1e3, "mV s", 3)},
      {f.coil ? "not explained by the magnetic circuit" : "not explained by R and L",
       fmt::format("{:.2f} times the noise", f.misfit_ratio)}};
  return "<h2>What the trace shows</h2>\n" + output::table_html(table) +
         (f.cannot_tell.empty() ? std::string() : output::list_html(f.cannot_tell));
}

std::string value_words(const FittedValue& value, double value_si, output::Units units) {
  if (units == output::Units::kUs) {
    if (value.key == "plunger.travel" || value.key == "seat.diameter" || value.key == "coil.gap")
      return valve_length_words(value_si, units);
    if (value.key == "plunger.spring_rate")
      return output::shown(value_si, output::Measure::kSpringRate, units, 2);
    if (value.key == "plunger.mass")
      return fmt::format("{:.4g} oz", value_si / shared::kPound_kg * 16.0);
    if (value.key == "plunger.preload" || value.key == "plunger.coulomb_friction")
      return fmt::format("{:.4g} lbf",
                         value_si / (shared::kPound_kg * shared::kStandardGravity_mps2));
    if (value.key == "coil.force_constant")
      return fmt::format("{:.4g} lbf/A",
                         value_si / (shared::kPound_kg * shared::kStandardGravity_mps2));
  }
  const auto in = [&](double ratio, const char* unit) {
    return fmt::format("{:.4g} {}", value_si * ratio, unit);
  };
  if (value.key == "coil.resistance") return in(1.0, "ohm");
  if (value.key == "coil.inductance" || value.key == "coil.leakage") return in(1e3, "mH");
  if (value.key == "coil.gap") return in(1e3, "mm");
  if (value.key == "coil.saturation") return in(1e3, "mWb");
  if (value.key == "coil.half_current") return in(1.0, "A");
  if (value.key == "coil.eddy_resistance") return in(1.0, "ohm");
  if (value.key == "coil.force_constant") return in(1.0, "N/A");
  if (value.key == "plunger.mass") return in(1e3, "g");
  if (value.key == "plunger.preload" || value.key == "plunger.coulomb_friction")
    return in(1.0, "N");
  if (value.key == "plunger.spring_rate") return in(1e-3, "N/mm");
  if (value.key == "plunger.travel" || value.key == "seat.diameter") return in(1e3, "mm");
  return in(1.0, "");
}

std::string fit_section(const ValveCheck& check, output::Units units) {
  if (!check.fit)
    return check.fit_refused.empty()
               ? std::string()
               : "<h2>Fit</h2>\n" + output::paragraph_html("No fit: " + check.fit_refused);
  const ValveFit& fit = *check.fit;
  output::Table table{"", {"Fitted", "setup", "fitted, 95 % interval"}, {}, 1};
  std::vector<std::pair<std::string, std::string>> held;  // reason, names
  bool moved = false;                                     // one of these from the setup's value
  for (const FittedValue& value : fit.values) {
    table.lines.push_back({value.name, value_words(value, value.setup_si, units),
                           value.told || value.half_width_si > 0.0
                               ? value_words(value, value.value_si, units) + " ± " +
                                     value_words(value, value.half_width_si, units)
                               : std::string("held")});
    if (value.told || value.half_width_si > 0.0) continue;
    held.emplace_back(value.why_held, value.name);
    moved = moved || value.value_si != value.setup_si;
  }
  std::vector<std::string> notes = fit.notes;
  std::string names;
  for (const auto& [reason, name] : held) names += (names.empty() ? "" : ", ") + name;
  if (!names.empty())
    notes.push_back((moved ? "Held at the setup's values, or where the pulses put them: "
                           : "Held at the setup's values: ") +
                    names + " (why: valve.json).");
  return "<h2>The model fitted to it</h2>\n" + output::table_html(table) +
         "<div class=\"small screen\">" + output::list_html(notes) + "</div>";
}

std::string cautions() {
  return "<div class=\"small\"><h2>Cautions</h2>\n" + output::list_html(output::bench_cautions()) +
         "</div>\n";
}

/// Where the sheet comes from: limits, setup and drive, and the hashes of program and result.
std::string origin(const ValveCheck& check, output::Units units) {
  const ValveProgramme& p = check.programme;
  return output::paragraph_html(
      fmt::format("Limits: {}{}. Setup {}, {} pulse every {} at {}; {}. Program {}, result {}.",
                  check.limits.file.empty() ? "none" : check.limits.file,
                  check.limits.note.empty() ? "" : " (" + check.limits.note + ")", p.setup.name,
                  ms_text(p.setup.drive.on_time_s) + " ms", ms_text(p.setup.drive.period_s) + " ms",
                  output::shown(p.setup.supply_pa, output::Measure::kPressure, units),
                  p.setup.drive.decay == rig::CurrentDecay::kFast ? "fast decay" : "slow decay",
                  check.hashes.program, check.hashes.result));
}

/// How well the model explains the trace, on which the verdict rests.
std::string quality_line(const ValveCheck& check) {
  std::string words;  // stays empty where the verdict's sentence already says what limits it
  if (quality_words(check).empty() && check.fit)
    words = fmt::format("Quality: the fitted model leaves {:.2f} times the trace's noise.",
                        check.fit->misfit_ratio);
  if (!check.findings) words = "Quality: simulated by the setup's model; no trace was compared.";
  return words.empty() ? words : "<p class=\"quality\">" + output::escaped(words) + "</p>\n";
}

/// Two tables of about the same length, side by side.
std::string abreast_html(const std::vector<std::vector<std::string>>& lines) {
  const auto half = static_cast<std::ptrdiff_t>((lines.size() + 1) / 2);
  const output::Table left{"", {}, {lines.begin(), lines.begin() + half}, 2};
  const output::Table right{"", {}, {lines.begin() + half, lines.end()}, 2};
  return "<div class=\"abreast\"><div>" + output::table_html(left) + "</div><div>" +
         output::table_html(right) + "</div></div>\n";
}

/// What the screen alone shows: on paper it would take a second side.
std::string screen_section(const ValveCheck& check, output::Units units) {
  const ValveProgramme& p = check.programme;
  const std::string curves =
      plot_html(valve_dose_svg(check, units), "half") +
      (p.repetitions.empty() ? std::string()
                             : "</div><div>" + plot_html(valve_repetition_svg(check), "half"));
  std::string inner = "<h2>Further, modelled: on the screen only</h2>\n";
  if (check.findings) inner += abreast_html(figure_lines(check, units));
  inner += "<div class=\"abreast\"><div>" + curves + "</div></div>\n";
  inner += bursts_table(p) + conditions_table(p, units) + lifts_line(p, units);
  return "<div class=\"screen small\">" + inner + "</div>\n";
}

}  // namespace

std::string valve_sheet_html(const ValveCheck& check, output::Units units) {
  const ValveProgramme& p = check.programme;
  const std::string subject =
      "Valve sheet: " + (p.setup.title.empty() ? p.setup.name : p.setup.title) +
      (check.trace_name.empty() ? ", by its model" : ", by the trace " + check.trace_name);
  std::string body = std::string(kSheetStyle) + "<div class=\"sheet\">\n";
  body += output::verdict_html(subject, valve_sentence(check, units), "",
                               check.verdict.standing == ValveStanding::kNotInOrder);
  body += quality_line(check);
  body +=
      "<p class=\"write\">Valve no. <span>&nbsp;</span> Date <span>&nbsp;</span> By "
      "<span>&nbsp;</span></p>\n";
  if (!check.verdict.limits.empty()) {
    const output::Table table{
        "",
        {"Figure", "value", "95 % interval", "limit", "margin", "", "next step"},
        limit_lines(check, units),
        7};
    body += "<div class=\"limits\">" + output::table_html(table) + "</div>\n";
  }
  body += plot_html(valve_pulse_svg(check, units), "whole");
  if (check.findings) {
    body += "<div class=\"abreast\"><div>" + trace_section(*check.findings) + "</div><div>" +
            fit_section(check, units) + "</div></div>\n";
  } else {
    body += "<h2>Further figures, modelled</h2>\n" + abreast_html(figure_lines(check, units));
  }
  body += screen_section(check, units);
  body += cautions() + "<div class=\"small\">" + origin(check, units) + "</div>\n</div>\n";
  return output::page_html(subject, body);
}

}  // namespace sim::valve
