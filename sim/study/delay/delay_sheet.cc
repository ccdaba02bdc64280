// The printed sheet of a delay table, made for two sides of A4 or Letter: what to enter, how far to
// trust it, and its limits.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/output/cautions.h"
#include "sim/output/html.h"
#include "sim/output/shown_units.h"
#include "sim/study/delay/delay_tables.h"
#include "sim/study/delay/holding_words.h"
#include "sim/study/delay/plots_delay.h"
#include "sim/study/run/sections.h"

namespace sim::delay {
namespace {

constexpr std::string_view kSheetStyle = R"css(<style>
main { max-width: 980px; }
.two { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); gap: 4px 26px;
  align-items: start; }
.two table { font-size: 12.5px; line-height: 1.3; }
.two h2, .small h2 { margin-top: 18px; }
.small ul { columns: 2; column-gap: 26px; max-width: none; }
.small li { font-size: 13px; line-height: 1.35; }
@media (max-width: 760px) {
  .two { display: block; }
  .small ul { columns: 1; }
  .speeds table { font-size: 11.5px; }
  .speeds th, .speeds td { padding: 2px 6px 2px 0; }
}
@media print {
  @page { margin: 10mm 12mm; }
  h1, .margin { font-size: 12.5pt; line-height: 1.2; }
  h2 { font-size: 10.5pt; margin: 8px 0 2px; padding-top: 3px; }
  p, li { font-size: 8.5pt; line-height: 1.25; max-width: none; margin: 2px 0; }
  ul { max-width: none; margin: 2px 0; }
  figure { margin: 4px 0; }
  figure svg { max-width: 80%; }  /* two sheets, also of Letter */
  table { font-size: 8.5pt; line-height: 1.2; margin: 3px 0 5px; }
  th, td { padding: 1.2px 9px 1.2px 0; }
  .two { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); }
  .two table { font-size: 8pt; }
  .small ul { columns: 2; }
  .small li { font-size: 8pt; }
  .next { break-before: page; }
}
</style>
)css";

std::string range_words(const HeldRange& range, output::Measure measure, output::Units units) {
  if (!std::isfinite(range.low_si)) return "nowhere";
  if (range.low_si == range.high_si)
    return "at " + output::shown(range.low_si, measure, units) + " alone";
  return span_words(range.low_si, range.high_si, measure, units);
}

std::string share(double share_ratio) {
  return output::shown(share_ratio, output::Measure::kShare, output::Units::kMetric);
}

/// Figures of the header in the reader's units; the file keeps its own words, in SI and unrounded.
std::string shown_header(const DelayStudy& study, const std::string& key, const std::string& words,
                         output::Units units) {
  const scenario::Scenario& scenario = study.scenario;
  const scenario::AttachmentSection& part = scenario.attachment;
  const auto place = [&](double length_m) {
    return output::shown_plain(length_m, output::Measure::kPlace, units, 1);
  };
  const auto line = [&](const model::Line& one) {
    return output::shown(one.length_m, output::Measure::kDistance, units) + " of " +
           place(one.bore_m) + ", wave speed " +
           output::shown(one.wave_speed_mps, output::Measure::kJetSpeed, units);
  };
  if (key == "band_length") return place(scenario.rate.band_length_m);
  if (key == "outlet_offset") return place(part.outlet_offset_m);
  if (key == "outlet")
    return "bore " + place(part.outlet.bore_m) + ", drop height " + place(part.jet.drop_height_m);
  if (key == "hose") return line(part.hose);
  if (key == "tube") return line(part.tube);
  if (key == "temperature")
    return output::shown(scenario.liquid.temperature_k, output::Measure::kTemperature, units);
  if (key == "pressure")
    return "at most " +
           output::shown(scenario.supply.pressure_pa, output::Measure::kPressure, units) + ", " +
           output::shown(study.start.pressure_pa, output::Measure::kPressure, units) +
           " at the judged speed";
  if (key == "rate")
    return output::shown(scenario.rate.in_band_m3pm2, output::Measure::kRate, units) + " in band";
  if (key == "spacing") return place(scenario.seeding.meter.spacing_m);
  return words;
}

std::string header_table(const DelayStudy& study, output::Units units) {
  output::Table table{"What was tuned, and on what.", {}, {}, 2};
  for (const auto& [key, words] : delay_file_of(study).header) {
    std::string name = key;
    std::replace(name.begin(), name.end(), '_', ' ');
    table.lines.push_back({name, shown_header(study, key, words, units)});
  }
  table.lines.push_back(
      {"shortest on time; closed time, in which the plunger still seats (fast switch-off)",
       fmt::format("{:.2f} ms; {:.2f} ms, at every row speed", study.table.shortest_on_us * 1e-3,
                   study.table.shortest_closed_us * 1e-3)});
  table.lines.push_back(
      {"evidence grade", study.grade + (study.date.empty() ? "" : " of " + study.date)});
  table.lines.push_back({"check sum, schema",
                         fmt::format("{:08x}, {}", study.table.check_sum, scenario::kDelaySchema)});
  table.lines.push_back({"program", study.hashes.program});
  return output::table_html(table);
}

