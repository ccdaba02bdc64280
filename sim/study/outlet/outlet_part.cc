#include "sim/study/outlet/outlet_part.h"

#include <algorithm>
#include <stdexcept>

#include "model/fluid/wave_speed.h"
#include "shared/check.h"
#include "sim/study/outlet/wall_materials.h"

namespace sim::outlet {
namespace {

const WallMaterial& material_of(const std::string& name) {
  for (const WallMaterial& material : kWallMaterials)
    if (material.name == name) return material;
  ENSURES(false);
  return kWallMaterials[0];
}

// The liquid of a loaded scenario includes its free gas; walls are computed with the liquid alone.
model::Liquid without_gas(model::Liquid liquid) {
  if (liquid.gas_ratio > 0.0) liquid.density_kgpm3 /= 1.0 - liquid.gas_ratio;
  return liquid;
}

struct WallChoice {
  const std::string& name;
  double pressure_abs_pa;  // compresses the free gas
};

void set_wall(model::Line& line, const model::Liquid& liquid, const WallChoice& choice,
              double modulus_pa = 0.0) {
  if (choice.name == kWallAsStated) {
    if (line.wall.thickness_m > 0.0)
      model::finish_line(line, without_gas(liquid), choice.pressure_abs_pa);
    return;
  }
  const WallMaterial& material = material_of(choice.name);
  line.wall = {.thickness_m = material.thickness_m,
               .modulus_pa = modulus_pa > 0.0 ? modulus_pa : material.modulus_pa,
               .poisson_ratio = material.poisson_ratio};
  line.creep.clear();
  model::finish_line(line, without_gas(liquid), choice.pressure_abs_pa);
}

// The longest step in nanoseconds with which the line has one cell more than its stations.
std::int64_t longest_step_ns(const model::Line& line, int stations) {
  const double cells_ratio = std::max(4, stations + 1);
  return static_cast<std::int64_t>(line.length_m / (line.wave_speed_mps * cells_ratio) * 1e9);
}

}  // namespace

OutletPart part_of(const scenario::Scenario& scenario) {
  const scenario::AttachmentSection& part = scenario.attachment;
  return {.bore_m = part.outlet.bore_m,
          .tube_bore_m = part.tube.bore_m,
          .tube_length_m = part.tube.length_m,
          .hose_bore_m = part.hose.bore_m,
          .hose_length_m = part.hose.length_m,
          .tube_wall = std::string(kWallAsStated),
          .hose_wall = std::string(kWallAsStated)};
}

int changes_between(const OutletPart& a, const OutletPart& b) {
  return (a.bore_m != b.bore_m) + (a.tube_bore_m != b.tube_bore_m) +
         (a.tube_length_m != b.tube_length_m) + (a.hose_bore_m != b.hose_bore_m) +
         (a.hose_length_m != b.hose_length_m) + (a.tube_wall != b.tube_wall) +
         (a.hose_wall != b.hose_wall);
}

scenario::Scenario with_part(const scenario::Scenario& scenario, const OutletPart& part) {
  scenario::Scenario made = scenario;
  scenario::AttachmentSection& attachment = made.attachment;
  attachment.outlet.bore_m = part.bore_m;
  attachment.tube.bore_m = part.tube_bore_m;
  // A tube that falls or climbs does so evenly along its length.
  if (attachment.tube.length_m > 0.0)
    attachment.tube.rise_m *= part.tube_length_m / attachment.tube.length_m;
  attachment.tube.length_m = part.tube_length_m;
  attachment.hose.bore_m = part.hose_bore_m;
  attachment.hose.length_m = part.hose_length_m;
  const model::Liquid& liquid = made.liquid.liquid;
  const double atmosphere_pa = shared::kStandardAtmosphere_pa;
  set_wall(attachment.tube, liquid, {part.tube_wall, atmosphere_pa});
  set_wall(attachment.hose, liquid, {part.hose_wall, atmosphere_pa + made.supply.pressure_pa});
  made.solver.step_ns =
      std::min({made.solver.step_ns, longest_step_ns(attachment.hose, made.solver.hose_stations),
                longest_step_ns(attachment.tube, made.solver.tube_stations)});
  return made;
}

std::vector<std::string> wall_names() {
  std::vector<std::string> names{std::string(kWallAsStated)};
  for (const WallMaterial& material : kWallMaterials) names.emplace_back(material.name);
  return names;
}

WaveSpeedRange tube_wave_speeds(const scenario::Scenario& scenario, const OutletPart& part) {
  model::Line line = with_part(scenario, part).attachment.tube;
  if (part.tube_wall == kWallAsStated) return {line.wave_speed_mps, line.wave_speed_mps};
  const WallMaterial& material = material_of(part.tube_wall);
  const WallChoice choice{part.tube_wall, shared::kStandardAtmosphere_pa};
  WaveSpeedRange range;
  set_wall(line, scenario.liquid.liquid, choice, material.least_modulus_pa);
  range.least_mps = line.wave_speed_mps;
  set_wall(line, scenario.liquid.liquid, choice, material.most_modulus_pa);
  range.most_mps = line.wave_speed_mps;
  return range;
}

}  // namespace sim::outlet
