// The page of a valve sheet, made to be printed on one side of A4 or Letter.
#include "sim/output/valve_sheet.h"

#include <fmt/format.h>

#include <cmath>

#include "sim/measure/quantiles.h"
#include "sim/output/html.h"
#include "sim/output/shown_units.h"

namespace sim {
namespace {

constexpr std::string_view kSheetStyle = R"css(<style>
main { max-width: 980px; }
.two { display: grid; grid-template-columns: minmax(0, 1.05fr) minmax(0, 1fr); gap: 4px 22px;
  align-items: start; }
.two h2, .flat h2 { margin: 10px 0 2px; padding-top: 4px; font-size: 15px; }
.write { margin: 0 0 8px; }
.write span { display: inline-block; min-width: 110px; border-bottom: 1px solid #1b232d;
  margin-right: 16px; }
.limits table { font-size: 14.5px; width: 100%; }
.limits td, .limits th { white-space: nowrap; padding-top: 2px; padding-bottom: 2px; }
.limits td:last-child { white-space: normal; }
.small li, .small p { font-size: 11.5px; line-height: 1.3; margin: 2px 0; max-width: none; }
.two figure { margin: 2px 0 4px; }
.two table { margin: 2px 0 6px; font-size: 12.5px; line-height: 1.28; }
.two th, .two td { padding: 1.5px 10px 1.5px 0; }
@media (max-width: 700px) { .two { grid-template-columns: 1fr; } }
@media print {
  @page { margin: 8mm 10mm; }
  .two { grid-template-columns: minmax(0, 1.05fr) minmax(0, 1fr); gap: 0 14px; }
  h1 { font-size: 13pt; line-height: 1.15; }
  .subject { font-size: 9.5pt; margin: 0 0 3px; }
  .verdict { margin: 0 0 4px; }
  .margin { display: none; }
  .write { font-size: 9pt; margin: 0 0 2px; }
  .limits table { font-size: 9.5pt; line-height: 1.12; margin: 2px 0; }
  .limits td, .limits th { padding: 0.8px 8px 0.8px 0; }
  .two table { font-size: 7.2pt; line-height: 1.08; margin: 1px 0 3px; break-inside: auto; }
  .two th, .two td { padding: 0.5px 6px 0.5px 0; }
  .two h2, .flat h2 { font-size: 9pt; margin: 2px 0 0; padding-top: 1px; }
  .small li, .small p { font-size: 6.8pt; line-height: 1.12; margin: 0.5px 0; }
  .small ul { margin: 1px 0; }
  .two figure { margin: 0; }
  .two figure svg { max-height: 31mm; }
}
</style>
)css";

constexpr std::size_t kFirstLines = 14;

std::string ms(double time_s) {
  return time_s == time_s ? fmt::format("{:.2f}", time_s * 1e3) : std::string("-");
}

std::string conditions_table(const ValveProgramme& p, Units units) {
  Table table{"", {"Condition", "first motion", "opening", "closing", "dose, mm³"}, {}, 1};
  const auto add = [&](const ConditionRun& run, const std::string& name) {
    table.lines.push_back({name, ms(run.pulse.first_motion_s), ms(run.pulse.at_stop_s),
                           ms(run.pulse.seated_s), fmt::format("{:.1f}", run.pulse.dose_m3 * 1e9)});
  };
  for (const ConditionRun& run : p.voltages)
    add(run, fmt::format("{:.3g} V", run.conditions.supply_v));
  for (const ConditionRun& run : p.temperatures)
    add(run, "coil " + shown_plain(run.conditions.coil_k, Measure::kTemperature, units));
  for (const ConditionRun& run : p.pressures)
    add(run, shown(run.conditions.pressure_pa, Measure::kPressure, units));
  return table_html(table);
}

std::string bursts_table(const ValveProgramme& p) {
  Table table{
      "", {"Burst", "on, ms", "dose error", "seats between", "straight share of duty"}, {}, 1};
  for (const RepetitionRun& run : p.repetitions)
    table.lines.push_back(
        {fmt::format("{:.3g} Hz", run.rate_hz), ms(run.on_s),
         std::isfinite(run.error_ratio) ? fmt::format("{:.1f} %", run.error_ratio * 1e2)
                                        : std::string("-"),
         run.seats_between ? "yes" : "no", fmt::format("{:.2f}", run.linear_share_ratio)});
  return table_html(table);
}

/// Every second step: the whole ladder is in valve.json.
std::string lifts_line(const ValveProgramme& p, Units units) {
  std::string words = "Lift under a held current: ";
  for (std::size_t k = 0; k < p.lifts.size(); k += 2)
    words +=
        fmt::format("{}{:.2f} A {:.2f} mm ({})", k == 0 ? "" : ", ", p.lifts[k].current_a,
                    p.lifts[k].lift_m * 1e3, shown(p.lifts[k].flow_m3ps, Measure::kFlow, units));
  return paragraph_html(words + ".");
}

std::string found(const Found& value, double per_si_ratio, const char* unit, int decimals) {
  if (!value.seen()) return "not seen";
  return fmt::format("{:.{}f} ± {:.{}f} {}", value.value * per_si_ratio, decimals,
                     kTwoSided95_ratio * value.sd * per_si_ratio, decimals, unit);
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
  Table table{"", {}, {}, 1};
  table.lines = {
      {"pulses",
       fmt::format("{} in {:.2f} s; missing {}, late {}, sticking {}, bouncing {}, "
                   "clipped {}",
                   f.pulses.size(), f.duration_s, missing, late, sticking, bouncing, clipped)},
      {"samples", fmt::format("{:.4g} kHz, {} gaps, noise {:.1f} mA, quantum {:.2f} mA",
                              f.sample_hz * 1e-3, f.gaps, f.noise_a * 1e3, f.quantum_a * 1e3)},
      {"coil, as it was",
       found(f.resistance_ohm, 1.0, "ohm", 3) + ", " + found(f.inductance_h, 1e3, "mH", 3)},
      {"force constant times travel", found(f.linkage_vs, 1e3, "mV s", 3)},
      {"left over by R and L", fmt::format("{:.2f} times the noise", f.misfit_ratio)}};
  return "<h2>What the trace shows</h2>\n" + table_html(table) +
         (f.cannot_tell.empty() ? std::string() : list_html(f.cannot_tell));
}

std::string value_words(const FittedValue& value, double value_si) {
  const auto in = [&](double ratio, const char* unit) {
    return fmt::format("{:.4g} {}", value_si * ratio, unit);
  };
  if (value.key == "coil.resistance") return in(1.0, "ohm");
  if (value.key == "coil.inductance") return in(1e3, "mH");
  if (value.key == "coil.force_constant") return in(1.0, "N/A");
  if (value.key == "plunger.mass") return in(1e3, "g");
  if (value.key == "plunger.preload" || value.key == "plunger.coulomb_friction")
    return in(1.0, "N");
  if (value.key == "plunger.spring_rate") return in(1e-3, "N/mm");
  if (value.key == "plunger.travel" || value.key == "seat.diameter") return in(1e3, "mm");
  return in(1.0, "");
}

std::string fit_section(const ValveCheck& check) {
  if (!check.fit)
    return check.fit_refused.empty()
               ? std::string()
               : "<h2>Fit</h2>\n" + paragraph_html("No fit: " + check.fit_refused);
  const ValveFit& fit = *check.fit;
  Table table{"", {"Fitted", "setup", "fitted, 95 %"}, {}, 1};
  std::vector<std::pair<std::string, std::string>> held;  // reason, names
  for (const FittedValue& value : fit.values) {
    table.lines.push_back({value.name, value_words(value, value.setup_si),
                           value.told ? value_words(value, value.value_si) + " ± " +
                                            value_words(value, value.half_width_si)
                                      : std::string("held")});
    if (!value.told) held.emplace_back(value.why_held, value.name);
  }
  std::vector<std::string> notes = fit.notes;
  notes.insert(
      notes.begin(),
      fmt::format("{} pulses; left over {:.1f} mA, noise {:.1f} mA: {:.2f} times{}", fit.pulses,
                  fit.residual_a * 1e3, fit.noise_a * 1e3, fit.misfit_ratio,
                  fit.misfit ? ". MISFIT: the model lacks something that this trace shows; "
                               "intervals are widened, and still may be too narrow"
                             : ""));
  for (const auto& [reason, name] : held) notes.push_back(name + ": " + reason);
  return "<h2>The model fitted to it</h2>\n" + table_html(table) + "<div class=\"small\">" +
         list_html(notes) + "</div>";
}

std::string cautions() {
  return "<div class=\"small flat\"><h2>Cautions</h2>\n" +
         list_html(
             {"Liquid under pressure: face shield and gloves at bench pulses, water first; point "
              "the "
              "outlet into a cup that is held. Lines hold pressure after the supply is off: bleed "
              "them, read zero on a gauge and cut the valve's supply before anything is opened.",
              "A coil that is held on gets hot. Product: follow its label, its safety data sheet "
              "and "
              "local codes; contain spills, flush after.",
              "A model is a design aid, no measurement: it was checked against exact solutions and "
              "published figures, not against this valve. The instructions of the maker of machine "
              "and valve come first."}) +
         "</div>\n";
}

std::string origin(const ValveCheck& check) {
  const ValveProgramme& p = check.programme;
  return "<div class=\"small\">" +
         paragraph_html(fmt::format(
             "Limits: {}{}. Setup {}, {} pulse every {} at {}; {}. Program {}, result {}.",
             check.limits.file.empty() ? "none" : check.limits.file,
             check.limits.note.empty() ? "" : " (" + check.limits.note + ")", p.setup.name,
             ms(p.setup.drive.on_time_s) + " ms", ms(p.setup.drive.period_s) + " ms",
             shown(p.setup.supply_pa, Measure::kPressure, Units::kMetric),
             p.setup.drive.decay == CurrentDecay::kFast ? "fast decay" : "slow decay",
             check.hashes.program, check.hashes.result)) +
         "</div>\n";
}

}  // namespace