/// Decimals for places: tenths of a millimetre, or thousandths of an inch.
int place_decimals(output::Units units) { return units == output::Units::kUs ? 3 : 1; }

std::string orders_table(const DelayStudy& study, output::Units units) {
  const output::ShownUnit place = output::shown_unit(output::Measure::kPlace, units);
  const output::ShownUnit speed = output::shown_unit(output::Measure::kSpeed, units);
  const output::ShownUnit pressure = output::shown_unit(output::Measure::kPressure, units);
  output::Table table{"",
                      {"row speed, " + std::string(speed.word), "D, ms", "on, ms",
                       "pressure, " + std::string(pressure.word), "D may be off, ms",
                       "smallest spacing, " + std::string(place.word)},
                      {},
                      0};
  for (const DelaySpeed& at : study.speeds)
    table.lines.push_back(
        {output::shown_number(at.speed_mps, speed, 1),
         at.servable ? fmt::format("{:.2f}", at.delay_s * 1e3) : std::string("not servable"),
         fmt::format("{:.2f}", at.on_s * 1e3),
         output::shown_number(at.pressure_pa, pressure, pressure.decimals),
         std::isfinite(at.early_s) && std::isfinite(at.late_s)
             ? fmt::format("−{:.2f} to +{:.2f}", at.early_s * 1e3, at.late_s * 1e3)
             : std::string("does not hold"),
         output::shown_number(at.smallest_spacing_m, place, place_decimals(units))});
  return output::table_html(table);
}

std::string shares_table(const DelayStudy& study, output::Units units) {
  const output::ShownUnit place = output::shown_unit(output::Measure::kPlace, units);
  const output::ShownUnit speed = output::shown_unit(output::Measure::kSpeed, units);
  const std::string unit(place.word);
  output::Table table{"",
                      {"row speed, " + std::string(speed.word), "residual, " + unit, "sd, " + unit,
                       "floor, " + unit, "10 mm", "25 mm", "half band"},
                      {},
                      0};
  for (const DelaySpeed& at : study.speeds) {
    const auto number = [&](double value_si) {
      return output::shown_number(value_si, place, place_decimals(units));
    };
    table.lines.push_back({output::shown_number(at.speed_mps, speed, 1),
                           number(at.mean.value_m) + " ± " + number(at.mean.half_m),
                           number(at.trimmed_sd_m), number(at.floor_sd_m),
                           share(at.trimmed[0].share_ratio), share(at.trimmed[1].share_ratio),
                           share(at.trimmed[2].share_ratio)});
  }
  return output::table_html(table);
}

std::string speeds_tables(const DelayStudy& study, output::Units units) {
  return "<div class=\"two speeds\">\n<div>\n" +
         output::paragraph_html(
             "What to enter, by row speed, and by how much D may be off before 10 mm is lost.") +
         orders_table(study, units) + "</div>\n<div>\n" +
         output::paragraph_html(
             "How well the table holds, at seeds, speeds, temperatures, voltages and spacings that "
             "took no part in the fit: mean error before trims with its 95 % interval, sd of all "
             "seeds with trims, the part of it that no delay and no trim removes, share of the "
             "seeds within each distance.") +
         shares_table(study, units) + "</div>\n</div>\n";
}

std::string correction_line(const char* name, const sillion_correction& correction,
                            double per_unit_ratio, const char* unit, const char* outside,
                            bool told_apart) {
  if (correction.points == 0 || !told_apart)
    return std::string(name) +
           ": none; the residuals show no effect that stands out of their scatter.";
  std::string text = std::string(name) + ": lead and lag shift by ";
  for (int k = 0; k < correction.points; ++k)
    text += fmt::format("{}{:+.2f} / {:+.2f} ms at {:.3g} {}", k == 0 ? "" : ", ",
                        correction.lead_us[k] * 1e-3, correction.lag_us[k] * 1e-3,
                        correction.at[k] * per_unit_ratio, unit);
  return text + "; outside: " + outside + ".";
}

