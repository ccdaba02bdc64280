#include <cmath>

#include "sim/output/coil_words.h"
#include "sim/output/html.h"
#include "sim/output/number_text.h"
#include "sim/output/shown_units.h"
#include "sim/study/run/sections.h"
#include "sim/study/run/wear_lines.h"

namespace sim::run {
namespace {

std::string rate_line(const RunResult& result, output::Units units) {
  const tune::TunedTable& tuned = result.tuned;
  const std::string wanted =
      output::shown(tuned.flow_m3ps, output::Measure::kFlow, units) + " inside the band";
  const std::string most = output::shown(tuned.largest_flow_m3ps, output::Measure::kFlow, units) +
                           " at full supply pressure";
  if (!tuned.serves_rate)
    return "Does not serve the rate: it asks for " + wanted + ", and this attachment passes " +
           most + ".";
  return "Serves the rate: " + wanted + " is wanted and it passes " + most + "; " +
         output::shown(tuned.pressure_pa, output::Measure::kPressure, units) +
         " gives the wanted flow.";
}

std::string jet_line(const RunResult& result, output::Units units) {
  const measure::JetFigures& jet = result.summary.jet;
  if (!std::isfinite(jet.speed_mps)) return "No jet was measured.";
  const scenario::AttachmentSection& part = result.scenario.attachment;
  std::string line =
      "Jet speed " + output::shown(jet.speed_mps, output::Measure::kJetSpeed, units) +
      " through a bore of " + output::shown(part.outlet.bore_m, output::Measure::kBore, units) +
      "; its thrust is " +
      output::shown(jet.thrust_over_seed_weight_ratio, output::Measure::kNumber, units, 0) +
      " times the weight of a seed. ";
  line += part.guided ? "The liquid is guided down a surface; " : "Free jet, ";
  line += "lateral clearance " +
          output::shown_plain(part.lateral_clearance_m, output::Measure::kPlace, units) + ": ";
  return line +
         (jet.may_move_seed
              ? "it may move the seed, and an error against the resting seed then means nothing."
              : "it is assumed not to move the seed. Aimed at the seed, it would move it.");
}

// One sentence each: whole jet or drops, drip, splash, landing beside the seed line, the guide.
std::vector<std::string> shape_lines(const RunResult& result, output::Units units) {
  const measure::JetFigures& jet = result.summary.jet;
  const scenario::AttachmentSection& part = result.scenario.attachment;
  std::vector<std::string> lines;
  if (!std::isfinite(jet.breakup_length_m)) return lines;
  const auto place = [units](double length_m) {
    return output::shown(length_m, output::Measure::kPlace, units);
  };
  if (!part.guided)
    lines.push_back("The jet stays whole for " + place(jet.breakup_length_m) + " and flies " +
                    place(jet.flight_path_m) +
                    (jet.breaks_up ? ": it lands as drops of about " + place(jet.breakup_drop_m)
                                   : std::string(": it lands whole")) +
                    ".");
  if (jet.drips)
    lines.push_back("It drips: below " +
                    output::shown(jet.least_jetting_speed_mps, output::Measure::kJetSpeed, units) +
                    " in the bore no jet leaves this outlet.");
  lines.push_back(std::string(jet.splashes ? "It would splash" : "It would not splash") +
                  " on a dry solid wall (We^0.5 Re^0.25 = " +
                  output::shown(jet.splash_ratio, output::Measure::kNumber, units, 0) +
                  " against 57.7); nothing is claimed for soil.");
  if (part.jet.side_aim_rad != 0.0)
    lines.push_back("Aimed sideways it lands " + place(jet.landing_clearance_m) +
                    " beside the seed line.");
  if (std::isfinite(jet.guide_time_s))
    lines.push_back(
        "On the guide it takes " + output::shown(jet.guide_time_s, output::Measure::kTime, units) +
        " by the stated speed; free fall would take " +
        output::shown(jet.guide_least_time_s, output::Measure::kTime, units) +
        ", a film over the whole width " +
        output::shown(jet.guide_most_time_s, output::Measure::kTime, units) +
        (jet.guide_speed_outside ? ": the stated speed lies outside these bounds." : "."));
  return lines;
}

std::string lift_line(const RunResult& result, output::Units units) {
  const tune::TunedTable& tuned = result.tuned;
  const std::string needed =
      output::shown(tuned.spring_rate_needed_npm, output::Measure::kSpringRate, units);
  const std::string has = output::shown(result.scenario.attachment.valve.plunger.spring_rate_npm,
                                        output::Measure::kSpringRate, units);
  const bool grows = result.scenario.attachment.valve.coil.force_law != model::ForceLaw::kLinear;
  // By the other laws the magnet pulls harder as its gap closes: the spring has to exceed that too.
  const std::string against =
      grows ? " against pressure, flow and a pull that grows as the gap closes" : "";
  if (tuned.lift_settable)
    return "Lift and pressure set the rate: the spring (" + has +
           ") is stiff enough to hold a part lift (" + needed + " needed" + against + ").";
  return "Pressure alone sets the rate: the plunger snaps to its stop, because its spring (" + has +
         ") is softer than the " + needed + " that a part lift needs" + against + ".";
}

std::string solenoid_table(const model::Coil& coil, output::Units units) {
  output::Table table{"The solenoid's force law and its keys", {"valve.coil", "Value"}, {}, 2};
  for (const output::CoilKey& one : output::coil_keys(coil, units))
    table.lines.push_back({one.key, one.value});
  return output::table_html(table);
}

std::string delay_line(const RunResult& result, output::Units units) {
  const tune::TunedTable& tuned = result.tuned;
  std::string line =
      "Delay D = a + b/v with a = " +
      output::shown(tuned.delay_time_s, output::Measure::kTime, units) +
      " and b = " + output::shown(tuned.delay_distance_m, output::Measure::kPlace, units) + "; " +
      output::shown(tuned.delay_at_speed_s, output::Measure::kTime, units) +
      " at the judged speed. Lead " + output::shown(tuned.lead_s, output::Measure::kTime, units) +
      ", lag " + output::shown(tuned.lag_s, output::Measure::kTime, units) +
      ", both with the jet's flight.";
  const char* grades[] = {"simulated", "bench", "field"};
  const std::int32_t grade = tuned.table.evidence_grade;
  if (grade >= 0 && grade <= 2) line += " Evidence grade: " + std::string(grades[grade]) + ".";
  return line;
}

std::string offset_line(const RunResult& result, output::Units units) {
  const tune::TunedTable& tuned = result.tuned;
  return "Outlet offset " +
         output::shown_plain(result.scenario.attachment.outlet_offset_m, output::Measure::kPlace,
                             units) +
         "; the smallest with which this speed can be served is " +
         output::shown(tuned.smallest_offset_m, output::Measure::kPlace, units) +
         ". Shortest closed time, in which the plunger still seats at this pressure when the "
         "driver "
         "switches off fast: " +
         output::shown(tuned.shortest_closed_s, output::Measure::kTime, units) +
         "; bands closer than that merge.";
}

std::string grid_line(const RunResult& result) {
  const model::RowFit& fit = result.tuned.fit;
  const auto cells = [](const model::LineCells& of_line) {
    return output::shown(of_line.in_cells(), output::Measure::kNumber, output::Units::kMetric, 1);
  };
  return "Time step " + output::number_text(static_cast<double>(fit.step_ns) * 1e-3) + " µs" +
         "; hose " + cells(fit.hose) + " cells, tube " + cells(fit.tube) +
         " cells. Volume balance: largest residual " +
         output::shown(result.summary.all.balance_residual_ratio * 1e12, output::Measure::kNumber,
                       output::Units::kMetric, 1) +
         " parts in a million million of the throughput.";
}

}  // namespace

std::string attachment_section(const RunResult& result, output::Units units) {
  const scenario::Scenario& scenario = result.scenario;
  std::string inner;
  if (!scenario.attachment.name.empty())
    inner += output::paragraph_html(
        "Attachment “" + scenario.attachment.name + "”" +
        (scenario.attachment.note.empty() ? "" : ", " + scenario.attachment.note) + ".");
  std::vector<std::string> lines;
  if (scenario.row.physics == scenario::RowPhysics::kFull) {
    lines = {rate_line(result, units), jet_line(result, units)};
    for (const std::string& line : shape_lines(result, units)) lines.push_back(line);
    lines.push_back(lift_line(result, units));
    lines.push_back(wear_line(result, units));
  } else {
    lines.push_back("Ideal row: no valve, liquid or jet is behind these figures.");
  }
  lines.push_back(delay_line(result, units));
  lines.push_back(offset_line(result, units));
  if (scenario.row.physics == scenario::RowPhysics::kFull) lines.push_back(grid_line(result));
  inner += output::list_html(lines);
  if (scenario.row.physics == scenario::RowPhysics::kFull)
    inner += solenoid_table(scenario.attachment.valve.coil, units);
  return output::section_html("Rate, jet and timing of the attachment", inner);
}

}  // namespace sim::run
