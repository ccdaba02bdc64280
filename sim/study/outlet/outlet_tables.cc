#include "sim/study/outlet/outlet_tables.h"

#include <array>
#include <nlohmann/json.hpp>

#include "sim/output/hash.h"
#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/output/write_folder.h"
#include "sim/scenario/loader.h"
#include "sim/study/outlet/outlet_choice.h"
#include "sim/study/outlet/outlet_report.h"
#include "sim/study/run/seal.h"
#include "sim/study/run/summary_fields.h"

namespace sim::outlet {
namespace {

using Json = nlohmann::ordered_json;

/// One figure of a candidate: its column in candidates.csv and its key in summary.json.
struct TableColumn {
  const char* name;
  double (*read_si)(const OutletCandidate&);
};

constexpr std::array kColumns = {
    TableColumn{"outlet_bore_m", [](const OutletCandidate& c) { return c.part.bore_m; }},
    TableColumn{"tube_bore_m", [](const OutletCandidate& c) { return c.part.tube_bore_m; }},
    TableColumn{"tube_length_m", [](const OutletCandidate& c) { return c.part.tube_length_m; }},
    TableColumn{"hose_bore_m", [](const OutletCandidate& c) { return c.part.hose_bore_m; }},
    TableColumn{"hose_length_m", [](const OutletCandidate& c) { return c.part.hose_length_m; }},
    TableColumn{"wave_speed_mps", [](const OutletCandidate& c) { return c.wave_speed_mps; }},
    TableColumn{"wave_speed_least_mps",
                [](const OutletCandidate& c) { return c.wave_speeds.least_mps; }},
    TableColumn{"wave_speed_most_mps",
                [](const OutletCandidate& c) { return c.wave_speeds.most_mps; }},
    TableColumn{"largest_flow_m3ps", [](const OutletCandidate& c) { return c.largest_flow_m3ps; }},
    TableColumn{"pressure_pa", [](const OutletCandidate& c) { return c.pressure_pa; }},
    TableColumn{"pressure_margin_ratio", [](const OutletCandidate& c) { return c.pressure_ratio; }},
    TableColumn{"jet_speed_mps", [](const OutletCandidate& c) { return c.jet.speed_mps; }},
    TableColumn{"least_jetting_speed_mps",
                [](const OutletCandidate& c) { return c.jet.least_jetting_speed_mps; }},
    TableColumn{"thrust_over_seed_weight_ratio",
                [](const OutletCandidate& c) { return c.jet.thrust_over_seed_weight_ratio; }},
    TableColumn{"jet_margin_ratio", [](const OutletCandidate& c) { return c.jet_margin_ratio; }},
    TableColumn{"plugging_ratio", [](const OutletCandidate& c) { return c.plugging_ratio; }},
    TableColumn{"rise_s", [](const OutletCandidate& c) { return c.pulses.alone.rise_s; }},
    TableColumn{"fall_s", [](const OutletCandidate& c) { return c.pulses.alone.fall_s; }},
    TableColumn{"tail_s", [](const OutletCandidate& c) { return c.pulses.alone.tail_s; }},
    TableColumn{"secondary_ratio",
                [](const OutletCandidate& c) { return c.pulses.alone.secondary_ratio; }},
    TableColumn{"worst_rise_s", [](const OutletCandidate& c) { return c.pulses.worst.rise_s; }},
    TableColumn{"worst_fall_s", [](const OutletCandidate& c) { return c.pulses.worst.fall_s; }},
    TableColumn{"worst_tail_s", [](const OutletCandidate& c) { return c.pulses.worst.tail_s; }},
    TableColumn{"worst_secondary_ratio",
                [](const OutletCandidate& c) { return c.pulses.worst.secondary_ratio; }},
    TableColumn{"interference_m",
                [](const OutletCandidate& c) { return c.pulses.interference_m(); }},
    TableColumn{"worst_rate_hz", [](const OutletCandidate& c) { return c.pulses.worst_rate_hz(); }},
    TableColumn{"dose_change_ratio",
                [](const OutletCandidate& c) { return c.pulses.dose_change_ratio(); }},
    TableColumn{"largest_void_m3",
                [](const OutletCandidate& c) { return c.pulses.largest_void_m3; }},
    TableColumn{"void_at_rest_m3", [](const OutletCandidate& c) { return c.full.closed.void_m3; }},
    TableColumn{"void_after_pass_m3", [](const OutletCandidate& c) { return c.full.pass.void_m3; }},
    TableColumn{"void_after_stop_m3", [](const OutletCandidate& c) { return c.full.stop.void_m3; }},
    TableColumn{"free_gas_m3", [](const OutletCandidate& c) { return c.full.free_gas_m3; }},
    TableColumn{"refill_after_pass_m",
                [](const OutletCandidate& c) { return c.full.pass.refill_m; }},
    TableColumn{"refill_after_stop_m",
                [](const OutletCandidate& c) { return c.full.stop.refill_m; }},
    TableColumn{"cost_m", [](const OutletCandidate& c) { return c.cost_m; }}};

constexpr std::array<const char*, kDemands> kDemandKeys = {
    "serves_rate", "holds_pressure", "follows",    "holds_liquid",
    "jets",        "leaves_seed",    "passes_grit"};

// A part that was not pulsed has no pulse figures; the zeros in its structs must not be shown.
bool of_pulses(const TableColumn& column) {
  const std::string name = column.name;
  for (const char* word : {"rise_s", "fall_s", "tail_s", "secondary", "interference", "worst_",
                           "dose_", "void", "refill", "cost"})
    if (name.find(word) != std::string::npos) return true;
  return false;
}

double value_si(const TableColumn& column, const OutletCandidate& one) {
  return one.pulsed || !of_pulses(column) ? column.read_si(one) : statistics::kNone_ratio;
}

Json standing_fields(const StandingVoid& v) {
  return {{"time_s", output::number_or_null(v.time_s)},
          {"dried_m3", output::number_or_null(v.dried_m3)},
          {"contracted_m3", output::number_or_null(v.contracted_m3)},
          {"gas_m3", output::number_or_null(v.gas_m3)},
          {"bubble_radius_m", output::number_or_null(v.bubble_radius_m)},
          {"void_m3", output::number_or_null(v.void_m3)},
          {"refill_s", output::number_or_null(v.refill_s)},
          {"refill_m", output::number_or_null(v.refill_m)}};
}

Json full_fields(const Fullness& full) {
  return {{"holds_liquid", full.holds_liquid()},
          {"holds", full.holds},
          {"hang_m", output::number_or_null(full.hang_m)},
          {"widest_bore_m", output::number_or_null(full.widest_bore_m)},
          {"widest_void_tube_m", output::number_or_null(full.widest_void_tube_m)},
          {"void_stays", full.void_stays},
          {"jurin_m", output::number_or_null(full.jurin_m)},
          {"tallest_column_m", output::number_or_null(full.tallest_column_m)},
          {"free_gas_m3", output::number_or_null(full.free_gas_m3)},
          {"closed", standing_fields(full.closed)},
          {"pass", standing_fields(full.pass)},
          {"stop", standing_fields(full.stop)}};
}

Json rates_fields(const PulseFigures& pulses) {
  Json list = Json::array();
  for (const RateFigures& rate : pulses.rates)
    list.push_back({{"rate_hz", output::number_or_null(rate.rate_hz)},
                    {"speed_mps", output::number_or_null(rate.speed_mps)},
                    {"on_time_s", output::number_or_null(rate.on_time_s)},
                    {"lead_change_s", output::number_or_null(rate.lead_change_s)},
                    {"lag_change_s", output::number_or_null(rate.lag_change_s)},
                    {"dose_change_ratio", output::number_or_null(rate.dose_change_ratio)},
                    {"change_m", output::number_or_null(rate.change_m())},
                    {"follows", rate.follows}});
  return list;
}

Json candidate_fields(const OutletCandidate& one) {
  Json object = Json::object();
  object["tube_wall"] = one.part.tube_wall;
  object["hose_wall"] = one.part.hose_wall;
  for (const TableColumn& column : kColumns)
    object[column.name] = output::number_or_null(value_si(column, one));
  for (std::size_t k = 0; k < kDemands; ++k) object[kDemandKeys[k]] = one.holds[k];
  object["works"] = one.works;
  object["looked_at_closely"] = one.looked_at_closely;
  object["pareto"] = one.pareto;
  object["changes"] = one.changes;
  object["fullness"] = full_fields(one.full);
  return object;
}

Json assumed_fields(const StandingAssumptions& assumed) {
  return {{"pause_s", output::number_or_null(assumed.pause_s)},
          {"stop_s", output::number_or_null(assumed.stop_s)},
          {"humidity_ratio", output::number_or_null(assumed.humidity_ratio)},
          {"temperature_change_k", output::number_or_null(assumed.temperature_k)},
          {"expansion_per_k", output::number_or_null(assumed.expansion)},
          {"solubility_ratio", output::number_or_null(assumed.solubility_ratio)},
          {"solubility_fall_per_k", output::number_or_null(assumed.solubility_fall)},
          {"gas_diffusivity_m2ps", output::number_or_null(assumed.gas_diffusivity_m2ps)},
          {"bubbles_pm2", output::number_or_null(assumed.bubbles_pm2)}};
}

Json outlet_fields(const OutletResult& result, bool with_hashes) {
  Json object = Json::object();
  object["schema"] = "sillion.outlet.1";
  object["name"] = result.scenario.name;
  object["attachment"] = result.scenario.attachment.name;
  object["recommended"] = nullptr;
  if (result.recommended >= 0) {
    const auto best = static_cast<std::size_t>(result.recommended);
    object["recommended"] = candidate_fields(result.candidates[best]);
    object["recommended"]["index"] = result.recommended;
    object["recommended"]["rates"] = rates_fields(result.candidates[best].pulses);
  }
  object["nearest_workable"] = result.nearest_workable;
  object["stated"] = candidate_fields(result.candidates[result.stated]);
  object["pareto"] = Json::array();
  std::size_t works = 0;
  for (std::size_t k = 0; k < result.candidates.size(); ++k) {
    works += result.candidates[k].works ? 1 : 0;
    if (result.candidates[k].pareto) object["pareto"].push_back(k);
  }
  object["counts"] = {{"judged", result.candidates.size()}, {"work", works}};
  object["flow_m3ps"] = output::number_or_null(result.flow_m3ps);
  object["speed_mps"] = output::number_or_null(result.speed_mps);
  object["strainer"] = {{"mesh", result.strainer.mesh},
                        {"opening_m", output::number_or_null(result.strainer.opening_m)}};
  object["assumed"] = assumed_fields(result.assumed);
  if (with_hashes) object["hashes"] = run::hash_fields(result.hashes);
  return object;
}

}  // namespace

std::string outlet_json(const OutletResult& result) {
  return output::json_text(outlet_fields(result, true));
}

std::string candidates_csv(const OutletResult& result) {
  std::string text = "index,tube_wall,hose_wall";
  for (const TableColumn& column : kColumns) text += std::string(",") + column.name;
  for (const char* key : kDemandKeys) text += std::string(",") + key;
  text += ",works,looked_at_closely,pareto,changes\n";
  for (std::size_t k = 0; k < result.candidates.size(); ++k) {
    const OutletCandidate& one = result.candidates[k];
    text += std::to_string(k) + "," + one.part.tube_wall + "," + one.part.hose_wall;
    for (const TableColumn& column : kColumns)
      text += "," + output::number_text(value_si(column, one));
    for (const bool holds : one.holds) text += holds ? ",1" : ",0";
    text += one.works ? ",1" : ",0";
    text += one.looked_at_closely ? ",1" : ",0";
    text += one.pareto ? ",1," : ",0,";
    text += std::to_string(one.changes) + "\n";
  }
  return text;
}

void seal(OutletResult& result) {
  result.hashes =
      run::hashes_of(result.scenario, {},
                     output::json_text(outlet_fields(result, false)) + candidates_csv(result));
}

void write_outlet(const OutletResult& result, const std::filesystem::path& out,
                  output::Units units) {
  const std::array<output::ResultFile, 3> files = {
      {{"summary.json", outlet_json(result)},
       {"candidates.csv", candidates_csv(result)},
       {"report.html", outlet_report_html(result, units)}}};
  output::write_folder(files, out);
}

}  // namespace sim::outlet