std::string corrections_list(const DelayStudy& study, output::Units units) {
  const sillion_attachment_table& table = study.table;
  std::vector<std::string> lines = {
      fmt::format("Pressure: lead and lag are read by the flow that the pressure gives, {} in {} "
                  "points; outside: hold and flag.",
                  span_words(table.pressure_pa[0], table.pressure_pa[table.points - 1],
                             output::Measure::kPressure, units),
                  table.points),
      table.lift_settable != 0
          ? std::string("Lift: the current of each point sets it.")
          : std::string("Lift: the plunger snaps to its stop, so lift corrects nothing; pressure "
                        "alone sets the rate."),
      correction_line("Voltage", table.voltage, 1e-3, "V", "hold and flag", study.fit.kept.voltage),
      correction_line("Viscosity", table.viscosity, 1e-3, "mPa s", "hold and flag",
                      study.fit.kept.viscosity),
      correction_line("Spacing (time since the last closing)", table.rest, 1e-3, "ms",
                      "hold: the pulse stands alone", study.fit.kept.rest)};
  if (table.viscosity.points > 0) {
    std::string text = "Pressures times ";
    for (int k = 0; k < table.viscosity.points; ++k)
      text += fmt::format("{}{:.3f} at {:.3g} mPa s", k == 0 ? "" : ", ",
                          table.viscosity_pressure_q12[k] / 4096.0, table.viscosity.at[k] * 1e-3);
    lines.push_back(text + ", as entered in the controller.");
  }
  return output::list_html(lines);
}

std::string trust_list(const DelayStudy& study, output::Units units) {
  const auto law = [&](const LawError& error) {
    return output::shown_signed(error.time.value_s, output::Measure::kTime, units) + " ± " +
           output::shown(error.time.half_s, output::Measure::kTime, units, 2) + " and " +
           output::shown_signed(error.distance.value_m, output::Measure::kPlace, units) + " ± " +
           output::shown(error.distance.half_m, output::Measure::kPlace, units);
  };
  std::vector<std::string> lines = {
      "Holds means: " + holding_words(study.scenario, study.plan.judging, units) + ".",
      "The table that the passes were simulated with was off by " + law(study.fit.whole) +
          " (time and distance, separated by speed).",
      "What is left at unseen conditions: " + law(study.left) + ".",
      fmt::format(
          "Measured trims bring the spread from row to row from {} to {} (sd of row means).",
          output::shown(study.rows_before_sd_m, output::Measure::kPlace, units),
          output::shown(study.rows_after_sd_m, output::Measure::kPlace, units)),
      "Valid box at " + output::shown(study.box.speed_mps, output::Measure::kSpeed, units) + ": " +
          (valid_box_words(study, units).empty() ? "10 mm does not hold even in the middle"
                                                 : valid_box_words(study, units)) +
          ". Where the temperature is not entered in the controller: " +
          range_words(study.box.temperature_unentered_k, output::Measure::kTemperature, units) +
          "."};
  for (int t = 0; t < kTolerances; ++t) {
    const HeldRange with = speeds_held_mps(study, t, true),
                    without = speeds_held_mps(study, t, false);
    const char* names[] = {"10 mm", "25 mm", "half the band"};
    lines.push_back(std::string("95 % within ") + names[t] + " hold: with trims " +
                    range_words(with, output::Measure::kSpeed, units) + ", without trims " +
                    range_words(without, output::Measure::kSpeed, units) + ".");
  }
  double offset_m = -1e9;
  for (const DelaySpeed& at : study.speeds) offset_m = std::max(offset_m, at.smallest_offset_m);
  lines.push_back("Smallest outlet offset that serves all these speeds: " +
                  output::shown(offset_m, output::Measure::kPlace, units) +
                  " (negative: ahead of the seed).");
  for (const std::string& note : study.notes) lines.push_back(note);
  return output::list_html(lines);
}

std::string measured_section(const DelayStudy& study, output::Units units) {
  if (!study.measured) return {};
  const MeasuredLaw& law = *study.measured;
  output::Table table{
      "Measured points in the joint law. Residual: offset that the joint law does not explain.",
      {"line of the file", "speed", "offset", "stated ±", "residual", "judged"},
      {},
      1};
  for (const JudgedPoint& one : law.points)
    table.lines.push_back({std::to_string(one.point.line),
                           output::shown(one.point.speed_mps, output::Measure::kSpeed, units),
                           output::shown_signed(one.point.offset_m, output::Measure::kPlace, units),
                           output::shown(one.point.uncertainty_m, output::Measure::kPlace, units),
                           output::shown_signed(one.residual_m, output::Measure::kPlace, units),
                           one.outlier ? "outlier, left out" : "taken"});
  return output::section_html(
      "Measured points",
      output::paragraph_html(fmt::format(
          "Joint law: a = {:.2f} ± {:.2f} ms, b = {:.1f} ± {:.1f} mm; chi-square {:.1f} of {} "
          "degrees. {}",
          law.law.time_s * 1e3, law.time_half_s * 1e3, law.law.distance_m * 1e3,
          law.distance_half_m * 1e3, law.chi_square_ratio, law.freedom,
          law.prior_used ? "The simulated law took part with its own uncertainty."
                         : "The simulated law contradicts the points and was left out: the "
                           "measurement wins.")) +
          output::table_html(table));
}

