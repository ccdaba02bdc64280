#include "sim/study/run/seed_parts.h"

#include "model/seed/delivery.h"
#include "shared/check.h"
#include "sim/bench/row_fixed.h"
#include "sim/bench/travel_of.h"
#include "sim/scenario/rate_zones.h"
#include "sim/study/tune/table_reading.h"

namespace sim::run {
namespace {

/// Where this row lays a seed without scatter that passes the sensor at `edge_s`.
double unscattered_rest_m(const scenario::Scenario& scenario, const bench::RowFixed& built,
                          double edge_s) {
  const model::Travel travel = bench::travel_of(scenario);
  const auto motion = [&](double time_s) {
    return model::row_motion_at(travel, built.y_unit_m, time_s);
  };
  const double half_way_s =
      0.5 * model::nominal_delivery_time_s(scenario.delivery, motion(edge_s).speed_mps);
  const model::Delivered delivered =
      model::deliver(scenario.delivery, motion(edge_s + half_way_s).speed_mps, built.sensor_shift_m,
                     {.time_normal_ratio = 0.0,
                      .rest_normal_ratio = model::mean_bounce_draw_ratio(scenario.delivery)});
  return motion(edge_s + delivered.time_s).x_ground_m + scenario.drop_x_unit_m + delivered.bounce_m;
}

}  // namespace

SeedParts seed_parts(const RunResult& result, int row, int seed) {
  const measure::RowRecord& record = result.record.rows[static_cast<std::size_t>(row)];
  const measure::SeedRecord& one = record.seeds[static_cast<std::size_t>(seed)];
  EXPECTS(one.band >= 0);
  const measure::BandRecord& band = record.bands[static_cast<std::size_t>(one.band)];
  const bench::RowFixed built = bench::drawn_row(result.scenario, row);
  const double speed_mps =
      model::row_motion_at(bench::travel_of(result.scenario), built.y_unit_m, one.edge_s).speed_mps;
  const double flow_m3ps = scenario::in_band_rate_m3pm2(result.scenario.rate, band.open_s) *
                           result.scenario.row.width_m * speed_mps;
  const double due_s =
      one.edge_s + tune::pulse_order(result.tuned.table, flow_m3ps, speed_mps).delay_s;
  const auto index = static_cast<std::size_t>(row);
  const double trim_m =
      index < result.trim_um.size() ? static_cast<double>(result.trim_um[index]) * 1e-6 : 0.0;
  SeedParts parts;
  parts.seed_m = unscattered_rest_m(result.scenario, built, one.edge_s) - one.rest_x_ground_m;
  parts.controller_m = speed_mps * (band.open_s - due_s) - trim_m;
  parts.row_m = one.placement_error_m - parts.seed_m - parts.controller_m;
  return parts;
}

}  // namespace sim::run
