#include "sim/study/score/stimulus.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "shared/time.h"
#include "sim/bench/pass.h"
#include "sim/bench/row_fixed.h"
#include "sim/bench/travel_of.h"
#include "sim/study/run/run.h"

namespace sim::score {
namespace {

constexpr double kAfterLastSeed_s = 0.5;

/// On and off in order of time; what overlaps or touches becomes one.
void add_on(Pin& pin, double on_s, double off_s) {
  const std::int64_t on_ns = shared::nanoseconds_of(on_s);
  const std::int64_t off_ns = shared::nanoseconds_of(off_s);
  if (off_ns <= on_ns) return;
  if (!pin.toggles_ns.empty() && on_ns <= pin.toggles_ns.back()) {
    pin.toggles_ns.back() = std::max(pin.toggles_ns.back(), off_ns);
    return;
  }
  pin.toggles_ns.push_back(on_ns);
  pin.toggles_ns.push_back(off_ns);
}

Pin sensor_of(int row, const bench::SeedWay& way) {
  Pin pin{.scope = "row" + std::to_string(row), .name = "sensor", .toggles_ns = {}};
  for (const bench::EdgePair& edge : way.edges) add_on(pin, edge.rising_s, edge.falling_s);
  return pin;
}

Pin speed_of(const model::Travel& travel, double end_s) {
  Pin pin{.scope = "machine", .name = "speed", .toggles_ns = {}};
  const bool forward = model::runs_forward(travel, 0.0);
  const model::Travel driven = forward ? travel : model::forward_part(travel, 0.0);
  const double way_m = model::row_motion_at(driven, 0.0, end_s).x_ground_m;
  const auto half_pulses = static_cast<std::int64_t>(2.0 * kSpeedPulsesPerMetre_pm * way_m);
  for (std::int64_t k = 1; k <= half_pulses; ++k) {
    const double at_s = model::time_at_row_x_s(
        driven, 0.0, static_cast<double>(k) / (2.0 * kSpeedPulsesPerMetre_pm));
    if (!(at_s <= end_s)) break;
    pin.toggles_ns.push_back(shared::nanoseconds_of(at_s));
  }
  return pin;
}

Pin drive_of(int row, const measure::RowRecord& record) {
  Pin pin{.scope = "row" + std::to_string(row), .name = "drive", .toggles_ns = {}};
  for (const measure::BandRecord& band : record.bands) add_on(pin, band.open_s, band.close_s);
  return pin;
}

}  // namespace

Pins stimulus_of(const scenario::Scenario& scenario, const StimulusOptions& options) {
  const model::Travel travel = bench::travel_of(scenario);
  Pins pins{.scenario = scenario.name, .pins = {}, .end_ns = 0};
  double end_s = scenario.duration_s;
  for (int row = 0; row < scenario.row.count; ++row) {
    const bench::RandomStream stream{.rng_key = scenario.rng_key,
                                     .row = static_cast<std::uint32_t>(row)};
    const bench::SeedWay way =
        bench::lay_out_seeds(scenario, travel, bench::drawn_row(scenario, row), stream, row);
    end_s = std::max(end_s, way.last_rest_s + kAfterLastSeed_s);
    pins.pins.push_back(sensor_of(row, way));
  }
  if (options.drives) {
    const run::RunResult result = run::run_scenario(
        scenario, {.stop = options.stop,
                   .on_progress = options.on_progress,
                   .keep_coil = options.current_step_ns > 0,
                   .coil_step_s = 1e-9 * static_cast<double>(options.current_step_ns)});
    pins.current_step_ns = options.current_step_ns;
    for (int row = 0; row < scenario.row.count; ++row) {
      const measure::RowRecord& record = result.record.rows[static_cast<std::size_t>(row)];
      pins.pins.push_back(drive_of(row, record));
      if (options.current_step_ns <= 0) continue;
      pins.current_a.push_back(record.coil.current_a);
      pins.openings.push_back(record.coil.openings);
    }
  }
  pins.pins.push_back(speed_of(travel, end_s));
  pins.end_ns = shared::nanoseconds_of(end_s);
  return pins;
}

}  // namespace sim::score