constexpr std::size_t kTrimsAcross = 8;

std::string trims_table(const DelayStudy& study, output::Units units) {
  const output::ShownUnit place = output::shown_unit(output::Measure::kPlace, units);
  const auto number = [&](double value_si) {
    return output::shown_number(value_si, place, place_decimals(units));
  };
  std::string html = output::paragraph_html("Trim of each row and its 95 % interval, in " +
                                            std::string(place.word) +
                                            " (rows of the first report key, invented by the noise "
                                            "section: measure your own on a strip).");
  for (std::size_t from = 0; from < study.trims.size(); from += kTrimsAcross) {
    output::Table table{"", {"row"}, {{"trim"}, {"±"}}, 1};
    for (std::size_t k = from; k < std::min(from + kTrimsAcross, study.trims.size()); ++k) {
      table.head.push_back(std::to_string(k));
      table.lines[0].push_back(number(study.trims[k].trim_m));
      table.lines[1].push_back(number(study.trims[k].half_m));
    }
    html += output::table_html(table);
  }
  return html;
}

}  // namespace

std::string valid_box_words(const DelayStudy& study, output::Units units) {
  const DelayBox& box = study.box;
  if (!std::isfinite(box.temperature_k.low_si)) return {};
  return "holds 10 mm for " + range_words(box.temperature_k, output::Measure::kTemperature, units) +
         ", " + range_words(box.pressure_si, output::Measure::kPressure, units) + ", " +
         range_words(box.voltage_si, output::Measure::kVoltage, units);
}

std::string delay_sentence(const DelayStudy& study, output::Units units) {
  const std::string name = study.scenario.attachment.name;
  const HeldRange held = speeds_held_mps(study, 0, true);
  const LawError& found = study.fit.whole;
  const auto place = [&](double length_m) {
    return output::shown(length_m, output::Measure::kPlace, units, place_decimals(units));
  };
  const std::string law =
      fmt::format("D = {} + {} / v",
                  output::shown(study.table.delay_time_us * 1e-6, output::Measure::kTime, units),
                  place(study.table.delay_distance_um * 1e-6));
  if (!std::isfinite(held.high_si)) {
    const auto best = std::max_element(study.speeds.begin(), study.speeds.end(),
                                       [](const DelaySpeed& a, const DelaySpeed& b) {
                                         return a.trimmed[0].share_ratio < b.trimmed[0].share_ratio;
                                       });
    return fmt::format(
        "{}: 95 % within 10 mm hold at no row speed; best {} at {}; no delay removes a scatter of "
        "{} (sd); {}",
        name, share(best->trimmed[0].share_ratio),
        output::shown(best->speed_mps, output::Measure::kSpeed, units),
        output::shown(best->floor_sd_m, output::Measure::kPlace, units), law);
  }
  const bool one = held.low_si == held.high_si;
  return fmt::format(
      "{}: 95 % within 10 mm {} of row speed with trims; {}; the table it started from was off by "
      "{:+.2f} ± {:.2f} ms and {} ± {}",
      name, (one ? "" : "from ") + range_words(held, output::Measure::kSpeed, units), law,
      found.time.value_s * 1e3, found.time.half_s * 1e3, place(found.distance.value_m),
      place(found.distance.half_m));
}

std::string delay_sheet_html(const DelayStudy& study, output::Units units) {
  const bool holds = std::isfinite(speeds_held_mps(study, 0, true).high_si);
  return output::page_html(
      "Delay table: " + study.scenario.attachment.name,
      std::string(kSheetStyle) +
          output::verdict_html("Delay table, evidence grade: " + study.grade,
                               delay_sentence(study, units), scenario::kSimulatedCaution, !holds) +
          output::section_html(
              "Delays by row speed",
              speeds_tables(study, units) +
                  output::figure_html(residual_svg(study, units),
                                      "Thick grey bars: two sd of all seeds with trims, about 0. "
                                      "Thin bars with a tick: mean before trims and its 95 % "
                                      "interval. Dashed: 10 mm.")) +
          output::section_html("How far to trust it", trust_list(study, units)) +
          measured_section(study, units) + "<div class=\"two next\">\n<div>\n" +
          output::section_html("Reference", header_table(study, units)) + "</div>\n<div>\n" +
          output::section_html("Corrections", corrections_list(study, units)) +
          output::section_html("Trims", trims_table(study, units)) + "</div>\n</div>\n" +
          "<div class=\"small\">\n" + output::cautions_section() + "</div>\n");
}

}  // namespace sim::delay