std::string valve_sheet_html(const ValveCheck& check, Units units) {
  const ValveProgramme& p = check.programme;
  const std::string subject =
      "Valve sheet: " + (p.setup.title.empty() ? p.setup.name : p.setup.title) +
      (check.trace_name.empty() ? ", by its model" : ", by the trace " + check.trace_name);
  std::string body = std::string(kSheetStyle);
  body += verdict_html(subject, valve_sentence(check, units), "",
                       check.verdict.standing == ValveStanding::kNotInOrder);
  body +=
      "<p class=\"write\">Valve no. <span>&nbsp;</span> Date <span>&nbsp;</span> By "
      "<span>&nbsp;</span></p>\n";
  if (!check.verdict.limits.empty()) {
    Table table{"",
                {"Held against limits", "figure", "limit", "", "check next"},
                limit_lines(check, units),
                5};
    body += "<div class=\"limits\">" + table_html(table) + "</div>\n";
  }
  const bool traced = check.findings.has_value();
  const std::vector<std::vector<std::string>> lines = figure_lines(check, units);
  // With a trace the last lines go to the other column: both then end at the foot of the page.
  const std::size_t here = traced ? kFirstLines : lines.size();
  Table figures{"", {}, {lines.begin(), lines.begin() + static_cast<std::ptrdiff_t>(here)}, 2};
  Table further{"", {}, {lines.begin() + static_cast<std::ptrdiff_t>(here), lines.end()}, 2};
  const std::string programme =
      std::string("<h2>") +
      (check.fit ? "Programme of the fitted valve" : "Standard programme, modelled") + "</h2>\n" +
      table_html(figures);
  // A trace's own figures take the room of the bursts and conditions: those stay in valve.json.
  std::string left = traced ? trace_section(*check.findings) + fit_section(check) +
                                  "<h2>Programme, continued</h2>\n" + table_html(further)
                            : programme + bursts_table(p);
  std::string right = figure_html(valve_pulse_svg(check), "");
  right += figure_html(valve_dose_svg(check), "");
  if (traced) {
    right += programme;
  } else {
    if (!p.repetitions.empty()) right += figure_html(valve_repetition_svg(check), "");
    right += conditions_table(p, units);
  }
  body += "<div class=\"two\"><div>" + left + "</div><div>" + right + "</div></div>\n";
  if (!traced) body += "<div class=\"small\">" + lifts_line(p, units) + "</div>\n";
  return page_html(subject, body + cautions() + origin(check));
}

}  // namespace sim
