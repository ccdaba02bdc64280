// What a valve check leaves behind for other programs: JSON, CSV, and the folder of its files.
#include <fmt/format.h>

#include <array>
#include <nlohmann/json.hpp>

#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/output/write_folder.h"
#include "sim/study/run/seal.h"
#include "sim/study/valve/valve_sheet.h"

namespace sim::valve {
namespace {

using Json = nlohmann::ordered_json;

Json pulse_fields(const rig::TimedPulse& pulse) {
  return {{"first_motion_s", output::number_or_null(pulse.first_motion_s)},
          {"at_stop_s", output::number_or_null(pulse.at_stop_s)},
          {"half_flow_up_s", output::number_or_null(pulse.half_up_s)},
          {"left_stop_s", output::number_or_null(pulse.left_stop_s)},
          {"seated_s", output::number_or_null(pulse.seated_s)},
          {"half_flow_down_s", output::number_or_null(pulse.half_down_s)},
          {"stop_bounce_s", output::number_or_null(pulse.stop_bounce_s)},
          {"stop_rebound_m", output::number_or_null(pulse.stop_rebound_m)},
          {"seat_bounce_s", output::number_or_null(pulse.seat_bounce_s)},
          {"seat_rebound_m", output::number_or_null(pulse.seat_rebound_m)},
          {"hold_a", output::number_or_null(pulse.hold_a)},
          {"dose_m3", output::number_or_null(pulse.dose_m3)}};
}

Json condition_fields(const std::vector<ConditionRun>& runs) {
  Json list = Json::array();
  for (const ConditionRun& run : runs)
    list.push_back({{"pressure_gauge_pa", output::number_or_null(run.conditions.pressure_pa)},
                    {"supply_v", output::number_or_null(run.conditions.supply_v)},
                    {"coil_k", output::number_or_null(run.conditions.coil_k)},
                    {"pulse", pulse_fields(run.pulse)}});
  return list;
}

Json numbers(const std::vector<double>& values) {  // tidy: unit the caller's
  Json list = Json::array();
  for (const double value : values)
    list.push_back(output::number_or_null(value));  // tidy: unit same
  return list;
}

Json line_fields(const DoseLine& line) {
  return {{"found", line.found},
          {"slope_m3ps", output::number_or_null(line.slope_m3ps)},
          {"dead_s", output::number_or_null(line.dead_s)},
          {"r2", output::number_or_null(line.r2_ratio)},
          {"from_s", output::number_or_null(line.from_s)},
          {"to_s", output::number_or_null(line.to_s)}};
}

Json programme_fields(const ValveProgramme& p) {
  Json repetitions = Json::array();
  for (const RepetitionRun& run : p.repetitions)
    repetitions.push_back({{"rate_hz", output::number_or_null(run.rate_hz)},
                           {"on_s", output::number_or_null(run.on_s)},
                           {"dose_error_ratio", output::number_or_null(run.error_ratio)},
                           {"seats_between", run.seats_between},
                           {"linear_share_ratio", output::number_or_null(run.linear_share_ratio)}});
  Json lifts = Json::array();
  for (const rig::HeldLift& held : p.lifts)
    lifts.push_back({{"current_a", output::number_or_null(held.current_a)},
                     {"lift_m", output::number_or_null(held.lift_m)},
                     {"flow_m3ps", output::number_or_null(held.flow_m3ps)}});
  return {{"nominal", pulse_fields(p.nominal)},
          {"widths_s", numbers(p.widths_s)},
          {"doses_m3", numbers(p.doses_m3)},
          {"dose_line", line_fields(p.line)},
          {"shortest_passing_s", output::number_or_null(p.shortest_passing_s)},
          {"shortest_closed_s", output::number_or_null(p.shortest_closed_s)},
          {"voltages", condition_fields(p.voltages)},
          {"coil_temperatures", condition_fields(p.temperatures)},
          {"pressures", condition_fields(p.pressures)},
          {"lifts", lifts},
          {"lift_settable", p.lift.settable},
          {"spring_rate_needed_npm", output::number_or_null(p.lift.spring_rate_needed_npm)},
          {"repetitions", repetitions},
          {"highest_repetition_hz", output::number_or_null(p.highest_repetition_hz)},
          {"repeatability",
           {{"pulses", p.repeat.pulses},
            {"dose_mean_m3", output::number_or_null(p.repeat.dose_mean_m3)},
            {"dose_sd_ratio", output::number_or_null(p.repeat.dose_sd_ratio)},
            {"opening_sd_s", output::number_or_null(p.repeat.opening_sd_s)},
            {"closing_sd_s", output::number_or_null(p.repeat.closing_sd_s)}}},
          {"steady_flow_m3ps", output::number_or_null(p.steady_m3ps)},
          {"smallest_dose_m3", output::number_or_null(p.smallest_m3)},
          {"repetition_hz", output::number_or_null(1.0 / p.setup.drive.period_s)},
          {"highest_m3ps", output::number_or_null(p.highest_m3ps)},
          {"leak_m3ps", output::number_or_null(p.leak_m3ps)},
          {"lowest_voltage_v", output::number_or_null(p.lowest_voltage_v)},
          {"resistance_ohm", output::number_or_null(p.resistance_ohm)},
          {"wear",
           {{"cycles", output::number_or_null(p.setup.part.valve.wear.cycles_ratio)},
            {"volume_m3", output::number_or_null(p.setup.part.valve.wear.volume_m3)},
            {"time_s", output::number_or_null(p.hours_so_far_s)},
            {"used_ratio", p.left.known ? output::number_or_null(p.used_ratio) : Json()},
            {"left_cycles", p.left.known ? output::number_or_null(p.left.cycles_ratio) : Json()},
            {"left_volume_m3", p.left.known ? output::number_or_null(p.left.volume_m3) : Json()},
            {"left_time_s", p.left.known ? output::number_or_null(p.left.time_s) : Json()}}}};
}

Json found_fields(const Found& found) {
  if (!found.seen()) return {};
  return {{"value", output::number_or_null(found.value)}, {"sd", output::number_or_null(found.sd)}};
}

/// The magnetic circuit of a reluctance solenoid.
Json circuit_fields(const model::Coil& coil) {
  const model::Reluctance& iron = coil.reluctance;
  return {{"gap_m", output::number_or_null(iron.gap_m)},
          {"leakage_h", output::number_or_null(iron.leakage_h)},
          {"saturation_vs", output::number_or_null(iron.saturation_vs)},
          {"half_current_a", output::number_or_null(iron.half_current_a)},
          {"eddy_ohm", output::number_or_null(iron.eddy_ohm)}};
}

Json findings_fields(const TraceFindings& f) {
  Json fields = {{"sample_hz", output::number_or_null(f.sample_hz)},
                 {"duration_s", output::number_or_null(f.duration_s)},
                 {"gaps", f.gaps},
                 {"pulses", f.pulses.size()},
                 {"noise_a", output::number_or_null(f.noise_a)},
                 {"resistance_ohm", found_fields(f.resistance_ohm)},
                 {"inductance_h", found_fields(f.inductance_h)},
                 {"linkage_vs", found_fields(f.linkage_vs)},
                 {"misfit_ratio", output::number_or_null(f.misfit_ratio)},
                 {"closing_seen", f.closing_seen},
                 {"pressure_gauge_pa", output::number_or_null(f.pressure_pa)},
                 {"leak_m3ps", output::number_or_null(f.leak_m3ps.value)},
                 {"leak_sd_m3ps", output::number_or_null(f.leak_m3ps.sd)},
                 {"cannot_tell", f.cannot_tell}};
  if (f.coil) fields["circuit"] = circuit_fields(*f.coil);
  return fields;
}

Json fit_fields(const ValveFit& fit) {
  Json values = Json::array();
  for (const FittedValue& value : fit.values)
    values.push_back(
        {{"key", value.key},
         {"setup_si", output::number_or_null(value.setup_si)},
         {"value_si", output::number_or_null(value.value_si)},
         {"half_width_si", value.told ? output::number_or_null(value.half_width_si) : Json()},
         {"told", value.told},
         {"why_held", value.why_held}});
  Json correlation = Json::array();
  for (Eigen::Index i = 0; i < fit.correlation.rows(); ++i) {
    Json row = Json::array();
    for (Eigen::Index j = 0; j < fit.correlation.cols(); ++j)
      row.push_back(output::number_or_null(fit.correlation(i, j)));
    correlation.push_back(row);
  }
  return {{"values", values},
          {"correlation", correlation},
          {"residual_a", output::number_or_null(fit.residual_a)},
          {"noise_a", output::number_or_null(fit.noise_a)},
          {"misfit_ratio", output::number_or_null(fit.misfit_ratio)},
          {"misfit", fit.misfit},
          {"pulses", fit.pulses},
          {"notes", fit.notes}};
}

const char* standing_key(LimitStanding standing) {
  switch (standing) {
    case LimitStanding::kHolds: return "holds";
    case LimitStanding::kViolated: return "violated";
    case LimitStanding::kUndecided: return "undecided";
    case LimitStanding::kNotSeen: return "not seen";
  }
  return "";
}

const char* verdict_key(ValveStanding standing) {
  switch (standing) {
    case ValveStanding::kInOrder: return "in order";
    case ValveStanding::kNotInOrder: return "not in order";
    case ValveStanding::kNoVerdict: return "none";
  }
  return "";
}

Json unsealed(const ValveCheck& check) {
  Json limits = Json::array();
  for (const JudgedLimit& judged : check.verdict.limits)
    limits.push_back({{"limit", std::string(judged.limit.kind->key)},
                      {"limit_si", output::number_or_null(judged.limit.limit_si)},
                      {"value_si", output::number_or_null(judged.figure.value_si)},
                      {"half_width_si", output::number_or_null(judged.figure.half_si)},
                      {"standing", standing_key(judged.standing)},
                      {"next", std::string(judged.limit.kind->next)}});
  Json object = {{"schema", "sillion.valve.1"},
                 {"name", check.programme.setup.name},
                 {"verdict", verdict_key(check.verdict.standing)},
                 {"sentence", valve_sentence(check, output::Units::kMetric)},
                 {"limits", limits},
                 {"trace", check.findings ? findings_fields(*check.findings) : Json()},
                 {"fit", check.fit ? fit_fields(*check.fit) : Json()},
                 {"fit_refused", check.fit_refused},
                 {"programme", programme_fields(check.programme)}};
  return object;
}

struct FoundColumn {
  const char* name;
  Found TracePulse::* found;
};
constexpr std::array kFoundColumns = {
    FoundColumn{"first_motion", &TracePulse::first_motion_after_s},
    FoundColumn{"at_stop", &TracePulse::at_stop_after_s},
    FoundColumn{"left_stop", &TracePulse::left_stop_after_s},
    FoundColumn{"seated", &TracePulse::seated_after_s},
    FoundColumn{"half_flow_up", &TracePulse::half_flow_up_after_s},
    FoundColumn{"half_flow_down", &TracePulse::half_flow_down_after_s}};

std::string fault_words(std::uint8_t faults) {
  static constexpr std::pair<std::uint8_t, const char*> kWords[] = {{kPulseMissing, "missing"},
                                                                    {kPulseLate, "late"},
                                                                    {kPulseBouncing, "bouncing"},
                                                                    {kPulseSticking, "sticking"},
                                                                    {kPulseClipped, "clipped"}};
  std::string words;
  for (const auto& [bit, word] : kWords)
    if ((faults & bit) != 0) words += (words.empty() ? "" : " ") + std::string(word);
  return words;
}

}  // namespace

std::string valve_json(const ValveCheck& check) {
  Json object = unsealed(check);
  object["hashes"] = {{"parameters", check.hashes.parameters},
                      {"program", check.hashes.program},
                      {"result", check.hashes.result}};
  return output::json_text(object);
}

std::string valve_pulses_csv(const TraceFindings& findings) {
  std::string text = "pulse,on_s,off_s";
  for (const FoundColumn& column : kFoundColumns)
    text += fmt::format(",{}_s,{}_sd_s", column.name, column.name);
  text += ",bounce_s,seat_bounce_s,lift_ratio,lift_off_a,hold_a,supply_v,dose_m3,faults\n";
  for (std::size_t k = 0; k < findings.pulses.size(); ++k) {
    const TracePulse& pulse = findings.pulses[k];
    text += std::to_string(k) + "," + output::number_text(pulse.on_s) + "," +
            output::number_text(pulse.off_s);
    for (const FoundColumn& column : kFoundColumns)
      text += "," + output::number_text((pulse.*column.found).value) + "," +
              output::number_text((pulse.*column.found).sd);
    for (const double value : {pulse.bounce_s, pulse.seat_bounce_s, pulse.lift_ratio,  // tidy: unit
                               pulse.lift_off_a, pulse.hold_a, pulse.supply_v,         // as named
                               pulse.dose_m3.value})
      text += "," + output::number_text(value);
    text += "," + fault_words(pulse.faults) + "\n";
  }
  return text;
}

void write_valve(ValveCheck& check, const std::filesystem::path& out, output::Units units) {
  check.hashes = run::hashes_without_controller(
      output::json_text(programme_fields(check.programme)), output::json_text(unsealed(check)));
  std::vector<output::ResultFile> files = {{"valve.json", valve_json(check)},
                                           {"sheet.html", valve_sheet_html(check, units)}};
  if (check.findings) files.push_back({"pulses.csv", valve_pulses_csv(*check.findings)});
  if (check.fit)
    files.push_back({"valve.toml", valve_file_text(*check.fit, check.programme.setup.name)});
  output::write_folder(files, out);
}

}  // namespace sim::valve
