#include "sim/study/rate/rate_passes.h"

#include <algorithm>

#include "sim/study/rate/rate.h"
#include "sim/study/run/run.h"

namespace sim::rate {
namespace {

/// Distances between neighbours at rest, of all rows.
std::vector<double> spacings_of(const run::RunResult& run) {
  std::vector<double> spacings_m;
  for (const measure::RowRecord& row : run.record.rows) {
    std::vector<double> rest_m;
    for (const measure::SeedRecord& seed : row.seeds) rest_m.push_back(seed.rest_x_ground_m);
    std::sort(rest_m.begin(), rest_m.end());
    for (std::size_t k = 1; k < rest_m.size(); ++k)
      if (rest_m[k] > rest_m[k - 1]) spacings_m.push_back(rest_m[k] - rest_m[k - 1]);
  }
  return spacings_m;
}

RatePass pass_of(const scenario::Scenario& scenario, const std::atomic<bool>* stop) {
  const run::RunResult run =
      run::run_scenario(scenario, {.watch = {}, .stop = stop, .on_progress = {}});
  RatePass pass{.treated_ratio =
                    scenario.rate.continuous
                        ? 1.0
                        : treated_ratio(spacings_of(run), scenario.rate.band_length_m)};
  pass.planned_m3pm2 = field_average_rate_m3pm2(scenario.rate.in_band_m3pm2, pass.treated_ratio);
  pass.passed_m3pm2 = run.summary.all.field_rate_m3pm2;
  return pass;
}

}  // namespace

RatePasses pass_rates(const RateResult& result, const std::atomic<bool>* stop) {
  const scenario::Scenario full = planned_scenario(result);
  scenario::Scenario ideal = full;
  ideal.row.physics = scenario::RowPhysics::kIdeal;
  ideal.controller.row_trim = false;
  ideal.sensor.sensor.missed_ratio = 0.0;
  ideal.sensor.sensor.doubled_ratio = 0.0;
  ideal.sensor.sensor.jitter_s = 0.0;
  ideal.noise.outlet_mount_m = 0.0;
  ideal.noise.sensor_height_m = 0.0;
  ideal.noise.speed_noise_mps = 0.0;
  return {.ideal = pass_of(ideal, stop), .full = pass_of(full, stop)};
}

}  // namespace sim::rate
