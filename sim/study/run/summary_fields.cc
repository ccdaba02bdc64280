#include "sim/study/run/summary_fields.h"

#include <nlohmann/json.hpp>

#include "sim/output/json_text.h"

namespace sim::run {
namespace {

using Json = nlohmann::ordered_json;

Json spread_fields(const statistics::Spread& spread) {
  return {{"mean", output::number_or_null(spread.mean_m)},
          {"sd", output::number_or_null(spread.sd_m)},
          {"p05", output::number_or_null(spread.p05_m)},
          {"p50", output::number_or_null(spread.p50_m)},
          {"p95", output::number_or_null(spread.p95_m)},
          {"abs_p95", output::number_or_null(spread.abs_p95_m)},
          {"max_abs", output::number_or_null(spread.max_abs_m)}};
}

Json index_fields(const measure::SpacingIndices& indices) {
  return {{"multiples_ratio", output::number_or_null(indices.multiples_ratio)},
          {"misses_ratio", output::number_or_null(indices.misses_ratio)},
          {"quality_of_feed_ratio", output::number_or_null(indices.quality_of_feed_ratio)},
          {"precision_ratio", output::number_or_null(indices.precision_ratio)}};
}

Json table_fields(const sillion_attachment_table& table) {
  Json points = Json::array();
  for (std::int32_t i = 0; i < table.points && i < SILLION_TABLE_POINTS; ++i)
    points.push_back({{"flow_mm3ps", table.flow_mm3ps[i]},
                      {"pressure_pa", table.pressure_pa[i]},
                      {"current_ma", table.current_ma[i]},
                      {"lead_us", table.lead_us[i]},
                      {"lag_us", table.lag_us[i]}});
  return {{"delay_time_us", table.delay_time_us},
          {"delay_distance_um", table.delay_distance_um},
          {"reference_band_um", table.reference_band_um},
          {"reference_lead_us", table.reference_lead_us},
          {"shortest_on_us", table.shortest_on_us},
          {"shortest_closed_us", table.shortest_closed_us},
          {"lift_settable", table.lift_settable != 0},
          {"evidence_grade", table.evidence_grade},
          {"points", points}};
}

}  // namespace

Json requirement_fields(const measure::Summary& summary) {
  Json list = Json::array();
  for (const measure::RequirementResult& one : summary.requirements) {
    Json fields = {{"name", one.name},
                   {"limit", output::number_or_null(one.limit)},
                   {"value", output::number_or_null(one.value)},
                   {"holds", one.holds},
                   {"unit", one.unit},
                   {"margin", output::number_or_null(one.margin)}};
    if (!one.seen) fields["seen"] = false;
    if (one.total >= 0) {
      fields["good"] = one.good;
      fields["total"] = one.total;
      fields["lower95_ratio"] = output::number_or_null(one.lower95_ratio);
    }
    if (one.worst.row >= 0)
      fields["worst"] = {{"row", one.worst.row},
                         {"seed", one.worst.seed},
                         {"at_s", output::number_or_null(one.worst.at_s)}};
    list.push_back(std::move(fields));
  }
  return list;
}

void add_figures(Json& object, const measure::Figures& figures) {
  const measure::SeedCounts& seeds = figures.seeds;
  object["seeds"] = {{"placed", seeds.placed},           {"sensed", seeds.sensed},
                     {"banded", seeds.banded},           {"merged", seeds.merged},
                     {"edge_missed", seeds.edge_missed}, {"no_band", seeds.no_band},
                     {"shared", seeds.shared},           {"weak", seeds.weak}};
  object["stray_bands"] = figures.stray_bands;
  object["lag_seeds"] = figures.lag_seeds;
  Json within = Json::array();
  for (const measure::WithinTolerance& one : figures.within)
    within.push_back({{"tolerance_m", output::number_or_null(one.tolerance_m)},
                      {"placed_ratio", output::number_or_null(one.placed_ratio)},
                      {"sensed_ratio", output::number_or_null(one.sensed_ratio)},
                      {"lower95_ratio", output::number_or_null(one.lower95_ratio)}});
  object["within"] = within;
  object["placement_error_m"] = spread_fields(figures.placement_error);
  object["band_length_m"] = spread_fields(figures.band_length);
  object["on_target_ratio"] = {{"mean", output::number_or_null(figures.on_target_mean_ratio)},
                               {"p05", output::number_or_null(figures.on_target_p05_ratio)}};
  object["dose_m3"] = {{"mean", output::number_or_null(figures.dose_mean_m3)},
                       {"sd", output::number_or_null(figures.dose_sd_m3)}};
  object["gap_ratio"] = output::number_or_null(figures.gap_ratio);
  object["secondary_ratio"] = {{"mean", output::number_or_null(figures.secondary_mean_ratio)}};
  object["weak"] = seeds.weak;
  object["in_band_rate_m3pm2"] = output::number_or_null(figures.in_band_rate_m3pm2);
  object["field_rate_m3pm2"] = output::number_or_null(figures.field_rate_m3pm2);
  object["applied_volume_m3"] = output::number_or_null(figures.applied_volume_m3);
}

namespace {

// Figures that were added after the first list of keys had been published.
void add_later_figures(Json& object, const measure::Figures& figures) {
  object["dose_within_10_percent_sensed_ratio"] =
      output::number_or_null(figures.dose_within_10_percent_sensed_ratio);
  object["length_within_10mm_sensed_ratio"] =
      output::number_or_null(figures.length_within_10mm_sensed_ratio);
  object["balance_residual_ratio"] = output::number_or_null(figures.balance_residual_ratio);
  if (figures.outward_max_m > 0.0)
    object["outward_m"] = {{"mean", output::number_or_null(figures.outward_mean_m)},
                           {"max", output::number_or_null(figures.outward_max_m)}};
}

}  // namespace

Json spacing_fields(const measure::SpacingQuality& spacing) {
  Json classes = Json::array();
  for (const long long count : spacing.classes) classes.push_back(count);
  return {{"spacings", spacing.spacings},
          {"classes", classes},
          {"simple", index_fields(spacing.simple)},
          {"iso_7256_1", index_fields(spacing.iso)},
          {"mean_m", output::number_or_null(spacing.mean_m)},
          {"sd_m", output::number_or_null(spacing.sd_m)}};
}

Json jet_fields(const measure::JetFigures& jet) {
  return {{"speed_mps", output::number_or_null(jet.speed_mps)},
          {"thrust_over_seed_weight", output::number_or_null(jet.thrust_over_seed_weight_ratio)},
          {"may_move_seed", jet.may_move_seed},
          {"weber", output::number_or_null(jet.numbers.weber_ratio)},
          {"reynolds", output::number_or_null(jet.numbers.reynolds_ratio)},
          {"ohnesorge", output::number_or_null(jet.numbers.ohnesorge_ratio)},
          {"breakup_length_m", output::number_or_null(jet.breakup_length_m)},
          {"flight_path_m", output::number_or_null(jet.flight_path_m)},
          {"breaks_up", jet.breaks_up},
          {"breakup_drop_m", output::number_or_null(jet.breakup_drop_m)},
          {"least_jetting_speed_mps", output::number_or_null(jet.least_jetting_speed_mps)},
          {"drips", jet.drips},
          {"splash_ratio", output::number_or_null(jet.splash_ratio)},
          {"splashes", jet.splashes},
          {"landing_clearance_m", output::number_or_null(jet.landing_clearance_m)},
          {"guide_time_s", output::number_or_null(jet.guide_time_s)},
          {"guide_least_time_s", output::number_or_null(jet.guide_least_time_s)},
          {"guide_most_time_s", output::number_or_null(jet.guide_most_time_s)},
          {"guide_speed_outside", jet.guide_speed_outside}};
}

Json health_fields(const sillion_health& health) {
  return {
      {"edges_accepted", health.edges_accepted},   {"edges_rejected", health.edges_rejected},
      {"queue_overflows", health.queue_overflows}, {"late_compares", health.late_compares},
      {"bad_frames", health.bad_frames},           {"resets", health.resets},
      {"merged_seeds", health.merged_seeds},       {"continuous_ms", health.continuous_ms},
      {"stale_speed_ms", health.stale_speed_ms},   {"capture_overflows", health.capture_overflows},
      {"skipped_seeds", health.skipped_seeds}};
}

Json tuned_fields(const tune::TunedTable& tuned) {
  const model::RowFit& fit = tuned.fit;
  return {{"delay_time_s", output::number_or_null(tuned.delay_time_s)},
          {"delay_distance_m", output::number_or_null(tuned.delay_distance_m)},
          {"lead_s", output::number_or_null(tuned.lead_s)},
          {"lag_s", output::number_or_null(tuned.lag_s)},
          {"throw_m", output::number_or_null(tuned.throw_m)},
          {"delay_at_speed_s", output::number_or_null(tuned.delay_at_speed_s)},
          {"smallest_offset_m", output::number_or_null(tuned.smallest_offset_m)},
          {"shortest_closed_s", output::number_or_null(tuned.shortest_closed_s)},
          {"flow_m3ps", output::number_or_null(tuned.flow_m3ps)},
          {"pressure_pa", output::number_or_null(tuned.pressure_pa)},
          {"largest_flow_m3ps", output::number_or_null(tuned.largest_flow_m3ps)},
          {"serves_rate", tuned.serves_rate},
          {"servable", tuned.servable},
          {"lift_settable", tuned.lift_settable},
          {"spring_rate_needed_npm", output::number_or_null(tuned.spring_rate_needed_npm)},
          {"table", table_fields(tuned.table)},
          {"grid",
           {{"step_ns", fit.step_ns},
            {"hose_cells", output::number_or_null(fit.hose.in_cells())},
            {"tube_cells", output::number_or_null(fit.tube.in_cells())},
            {"tube_travel_time_s", output::number_or_null(fit.tube_travel_time_s)}}}};
}

Json noise_fields(const scenario::Scenario& scenario) {
  const scenario::NoiseSection& noise = scenario.noise;
  Json object = Json::object();
  const auto put = [&object](const char* key, double value) {
    object[key] = output::number_or_null(value);
  };
  put("spacing_scatter_ratio", scenario.seeding.meter.scatter_ratio);
  put("doubles_ratio", scenario.seeding.meter.doubles_ratio);
  put("skips_ratio", scenario.seeding.meter.skips_ratio);
  put("delivery_time_s", scenario.delivery.time_scatter_s);
  put("rest_m", scenario.delivery.rest_scatter_m);
  put("roll_m", scenario.delivery.roll_scatter_m);
  put("sensor_jitter_s", scenario.sensor.sensor.jitter_s);
  put("edges_missed_ratio", scenario.sensor.sensor.missed_ratio);
  put("edges_doubled_ratio", scenario.sensor.sensor.doubled_ratio);
  put("outlet_mount_m", noise.outlet_mount_m);
  put("sensor_height_m", noise.sensor_height_m);
  put("outlet_bore_ratio", noise.outlet_bore_ratio);
  put("tube_length_m", noise.tube_length_m);
  put("coil_resistance_ratio", noise.coil_resistance_ratio);
  put("spring_preload_ratio", noise.spring_preload_ratio);
  put("drop_height_ride_m", noise.drop_height_ride_m);
  put("ride_length_m", noise.ride_length_m);
  put("speed_noise_mps", noise.speed_noise_mps);
  put("speed_lag_s", noise.speed_lag_s);
  put("speed_period_s", noise.speed_period_s);
  put("speed_quantum_mps", noise.speed_quantum_mps);
  put("clock_drift_ratio", scenario.clock.drift_ratio);
  put("pressure_ripple_ratio", noise.pressure_ripple_ratio);
  put("pressure_ripple_hz", noise.pressure_ripple_hz);
  put("voltage_ripple_v", noise.voltage_ripple_v);
  put("voltage_ripple_hz", noise.voltage_ripple_hz);
  return object;
}

Json hash_fields(const output::RunHashes& hashes) {
  return {{"scenario", hashes.scenario},
          {"parameters", hashes.parameters},
          {"controller", hashes.controller},
          {"program", hashes.program},
          {"result", hashes.result}};
}

void add_summary(Json& object, const measure::Summary& summary) {
  object["verdict"] = measure::verdict_word(summary.verdict);
  object["requirements"] = requirement_fields(summary);
  add_figures(object, summary.all);
  Json rows = Json::array();
  for (const measure::Figures& figures : summary.rows) {
    Json row = Json::object();
    add_figures(row, figures);
    add_later_figures(row, figures);
    rows.push_back(row);
  }
  object["rows"] = rows;
  object["spacing"] = spacing_fields(summary.spacing);
  object["jet"] = jet_fields(summary.jet);
  object["health"] = health_fields(summary.health);
  object["simulated_s"] = output::number_or_null(summary.simulated_s);
}

void add_later(Json& object, const measure::Summary& summary) {
  object["break_even_scatter_m"] = output::number_or_null(summary.break_even_scatter_m);
  add_later_figures(object, summary.all);
}

}  // namespace sim::run
