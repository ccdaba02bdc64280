#include <algorithm>
#include <cmath>

#include "model/furrow/guided_run.h"
#include "model/furrow/jet_shape.h"
#include "model/furrow/outlet_jet.h"
#include "model/reproducible_math.h"
#include "shared/units.h"
#include "sim/measure/summary.h"
#include "sim/statistics/spread.h"

namespace sim::measure {
namespace {

// Maize: 10.04 +- 1.06 mm long (Agriculture 14(2):192, section 2.1).
constexpr double kHalfSeed_m = 5.0e-3;

double down_ratio_of(const model::JetAim& aim) {
  return model::cos_of(aim.aim_rad) * model::cos_of(aim.side_aim_rad);
}

// What the stated speed on the surface means in time, and between which bounds it ought to lie.
void add_guide(const scenario::AttachmentSection& attachment, const model::Liquid& liquid,
               double flow_m3ps, JetFigures& jet) {
  const model::JetAim& aim = attachment.jet;
  if (!(aim.guide_length_m > 0.0)) return;
  const double down_ratio = down_ratio_of(aim);
  jet.guide_time_s = aim.guide_length_m / aim.guide_speed_mps;
  model::JetAim fall = aim;
  fall.guide_length_m = 0.0;
  fall.drop_height_m = aim.guide_length_m * down_ratio;
  jet.guide_least_time_s = model::jet_flight_time_s(jet.speed_mps, fall);
  jet.guide_most_time_s =
      aim.guide_length_m /
      model::film_speed_mps(liquid, flow_m3ps, attachment.guide_width_m, down_ratio);
  jet.guide_speed_outside =
      jet.guide_time_s < jet.guide_least_time_s || jet.guide_time_s > jet.guide_most_time_s;
}

// From where the liquid leaves outlet or guide to where it lands: path, speed there and shape.
void add_shape(const scenario::Scenario& scenario, const model::Outlet& outlet, JetFigures& jet) {
  const model::Liquid& liquid = scenario.liquid.liquid;
  model::JetAim aim = scenario.attachment.jet;
  double speed_mps = jet.speed_mps;
  if (aim.guide_length_m > 0.0) {
    speed_mps = aim.guide_speed_mps;
    aim.drop_height_m -= aim.guide_length_m * down_ratio_of(aim);
    aim.guide_length_m = 0.0;
  }
  const double diameter_m = outlet.bore_m * std::sqrt(outlet.discharge_coefficient_ratio);
  jet.numbers = model::jet_numbers(liquid, jet.speed_mps, diameter_m);
  jet.breakup_length_m = model::breakup_length_m(jet.numbers, diameter_m);
  jet.breakup_drop_m = model::breakup_drop_m(diameter_m);
  jet.least_jetting_speed_mps =
      model::least_jetting_speed_mps(liquid, outlet.bore_m, outlet.bore_m);
  jet.drips = jet.speed_mps * outlet.discharge_coefficient_ratio < jet.least_jetting_speed_mps;
  jet.flight_path_m = 0.0;
  if (aim.drop_height_m > 0.0) {
    const double along_m = model::jet_reach_m(speed_mps, 0.0, aim);
    const double side_m = model::jet_side_reach_m(speed_mps, aim);
    jet.flight_path_m = statistics::root_of_squares(aim.drop_height_m, along_m, side_m);
  }
  jet.breaks_up = !scenario.attachment.guided && jet.breakup_length_m < jet.flight_path_m;
  const double landing_mps =
      std::sqrt(speed_mps * speed_mps +
                2.0 * shared::kStandardGravity_mps2 * std::max(aim.drop_height_m, 0.0));
  jet.splash_ratio = model::splash_ratio(
      model::jet_numbers(liquid, landing_mps, jet.breaks_up ? jet.breakup_drop_m : diameter_m));
  jet.splashes = jet.splash_ratio > model::kSplash_ratio;
}

}  // namespace

JetFigures jet_figures(std::span<const RowRecord> rows, const scenario::Scenario& scenario) {
  double weighted_sum = 0.0, volume_m3 = 0.0;
  for (const RowRecord& row : rows) {
    weighted_sum += row.jet_speed_sum_mps;
    volume_m3 += row.applied_volume_m3;
  }
  JetFigures jet;
  if (!(volume_m3 > 0.0)) return jet;
  jet.speed_mps = weighted_sum / volume_m3;
  const scenario::AttachmentSection& attachment = scenario.attachment;
  const model::Outlet& outlet = attachment.outlet;
  const double bore_area_m2 = shared::kPi_ratio * outlet.bore_m * outlet.bore_m / 4.0;
  const double flow_m3ps = jet.speed_mps * outlet.discharge_coefficient_ratio * bore_area_m2;
  if (!(flow_m3ps > 0.0) || !(scenario.sensor.seed_mass_kg > 0.0)) return jet;
  jet.thrust_over_seed_weight_ratio = model::jet_thrust_over_seed_weight_ratio(
      scenario.liquid.liquid, outlet, flow_m3ps, scenario.sensor.seed_mass_kg);
  jet.landing_clearance_m = std::fabs(attachment.lateral_clearance_m +
                                      model::jet_side_reach_m(jet.speed_mps, attachment.jet));
  const double reach_m = 0.5 * outlet.bore_m + kHalfSeed_m + 2.0 * scenario.noise.outlet_mount_m;
  jet.may_move_seed = !attachment.guided && jet.thrust_over_seed_weight_ratio > 1.0 &&
                      jet.landing_clearance_m < reach_m;
  add_guide(attachment, scenario.liquid.liquid, flow_m3ps, jet);
  if (scenario.liquid.liquid.surface_tension_npm > 0.0) add_shape(scenario, outlet, jet);
  return jet;
}

}  // namespace sim::measure
