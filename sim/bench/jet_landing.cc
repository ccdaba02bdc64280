#include "sim/bench/jet_landing.h"

#include <algorithm>
#include <cmath>

#include "model/reproducible_math.h"

namespace sim::bench {

JetLanding::JetLanding(const scenario::Scenario& scenario, const model::Travel& travel,
                       const RowFixed& fixed, const RandomStream& stream)
    : scenario_(scenario),
      travel_(travel),
      fixed_(fixed),
      stream_(stream),
      direction_(model::direction_of(scenario.attachment.jet)),
      curves_(
          std::any_of(travel.knots.begin(), travel.knots.end(),
                      [](const model::TravelKnot& knot) { return knot.yaw_rate_radps != 0.0; })) {}

LandingPlace on_tangent(double x_ground_m, double ahead_m, double speed_mps,
                        double yaw_rate_radps) {
  if (yaw_rate_radps == 0.0 || speed_mps == 0.0) return {x_ground_m + ahead_m, 0.0};
  const double radius_m = std::abs(speed_mps / yaw_rate_radps);
  const double squared_m2 = ahead_m * ahead_m;
  return {x_ground_m + radius_m * model::atan2_of(ahead_m, radius_m),
          squared_m2 / (std::sqrt(radius_m * radius_m + squared_m2) + radius_m)};
}

LandingPlace JetLanding::place(shared::Instant start, shared::Duration step,
                               const model::RowStepOutput& out) {
  const double mid_s = start.seconds() + 0.5 * step.seconds();
  const model::RowMotion motion = model::row_motion_at(travel_, fixed_.y_unit_m, mid_s);
  const double drop_x_m = motion.x_ground_m + scenario_.drop_x_unit_m;
  const double outlet_x_m = drop_x_m - scenario_.attachment.outlet_offset_m + fixed_.outlet_shift_m;
  double straight_x_m = outlet_x_m + motion.speed_mps * scenario_.row.flight_time_s;
  if (scenario_.row.physics == scenario::RowPhysics::kFull) {
    model::JetAim aim = scenario_.attachment.jet;
    aim.drop_height_m = drop_height_m(motion.x_ground_m);
    straight_x_m = outlet_x_m +
                   model::jet_reach_m(out.jet_speed_mps, motion.speed_mps, aim, direction_) +
                   motion.speed_mps * scenario_.ideal.still_shift_s;
  }
  if (!curves_) return {straight_x_m, 0.0};
  return on_tangent(drop_x_m, straight_x_m - drop_x_m, motion.speed_mps,
                    model::motion_at(travel_, mid_s).yaw_rate_radps);
}

/// The row rides over the ground: the drop height is drawn at knots of the ground and interpolated,
/// with unit variance at the knots and between them.
double JetLanding::drop_height_m(double x_ground_m) {
  const scenario::NoiseSection& noise = scenario_.noise;
  const double mean_m = scenario_.attachment.jet.drop_height_m;
  if (noise.drop_height_ride_m <= 0.0) return mean_m;
  const double place_ratio = std::max(0.0, x_ground_m) / noise.ride_length_m;
  const auto knot = static_cast<long long>(place_ratio);
  if (knot != knot_) {
    knot_ = knot;
    for (int k = 0; k < 2; ++k)
      knot_ratio_[k] = stream_.normal_ratio(Purpose::kRide, static_cast<std::uint64_t>(knot + k));
  }
  const double w_ratio = place_ratio - static_cast<double>(knot);
  const double ride_ratio = ((1.0 - w_ratio) * knot_ratio_[0] + w_ratio * knot_ratio_[1]) /
                            std::sqrt((1.0 - w_ratio) * (1.0 - w_ratio) + w_ratio * w_ratio);
  return std::max(0.1 * mean_m, mean_m + noise.drop_height_ride_m * ride_ratio);
}

}  // namespace sim::bench
