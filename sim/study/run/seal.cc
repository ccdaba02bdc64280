#include "sim/study/run/seal.h"

#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "sim/output/hash.h"
#include "sim/output/hash_of_parts.h"
#include "sim/output/json_text.h"
#include "sim/scenario/loader.h"
#include "sim/study/run/summary_fields.h"
#include "sim/study/run/tables.h"
#include "source_hash.h"

namespace sim::run {
namespace {

using Json = nlohmann::ordered_json;

Json line_fields(const model::Line& line) {
  Json creep = Json::array();
  for (const model::CreepElement& element : line.creep)
    creep.push_back(
        {output::number_or_null(element.compliance_ppa), output::number_or_null(element.time_s)});
  return {
      {"length_m", output::number_or_null(line.length_m)},
      {"bore_m", output::number_or_null(line.bore_m)},
      {"wave_speed_mps", output::number_or_null(line.wave_speed_mps)},
      {"rise_m", output::number_or_null(line.rise_m)},
      {"wall",
       {output::number_or_null(line.wall.thickness_m), output::number_or_null(line.wall.modulus_pa),
        output::number_or_null(line.wall.poisson_ratio), static_cast<int>(line.wall.restraint)}},
      {"creep", creep}};
}

Json valve_fields(const model::Valve& valve) {
  Json list = Json::array();
  for (const double value :  // tidy: in the order of model/row_params.h
       {valve.coil.resistance_ohm,
        valve.coil.inductance_h,
        valve.coil.force_constant_npa,
        valve.plunger.mass_kg,
        valve.plunger.preload_n,
        valve.plunger.spring_rate_npm,
        valve.plunger.damping_nspm,
        valve.plunger.coulomb_friction_n,
        valve.plunger.travel_m,
        valve.plunger.restitution_ratio,
        valve.seat.diameter_m,
        valve.seat.half_angle_rad,
        valve.seat.discharge_coefficient_ratio,
        valve.seat.laminar_coefficient_ratio,
        valve.seat.flow_force_ratio,
        valve.coil.temperature_k,
        valve.coil.thermal_kpw,
        valve.coil.thermal_time_s,
        valve.coil.ambient_k,
        valve.wear.cycles_ratio,
        valve.wear.volume_m3,
        valve.wear.life_cycles_ratio,
        valve.wear.life_volume_m3,
        valve.wear.gap_at_life_m,
        valve.wear.land_m})
    list.push_back(output::number_or_null(value));
  const model::Reluctance& iron = valve.coil.reluctance;
  if (valve.coil.clamp_v > 0.0 || valve.coil.diode_v > 0.0) {
    list.push_back(output::number_or_null(valve.coil.clamp_v));
    list.push_back(output::number_or_null(valve.coil.diode_v));
  }
  if (valve.coil.chop_hz > 0.0)
    list.push_back({{"chop", output::number_or_null(valve.coil.chop_hz)}});
  if (valve.coil.force_law == model::ForceLaw::kTable) {
    const model::LinkageTable& table = valve.coil.table;
    list.push_back(output::number_or_null(iron.eddy_ohm));
    for (const std::vector<double>* values : {&table.lift_m, &table.current_a, &table.linkage_vs}) {
      Json numbers = Json::array();
      for (const double value : *values)
        numbers.push_back(output::number_or_null(value));  // tidy: SI
      list.push_back(numbers);
    }
  }
  if (valve.coil.force_law == model::ForceLaw::kReluctance)
    for (const double value :  // tidy: in the order of model/row_params.h
         {iron.gap_m, iron.leakage_h, iron.saturation_vs, iron.half_current_a, iron.remanence_a,
          iron.eddy_ohm})
      list.push_back(output::number_or_null(value));
  return list;
}

Json supply_fields(const scenario::SupplySection& supply) {
  const model::Manifold& manifold = supply.manifold;
  Json list = Json::array();
  for (const double value :  // tidy: in the order of sim/scenario/scenario.h
       {manifold.pump_m3ps, manifold.pump_pa, manifold.override_pa, manifold.relief_lag_s,
        manifold.volume_m3, manifold.modulus_pa, manifold.tank_m3, supply.exchange_s,
        supply.harness_ohm, supply.row_harness_ohm})
    list.push_back(output::number_or_null(value));
  list.push_back(manifold.curve == model::PumpCurve::kParabola);
  return list;
}

std::string controller_hash(const scenario::Scenario& scenario) {
  if (scenario.controller.library.empty()) return kControllerSourceHash;
  std::ifstream file(scenario.controller.library, std::ios::binary);
  const std::string bytes{std::istreambuf_iterator<char>(file), {}};
  if (!file.good() && !file.eof())
    throw output::OutputError(scenario.controller.library + ": cannot read the controller library");
  return output::short_hash_hex(bytes);
}

}  // namespace

output::RunHashes input_hashes(const scenario::Scenario& scenario) {
  return {.scenario = output::short_hash_hex(scenario::canonical_text(scenario)),
          .parameters = {},
          .controller = controller_hash(scenario),
          .program = kProgramSourceHash,
          .result = {}};
}

std::string inputs_hash(const scenario::Scenario& scenario) {
  const output::RunHashes hashes = input_hashes(scenario);
  return output::short_hash_hex(hashes.scenario + hashes.controller + hashes.program);
}

output::RunHashes hashes_of(const scenario::Scenario& scenario, const tune::TunedTable& tuned,
                            const std::string& result_text) {
  return {.scenario = output::short_hash_hex(scenario::canonical_text(scenario)),
          .parameters = output::short_hash_hex(parameter_text(scenario, tuned)),
          .controller = controller_hash(scenario),
          .program = kProgramSourceHash,
          .result = output::short_hash_hex(result_text)};
}

std::string parameter_text(const scenario::Scenario& scenario, const tune::TunedTable& tuned) {
  const model::Liquid& liquid = scenario.liquid.liquid;
  const scenario::AttachmentSection& part = scenario.attachment;
  const model::SolverParams& solver = scenario.solver;
  Json object = Json::object();
  object["liquid"] = Json::array(
      {output::number_or_null(liquid.density_kgpm3), output::number_or_null(liquid.viscosity_pas),
       output::number_or_null(liquid.bulk_modulus_pa),
       output::number_or_null(liquid.vapour_pressure_abs_pa),
       output::number_or_null(liquid.surface_tension_npm), output::number_or_null(liquid.gas_ratio),
       output::number_or_null(liquid.abrasiveness_ratio)});
  object["supply"] = supply_fields(scenario.supply);
  object["hose"] = line_fields(part.hose);
  object["valve"] = valve_fields(part.valve);
  object["tube"] = line_fields(part.tube);
  object["outlet"] = Json::array({output::number_or_null(part.outlet.bore_m),
                                  output::number_or_null(part.outlet.discharge_coefficient_ratio),
                                  output::number_or_null(part.outlet.laminar_coefficient_ratio),
                                  output::number_or_null(part.outlet.length_m)});
  object["gas_volume_m3"] = output::number_or_null(part.gas_volume_m3);
  object["gas_place"] = static_cast<int>(part.gas_place);
  object["jet"] = Json::array({output::number_or_null(part.jet.drop_height_m),
                               output::number_or_null(part.jet.aim_rad),
                               output::number_or_null(part.jet.side_aim_rad),
                               output::number_or_null(part.jet.guide_length_m),
                               output::number_or_null(part.jet.guide_speed_mps)});
  object["outlet_offset_m"] = output::number_or_null(part.outlet_offset_m);
  object["hold_current_a"] = output::number_or_null(part.hold_current_a);
  object["solver"] = Json::array({solver.form == model::LineForm::kDense, solver.step_ns,
                                  solver.hose_stations, solver.tube_stations, solver.kernel_terms,
                                  solver.cavities, solver.outlet_void, solver.turbulence});
  if (scenario.solver.single) object["precision"] = "single";
  object["tuned"] = tuned_fields(tuned);
  return output::json_text(object);
}

output::RunHashes hashes_without_controller(const std::string& parameters,
                                            const std::string& result_text) {
  return {.scenario = {},
          .parameters = output::short_hash_hex(parameters),
          .controller = {},
          .program = kProgramSourceHash,
          .result = output::short_hash_hex(result_text)};
}

void seal(RunResult& result, const LongTables* tables) {
  if (tables == nullptr) {
    result.hashes =
        hashes_of(result.scenario, result.tuned, unhashed_summary_json(result) + seeds_csv(result));
    return;
  }
  result.hashes = hashes_of(result.scenario, result.tuned, {});
  output::HashOfParts hash;
  hash.add(unhashed_summary_json(result) + seeds_header());
  for (output::SpilledText* row : tables->seeds)
    row->read([&](std::string_view piece) { hash.add(piece); });
  result.hashes.result = hash.short_hex();
}

}  // namespace sim::run
