// The page of a rig run: its histories over one time axis, the pulses as a table, and the setup.
#include <algorithm>
#include <cmath>

#include "sim/output/axes.h"
#include "sim/output/cautions.h"
#include "sim/output/coil_words.h"
#include "sim/output/html.h"
#include "sim/study/rig/measured_beside.h"
#include "sim/study/rig/rig_tables.h"
#include "sim/study/run/line_words.h"
#include "sim/study/run/sections.h"

namespace sim::rig {
namespace {

constexpr double kWidth_px = 760.0;
constexpr double kLeft_px = 176.0;
constexpr double kRight_px = 748.0;
constexpr double kTop_px = 30.0;
constexpr double kPanel_px = 92.0;
constexpr double kGap_px = 14.0;

struct Panel {
  const char* name;
  const char* note;
  std::vector<double> RigSeries::* column;  // tidy: unit is SI
  text::Kind kind;
  const MeasuredColumn* measured = nullptr;
};

constexpr Panel kPanels[] = {
    {"current", "of the coil", &RigSeries::current_a, text::Kind::kCurrent},
    {"lift", "plunger off its seat", &RigSeries::lift_m, text::Kind::kLength},
    {"pressure, inlet", "where the tube starts", &RigSeries::inlet_pressure_pa,
     text::Kind::kPressure},
    {"flow, inlet", "into the tube", &RigSeries::inlet_flow_m3ps, text::Kind::kFlow},
    {"pressure, midway", "", &RigSeries::middle_pressure_pa, text::Kind::kPressure},
    {"pressure, outlet", "", &RigSeries::outlet_pressure_pa, text::Kind::kPressure},
    {"flow, outlet", "what leaves", &RigSeries::outlet_flow_m3ps, text::Kind::kFlow},
    {"cavity", "at the tube's start", &RigSeries::valve_cavity_m3, text::Kind::kVolume},
    {"void", "at the outlet", &RigSeries::outlet_void_m3, text::Kind::kVolume}};

// Least and largest value in each pixel column: spikes stay, points that no screen can show are
// dropped.
std::vector<output::Point> envelope(const std::vector<double>& time_s,
                                    const std::vector<double>& column_si,
                                    const output::Axis& x_axis, const output::Axis& y_axis) {
  std::vector<output::Point> points;
  std::size_t i = 0;
  while (i < time_s.size()) {
    const double pixel_px = std::floor(x_axis.px(time_s[i]));
    std::size_t low = i, high = i, end = i;
    for (; end < time_s.size() && std::floor(x_axis.px(time_s[end])) == pixel_px; ++end) {
      if (column_si[end] < column_si[low]) low = end;
      if (column_si[end] > column_si[high]) high = end;
    }
    for (const std::size_t at : {std::min(low, high), std::max(low, high)})
      if (std::isfinite(column_si[at]))
        points.push_back({x_axis.px(time_s[at]), y_axis.px(column_si[at])});
    i = end;
  }
  return points;
}

bool moves(const std::vector<double>& column_si) {
  return std::any_of(column_si.begin(), column_si.end(), [](double v) { return v != 0.0; });
}

/// What of a measured column the time axis shows.
MeasuredColumn shown_part(const MeasuredColumn& column, const output::Axis& x_axis) {
  MeasuredColumn part{.history = column.history};
  for (std::size_t i = 0; i < column.time_s.size(); ++i) {
    if (!x_axis.holds(column.time_s[i])) continue;
    part.time_s.push_back(column.time_s[i]);
    part.values_si.push_back(column.values_si[i]);
  }
  return part;
}

void draw_panel(output::Drawing& drawing, const Panel& panel, const RigSeries& series,
                output::Units units, const output::Axis& x_axis, double top_px) {
  const std::vector<double>& column_si = series.*(panel.column);
  const MeasuredColumn measured =
      panel.measured == nullptr ? MeasuredColumn{} : shown_part(*panel.measured, x_axis);
  double low_si = 0.0, high_si = 0.0;
  for (const auto* values_si : {&column_si, &measured.values_si})
    for (const double value_si : *values_si) {
      if (!std::isfinite(value_si)) continue;
      low_si = std::min(low_si, value_si);
      high_si = std::max(high_si, value_si);
    }
  const output::ShownUnit unit = shown_unit_of(panel.kind, units);
  if (high_si <= low_si) high_si = low_si + 1.0 / unit.per_si_ratio;
  const double room_si = 0.08 * (high_si - low_si);
  const double foot_px = top_px + kPanel_px;
  const output::Axis y_axis{low_si < 0.0 ? low_si - room_si : 0.0, high_si + room_si, foot_px,
                            top_px, unit};
  output::draw_y_ticks(drawing, y_axis, kLeft_px, kRight_px, 4);
  drawing.line({kLeft_px, y_axis.px(0.0)}, {kRight_px, y_axis.px(0.0)}, {output::kMuted, 0.8});
  output::open_panel(drawing, x_axis, "time", y_axis, panel.name);
  drawing.name(panel.measured == nullptr ? panel.name : std::string(panel.name) + ", model");
  drawing.path(envelope(series.time_s, column_si, x_axis, y_axis), {output::kBlue, 1.5});
  drawing.name(std::string(panel.name) + ", measured");
  drawing.dots(envelope(measured.time_s, measured.values_si, x_axis, y_axis), 4.0, output::kOrange);
  drawing.name("");
  drawing.close_group();
  drawing.text({4.0, top_px + 18.0}, output::with_unit(panel.name, unit),
               {12.0, output::Anchor::kStart, output::kInk, true});
  drawing.text({4.0, top_px + 34.0}, panel.note, {10.5, output::Anchor::kStart, output::kMuted});
  if (panel.measured != nullptr)
    drawing.text({4.0, top_px + 48.0}, "line: model; dots: measured",
                 {10.5, output::Anchor::kStart, output::kMuted});
}

/// The panels of a run: what moves or was measured; `measured_alone`: of these the measured ones.
std::vector<Panel> panels_of(const RigResult& result, bool measured_alone) {
  std::vector<Panel> panels;
  for (Panel panel : kPanels) {
    const std::vector<double>& column_si = result.series.*(panel.column);
    if (column_si.empty()) continue;
    if (result.setup.measured.columns != nullptr)
      for (const MeasuredColumn& column : *result.setup.measured.columns)
        if (column.history->values == panel.column) panel.measured = &column;
    if (panel.measured != nullptr || (moves(column_si) && !measured_alone)) panels.push_back(panel);
  }
  return panels;
}

output::Drawing histories(const RigResult& result, output::Units units, bool measured_alone) {
  const RigSeries& series = result.series;
  const std::vector<Panel> panels = panels_of(result, measured_alone);
  const double foot_px = kTop_px + (kPanel_px + kGap_px) * static_cast<double>(panels.size());
  output::Drawing drawing(kWidth_px, foot_px + 44.0);
  const output::Axis x_axis{
      series.time_s.front(), series.time_s.back(), kLeft_px, kRight_px, {"ms", 1e3, 0.0, 1}};
  output::draw_x_axis(drawing, x_axis, foot_px, kTop_px, "time, ms", 10);
  for (std::size_t k = 0; k < result.pulses.size() && result.pulses.size() <= 12; ++k)
    for (const auto& [at_s, word] :
         {std::pair{result.pulses[k].on_s, "on"}, {result.pulses[k].off_s, "off"}}) {
      if (!x_axis.holds(at_s)) continue;
      output::open_panel(drawing, x_axis, "time");
      drawing.line({x_axis.px(at_s), kTop_px - 8.0}, {x_axis.px(at_s), foot_px},
                   {output::kOrange, 1.1, "6 3"});
      drawing.text({x_axis.px(at_s), kTop_px - 13.0}, word,
                   {11.0, output::Anchor::kMiddle, output::kOrange, true});
      drawing.close_group();
    }
  for (std::size_t i = 0; i < panels.size(); ++i)
    draw_panel(drawing, panels[i], series, units, x_axis,
               kTop_px + (kPanel_px + kGap_px) * static_cast<double>(i));
  return drawing;
}

constexpr const char* kHistories = "Histories of the rig";
constexpr const char* kPanelsDescribed =
    "Panels over one time axis in milliseconds: pressures and flows at the tube's start and at the "
    "outlet, and where they move, current, lift, cavity and void. Dashed lines mark on and off "
    "commands.";

std::string histories_svg(const RigResult& result, output::Units units) {
  if (result.series.time_s.size() < 2) return {};
  return histories(result, units, false).inline_svg("histories", kHistories, kPanelsDescribed);
}

output::Table pulses_table(const RigResult& result, output::Units units) {
  output::Table table{
      "Pulses. Places in travel direction from where the outlet was at the on command.",
      {"Pulse", "On", "Off", "Lead", "Lag", "Flight", "Volume", "Start", "End", "Centroid",
       "Secondary"},
      {},
      1};
  const auto time = [&](double t_s) {
    return output::shown(t_s, output::Measure::kTime, units, 2);
  };
  const auto place = [&](double x_m) {
    return output::shown(x_m, output::Measure::kPlace, units, units == output::Units::kUs ? 4 : 2);
  };
  constexpr std::size_t kMostShown = 60;
  for (std::size_t k = 0; k < std::min(result.pulses.size(), kMostShown); ++k) {
    const RigPulse& pulse = result.pulses[k];
    table.lines.push_back({std::to_string(k), time(pulse.on_s), time(pulse.off_s),
                           time(pulse.lead_s), time(pulse.lag_s), time(pulse.flight_s),
                           output::shown(pulse.volume_m3, output::Measure::kDose, units,
                                         units == output::Units::kUs ? 5 : 4),
                           place(pulse.start_x_m), place(pulse.end_x_m), place(pulse.centroid_x_m),
                           output::shown(pulse.secondary_ratio, output::Measure::kShare, units)});
  }
  return table;
}

output::Table setup_table(const RigResult& result, output::Units units) {
  const RigSetup& setup = result.setup;
  const model::Liquid& liquid = setup.liquid.liquid;
  output::Table table{"How the rig was set up and solved", {"What", "Value"}, {}, 1};
  const auto add = [&](const std::string& what, const std::string& value) {
    table.lines.push_back({what, value});
  };
  add("Liquid",
      setup.liquid.name + ", " +
          output::shown(setup.liquid.temperature_k, output::Measure::kTemperature, units));
  add("Density, viscosity",
      text::format_quantity(liquid.density_kgpm3, text::Kind::kDensity, "kg/m3", 5) + ", " +
          text::format_quantity(liquid.viscosity_pas, text::Kind::kViscosity, "mPa s", 5));
  const auto line = [&](const model::Line& one) {
    return output::shown(one.length_m, output::Measure::kDistance, units, 3) + " × " +
           (units == output::Units::kUs
                ? output::shown(one.bore_m, output::Measure::kPlace, units, 4)
                : output::shown(one.bore_m, output::Measure::kBore, units, 2)) +
           ", " + output::shown(one.wave_speed_mps, output::Measure::kJetSpeed, units, 1);
  };
  if (setup.inlet == RigInlet::kChain)
    add("Hose: length × bore, wave speed", line(setup.part.hose));
  if (setup.inlet == RigInlet::kChain)
    for (const output::CoilKey& one : output::coil_keys(setup.part.valve.coil, units))
      add("Solenoid: " + one.key, one.value);
  add("Tube: length × bore, wave speed", line(setup.part.tube));
  add("Step, cells of hose and tube",
      text::format_quantity(result.fit.step_s, text::Kind::kTime, "us", 5) + ", " +
          output::shown(result.fit.hose_cells, output::Measure::kNumber, units, 1) + ", " +
          output::shown(result.fit.tube_cells, output::Measure::kNumber, units, 1));
  add("Form", setup.solver.form == model::LineForm::kDense
                  ? "dense: friction in every cell, 26 terms of its memory"
                  : "fast: friction at stations");
  if (result.form.judged) add("Judged", run::line_words(result.form, units));
  return table;
}

}  // namespace

std::string rig_html(const RigResult& result, output::Units units) {
  const RigSetup& setup = result.setup;
  const std::string subject = setup.title.empty() ? setup.name : setup.title;
  std::string body = output::verdict_html(subject, rig_sentence(result, units) + ".", "", false);
  body += output::section_html("Histories",
                               output::figure_html(histories_svg(result, units),
                                                   "Means of a step for pressures and flows."));
  if (!result.pulses.empty())
    body += output::section_html("Pulses", output::table_html(pulses_table(result, units)));
  const bool compared = setup.measured.columns != nullptr;
  if (compared)
    body += output::section_html("Beside the measurement",
                                 output::table_html(measured_table(result, units)));
  body += output::section_html(
      "Setup", output::table_html(setup_table(result, units)) +
                   output::paragraph_html(
                       compared ? "Simulated. The dots are those of the setup's measurement."
                                : "Simulated. No bench or field measurement was compared."));
  return output::page_html(subject, body + output::cautions_section());
}

std::string rig_svg(const RigResult& result, output::Units units) {
  const RigSetup& setup = result.setup;
  const bool measured = setup.measured.columns != nullptr;
  if (result.series.time_s.size() < 2) return {};
  return histories(result, units, measured)
      .file_svg(setup.title.empty() ? setup.name : setup.title,
                measured ? "Panels over one time axis in milliseconds, one for each measured "
                           "history: the model as a line, the measurement as dots."
                         : kPanelsDescribed);
}

}  // namespace sim::rig
