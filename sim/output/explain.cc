#include "sim/output/explain.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "sim/bench/row_fixed.h"
#include "sim/bench/travel_of.h"
#include "sim/output/tables.h"

namespace sim {
namespace {

/// First time at or after `from` at which a column is at least (or at most) a level; not-a-number
/// if never.
double first_s(const PulseHistory& history, const std::vector<double>& column, double from_s,
               double level, bool rising) {
  for (std::size_t k = 0; k < history.time_s.size(); ++k)
    if (history.time_s[k] >= from_s && (rising ? column[k] >= level : column[k] <= level))
      return history.time_s[k];
  return kNone_ratio;
}

std::string after_ms(double time_s, double from_s) {
  return std::isnan(time_s) ? "not within the record"
                            : fmt::format("{:+.2f} ms", (time_s - from_s) * 1e3);
}

struct Telling {
  const RunResult& result;
  std::vector<SeedStep> steps;
  void say(double time_s, const char* step, std::string text) {
    steps.push_back({time_s, step, std::move(text)});
  }
};

void tell_seed(Telling& telling, const RowRecord& row, const SeedRecord& seed, double speed_mps) {
  const Scenario& scenario = telling.result.scenario;
  const Watch& watched = telling.result.record.watched;
  const double before_m =
      watched.seed > 0 ? seed.rest_x_ground_m -
                             row.seeds[static_cast<std::size_t>(watched.seed - 1)].rest_x_ground_m
                       : kNone_ratio;
  telling.say(
      seed.edge_s, "[1] meter",
      fmt::format("theoretical spacing {:.1f} mm; this seed rests {:.1f} mm after the one before",
                  scenario.seeding.meter.spacing_m * 1e3, before_m * 1e3));
  telling.say(seed.edge_s, "[2] sensor",
              fmt::format("the seed passes the sensor at {:.3f} km/h; {}", speed_mps * 3.6,
                          seed.sensed ? "an edge is raised" : "no edge of its own is raised"));
  telling.say(seed.edge_s + telling.result.record.watched_delivery_s, "[3] delivery",
              fmt::format("{:.2f} ms later it rests at {:.4f} m",
                          telling.result.record.watched_delivery_s * 1e3, seed.rest_x_ground_m));
}

void tell_pulse(Telling& telling, const SeedRecord& seed, const BandRecord& band,
                double speed_mps) {
  const TunedTable& tuned = telling.result.tuned;
  const PulseHistory& history = telling.result.record.history;
  const model::RowUnitParams path =
      drawn_row(telling.result.scenario, telling.result.record.watched.row).liquid_path;
  telling.say(band.open_s, "[4] controller",
              fmt::format("table says D = {:.3f} ms + {:.2f} mm / v = {:.2f} ms; open command {} "
                          "after the edge, close "
                          "command {:.2f} ms after that",
                          tuned.delay_time_s * 1e3, tuned.delay_distance_m * 1e3,
                          (tuned.delay_time_s + tuned.delay_distance_m / speed_mps) * 1e3,
                          after_ms(band.open_s, seed.edge_s), (band.close_s - band.open_s) * 1e3));
  if (history.time_s.empty()) return;
  const double most_a = *std::max_element(history.current_a.begin(), history.current_a.end());
  telling.say(
      first_s(history, history.current_a, band.open_s, 0.5 * most_a, true), "[5] valve drive",
      fmt::format(
          "coil current reaches half of its {:.2f} A {}, and is gone {} after the close command",
          most_a,
          after_ms(first_s(history, history.current_a, band.open_s, 0.5 * most_a, true),
                   band.open_s),
          after_ms(first_s(history, history.current_a, band.close_s, 0.02 * most_a, false),
                   band.close_s)));
  const double travel_m = path.valve.plunger.travel_m;
  const double moves_s = first_s(history, history.lift_m, band.open_s, 0.02 * travel_m, true);
  telling.say(
      moves_s, "[6] plunger",
      fmt::format(
          "leaves its seat {}, reaches its stop {}; sits again {} after the close command",
          after_ms(moves_s, band.open_s),
          after_ms(first_s(history, history.lift_m, band.open_s, 0.98 * travel_m, true),
                   band.open_s),
          after_ms(first_s(history, history.lift_m, band.close_s, 0.0, false), band.close_s)));
  std::vector<double> sorted = history.outlet_flow_m3ps;
  std::sort(sorted.begin(), sorted.end());
  const double high_m3ps = sorted[sorted.size() * 9 / 10];
  const double half_s =
      first_s(history, history.outlet_flow_m3ps, band.open_s, 0.5 * high_m3ps, true);
  telling.say(half_s, "[7] column",
              fmt::format("half of the {:.2f} ml/s passes the outlet {}; below half again {} after "
                          "the close command",
                          high_m3ps * 1e6, after_ms(half_s, band.open_s),
                          after_ms(first_s(history, history.outlet_flow_m3ps, band.close_s,
                                           0.5 * high_m3ps, false),
                                   band.close_s)));
}

/// Where a band is missing: when its command was due, and which command came nearest to that.
void tell_missing_pulse(Telling& telling, const RowRecord& row, const SeedRecord& seed,
                        double speed_mps) {
  const TunedTable& tuned = telling.result.tuned;
  const double due_s = tuned.delay_time_s + tuned.delay_distance_m / speed_mps;
  const BandRecord* nearest = nullptr;
  for (const BandRecord& band : row.bands)
    if (nearest == nullptr || std::abs(band.open_s - seed.edge_s - due_s) <
                                  std::abs(nearest->open_s - seed.edge_s - due_s))
      nearest = &band;
  telling.say(seed.edge_s + due_s, "[4] controller",
              fmt::format("an open command is due {:.2f} ms after the edge; the nearest that the "
                          "controller gave came {}",
                          due_s * 1e3,
                          nearest == nullptr ? "never" : after_ms(nearest->open_s, seed.edge_s)));
}

void tell_band(Telling& telling, const SeedRecord& seed, const BandRecord& band) {
  telling.say(
      band.close_s, "[8] ground",
      fmt::format("band from {:.4f} to {:.4f} m, {:.1f} mm long, centre {:.4f} m; dose {:.4f} ml, "
                  "{:.1f} % of it "
                  "after the tail mark",
                  band.start_x_ground_m, band.end_x_ground_m,
                  (band.end_x_ground_m - band.start_x_ground_m) * 1e3, band.centre_x_ground_m,
                  band.dose_m3 * 1e6, band.secondary_ratio * 100.0));
  telling.say(
      band.close_s, "[9] placement",
      std::isnan(seed.placement_error_m)
          ? fmt::format(
                "status {}: the stretch serves several seeds, so this one has no error of its own",
                status_word(seed.status))
          : fmt::format("placement error {:+.2f} mm (positive: band ahead of the seed), {:.1f} % "
                        "of the dose on "
                        "target; status {}",
                        seed.placement_error_m * 1e3, seed.on_target_ratio * 100.0,
                        status_word(seed.status)));
}

}  // namespace

std::vector<SeedStep> explain_seed(const RunResult& result) {
  Telling telling{result, {}};
  const Watch& watched = result.record.watched;
  if (watched.row < 0) return {};
  const RowRecord& row = result.record.rows[static_cast<std::size_t>(watched.row)];
  const SeedRecord& seed = row.seeds[static_cast<std::size_t>(watched.seed)];
  const double y_unit_m = nominal_row(result.scenario, watched.row).y_unit_m;
  const double speed_mps =
      model::row_motion_at(travel_of(result.scenario), y_unit_m, seed.edge_s).speed_mps;
  tell_seed(telling, row, seed, speed_mps);
  // later events speak of other seeds: this one's pulse is planned by its close command
  const double until_s =
      seed.band >= 0 ? row.bands[static_cast<std::size_t>(seed.band)].close_s : HUGE_VAL;
  for (const SeedStep& step : result.record.steps)
    if (step.time_s <= until_s) telling.say(step.time_s, "[4] event", step.text);
  const PassFault& fault = result.record.fault;
  if (!fault.text.empty()) telling.say(fault.at_s, "[4] controller fault", fault.text);
  if (seed.band < 0) {
    tell_missing_pulse(telling, row, seed, speed_mps);
    telling.say(seed.edge_s, "[9] placement",
                fmt::format("no band belongs to it: status {}", status_word(seed.status)));
    return telling.steps;
  }
  const BandRecord& band = row.bands[static_cast<std::size_t>(seed.band)];
  tell_pulse(telling, seed, band, speed_mps);
  tell_band(telling, seed, band);
  return telling.steps;
}

std::string explain_text(const RunResult& result) {
  const Watch& watched = result.record.watched;
  std::string text =
      fmt::format("Row {}, seed {} of {}\n", watched.row, watched.seed, result.scenario.name);
  for (const SeedStep& step : explain_seed(result))
    text += fmt::format("{:>12.6f} s  {:<16} {}\n", step.time_s, step.step, step.text);
  return text;
}

std::string explain_json(const RunResult& result) {
  nlohmann::ordered_json json;
  json["schema"] = "sillion explain 1";
  json["row"] = result.record.watched.row;
  json["seed"] = result.record.watched.seed;
  json["steps"] = nlohmann::ordered_json::array();
  for (const SeedStep& step : explain_seed(result)) {
    nlohmann::ordered_json entry;
    if (std::isfinite(step.time_s))
      entry["time_s"] = step.time_s;
    else
      entry["time_s"] = nullptr;
    entry["step"] = step.step;
    entry["text"] = step.text;
    json["steps"].push_back(entry);
  }
  return json.dump(2) + "\n";
}

}  // namespace sim
