#include "model/furrow/outlet_jet.h"
#include "shared/units.h"
#include "sim/measure/summary.h"

namespace sim {
namespace {

// Maize: 10.04 +- 1.06 mm long (Agriculture 14(2):192, section 2.1).
constexpr double kHalfSeed_m = 5.0e-3;

}  // namespace

JetFigures jet_figures(std::span<const RowRecord> rows, const Scenario& scenario) {
  double weighted_sum = 0.0, volume_m3 = 0.0;
  for (const RowRecord& row : rows) {
    weighted_sum += row.jet_speed_sum_mps;
    volume_m3 += row.applied_volume_m3;
  }
  JetFigures jet;
  if (!(volume_m3 > 0.0)) return jet;
  jet.speed_mps = weighted_sum / volume_m3;
  const AttachmentSection& attachment = scenario.attachment;
  const model::Outlet& outlet = attachment.outlet;
  const double bore_area_m2 = shared::kPi_ratio * outlet.bore_m * outlet.bore_m / 4.0;
  const double flow_m3ps = jet.speed_mps * outlet.discharge_coefficient_ratio * bore_area_m2;
  if (!(flow_m3ps > 0.0) || !(scenario.sensor.seed_mass_kg > 0.0)) return jet;
  jet.thrust_over_seed_weight_ratio = model::jet_thrust_over_seed_weight_ratio(
      scenario.liquid.liquid, outlet, flow_m3ps, scenario.sensor.seed_mass_kg);
  const double reach_m = 0.5 * outlet.bore_m + kHalfSeed_m + 2.0 * scenario.noise.outlet_mount_m;
  jet.may_move_seed = !attachment.guided && jet.thrust_over_seed_weight_ratio > 1.0 &&
                      attachment.lateral_clearance_m < reach_m;
  return jet;
}

}  // namespace sim
