#include "sim/study/run/explain.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "sim/bench/row_fixed.h"
#include "sim/bench/travel_of.h"
#include "sim/output/json_text.h"
#include "sim/study/run/seed_parts.h"
#include "sim/study/run/tables.h"

namespace sim::run {
namespace {

/// First time at or after `from` at which a column is at least (or at most) a level; not-a-number
/// if there is none.
double first_s(const measure::PulseHistory& history, const std::vector<double>& column,
               double from_s, double level, bool rising) {
  for (std::size_t k = 0; k < history.time_s.size(); ++k)
    if (history.time_s[k] >= from_s && (rising ? column[k] >= level : column[k] <= level))
      return history.time_s[k];
  return statistics::kNone_ratio;
}

std::string after_ms(double time_s, double from_s) {
  return std::isnan(time_s) ? "not within the record"
                            : fmt::format("{:+.2f} ms", (time_s - from_s) * 1e3);
}

/// A figure that may be missing, in words.
std::string words_or(double value, const std::string& words, const char* otherwise) {
  return std::isnan(value) ? otherwise : words;
}

struct Telling {
  const RunResult& result;
  std::vector<bench::SeedStep> steps;
  void say(double time_s, const char* step, std::string text) {
    steps.push_back({time_s, step, std::move(text)});
  }
};

void tell_seed(Telling& telling, const measure::RowRecord& row, const measure::SeedRecord& seed,
               double speed_mps) {
  const scenario::Scenario& scenario = telling.result.scenario;
  const bench::Watch& watched = telling.result.record.watched;
  const double before_m =
      watched.seed > 0 ? seed.rest_x_ground_m -
                             row.seeds[static_cast<std::size_t>(watched.seed - 1)].rest_x_ground_m
                       : statistics::kNone_ratio;
  telling.say(
      seed.edge_s, "[1] meter",
      fmt::format("theoretical spacing {:.1f} mm; this seed {}",
                  scenario.seeding.meter.spacing_m * 1e3,
                  words_or(before_m,
                           fmt::format("rests {:.1f} mm after the seed before it", before_m * 1e3),
                           "is the first of its row")));
  telling.say(seed.edge_s, "[2] sensor",
              fmt::format("the seed passes the sensor at {:.3f} km/h; {}", speed_mps * 3.6,
                          seed.sensed ? "an edge is raised" : "no edge of its own is raised"));
  telling.say(seed.edge_s + telling.result.record.watched_delivery_s, "[3] delivery",
              fmt::format("{:.2f} ms later it rests at {:.4f} m",
                          telling.result.record.watched_delivery_s * 1e3, seed.rest_x_ground_m));
}

void tell_command(Telling& telling, const measure::SeedRecord& seed,
                  const measure::BandRecord& band, double speed_mps) {
  const tune::TunedTable& tuned = telling.result.tuned;
  telling.say(band.open_s, "[4] controller",
              fmt::format("the table states D = {:.3f} ms + {:.2f} mm / v = {:.2f} ms; open "
                          "command {} after the edge, {}",
                          tuned.delay_time_s * 1e3, tuned.delay_distance_m * 1e3,
                          (tuned.delay_time_s + tuned.delay_distance_m / speed_mps) * 1e3,
                          after_ms(band.open_s, seed.edge_s),
                          words_or(band.close_s,
                                   fmt::format("close command {:.2f} ms after that",
                                               (band.close_s - band.open_s) * 1e3),
                                   "and no close command after that")));
}

/// A pulse that a fault cut short has no close command; then the open command is the last one.
double last_command_s(const measure::BandRecord& band) {
  return std::isnan(band.close_s) ? band.open_s : band.close_s;
}

/// Coil and plunger of a full row; a step that is not in the record is listed at the open command.
void tell_valve(Telling& telling, const measure::BandRecord& band) {
  const measure::PulseHistory& history = telling.result.record.history;
  const auto at = [&](double time_s) { return std::isnan(time_s) ? band.open_s : time_s; };
  const double most_a = *std::max_element(history.current_a.begin(), history.current_a.end());
  const double drives_s = first_s(history, history.current_a, band.open_s, 0.5 * most_a, true);
  telling.say(
      at(drives_s), "[5] valve drive",
      most_a <= 0.0
          ? "no current flows in the coil"
          : fmt::format(
                "coil current reaches half of its {:.2f} A {}, and is gone {} after the "
                "close command",
                most_a, after_ms(drives_s, band.open_s),
                after_ms(first_s(history, history.current_a, band.close_s, 0.02 * most_a, false),
                         band.close_s)));
  const double travel_m =
      bench::drawn_row(telling.result.scenario, telling.result.record.watched.row)
          .liquid_path.valve.plunger.travel_m;
  const double moves_s = first_s(history, history.lift_m, band.open_s, 0.02 * travel_m, true);
  telling.say(at(moves_s), "[6] plunger",
              std::isnan(moves_s)
                  ? "does not leave its seat within the record"
                  : fmt::format("leaves its seat {}, reaches its stop {}; is back on its seat {} "
                                "after the close command",
                                after_ms(moves_s, band.open_s),
                                after_ms(first_s(history, history.lift_m, band.open_s,
                                                 0.98 * travel_m, true),
                                         band.open_s),
                                after_ms(first_s(history, history.lift_m, band.close_s, 0.0, false),
                                         band.close_s)));
}

/// An ideal row has neither coil nor plunger: its flow starts and ends after two stated delays.
void tell_ideal_valve(Telling& telling, const measure::BandRecord& band) {
  const scenario::Scenario& scenario = telling.result.scenario;
  telling.say(band.open_s + scenario.row.opening_delay_s, "[6] ideal valve",
              fmt::format("row.physics is \"ideal\", without coil and plunger: it opens {:.2f} ms "
                          "after the open command and shuts {:.2f} ms after the close command",
                          scenario.row.opening_delay_s * 1e3, scenario.row.closing_delay_s * 1e3));
}

/// Returns when the outlet flow fell below half again; the last command if the record does not show
/// it.
double tell_column(Telling& telling, const measure::BandRecord& band) {
  const measure::PulseHistory& history = telling.result.record.history;
  std::vector<double> sorted = history.outlet_flow_m3ps;
  std::sort(sorted.begin(), sorted.end());
  const double high_m3ps = sorted[sorted.size() * 9 / 10];
  if (high_m3ps <= 0.0) {
    telling.say(band.open_s, "[7] column", "nothing leaves the outlet within the record");
    return last_command_s(band);
  }
  const double half_s =
      first_s(history, history.outlet_flow_m3ps, band.open_s, 0.5 * high_m3ps, true);
  const double gone_s =
      first_s(history, history.outlet_flow_m3ps, band.close_s, 0.5 * high_m3ps, false);
  telling.say(
      std::isnan(half_s) ? band.open_s : half_s, "[7] column",
      fmt::format("half of the {:.2f} ml/s passes the outlet {}; the flow is below half again {} "
                  "after the close command",
                  high_m3ps * 1e6, after_ms(half_s, band.open_s), after_ms(gone_s, band.close_s)));
  return std::isnan(gone_s) ? last_command_s(band) : gone_s;
}

/// Returns when the outlet flow ended, as tell_column does; the last command if nothing was
/// recorded.
double tell_pulse(Telling& telling, const measure::SeedRecord& seed,
                  const measure::BandRecord& band, double speed_mps) {
  tell_command(telling, seed, band, speed_mps);
  if (telling.result.record.history.time_s.empty()) return last_command_s(band);
  if (telling.result.scenario.row.physics == scenario::RowPhysics::kIdeal)
    tell_ideal_valve(telling, band);
  else
    tell_valve(telling, band);
  return tell_column(telling, band);
}

/// For a seed without a band: when its open command was due, and which command was nearest to that.
void tell_missing_pulse(Telling& telling, const measure::RowRecord& row,
                        const measure::SeedRecord& seed, double speed_mps) {
  const tune::TunedTable& tuned = telling.result.tuned;
  const double due_s = tuned.delay_time_s + tuned.delay_distance_m / speed_mps;
  const measure::BandRecord* nearest = nullptr;
  for (const measure::BandRecord& band : row.bands)
    if (nearest == nullptr || std::abs(band.open_s - seed.edge_s - due_s) <
                                  std::abs(nearest->open_s - seed.edge_s - due_s))
      nearest = &band;
  telling.say(seed.edge_s + due_s, "[4] controller",
              fmt::format("an open command is due {:.2f} ms after the edge; the nearest that the "
                          "controller gave came {}",
                          due_s * 1e3,
                          nearest == nullptr ? "never" : after_ms(nearest->open_s, seed.edge_s)));
}

void tell_band(Telling& telling, const measure::SeedRecord& seed, const measure::BandRecord& band,
               double laid_s, double rest_s) {
  telling.say(
      laid_s, "[8] ground",
      std::isnan(band.centre_x_ground_m)
          ? "no liquid of this pulse lies on the ground"
          : fmt::format(
                "band from {:.4f} to {:.4f} m, {:.1f} mm long, centre {:.4f} m; dose {:.4f} ml, "
                "{:.1f} % of it "
                "after the tail mark",
                band.start_x_ground_m, band.end_x_ground_m,
                (band.end_x_ground_m - band.start_x_ground_m) * 1e3, band.centre_x_ground_m,
                band.dose_m3 * 1e6, band.secondary_ratio * 100.0));
  const std::string on_target =
      words_or(seed.on_target_ratio,
               fmt::format("{:.1f} % of the dose on target", seed.on_target_ratio * 100.0),
               "its share on target was not recorded");
  telling.say(
      std::max(laid_s, rest_s), "[9] placement",
      std::isnan(seed.placement_error_m)
          ? fmt::format(
                "status {}: the stretch serves several seeds, so this one has no error of its own",
                status_word(seed.status))
          : fmt::format(
                "placement error {:+.2f} mm (positive: band ahead of the seed), {}; status {}",
                seed.placement_error_m * 1e3, on_target, status_word(seed.status)));
}

/// Sorts steps by time; steps of one instant keep their order.
std::vector<bench::SeedStep> in_order_of_time(std::vector<bench::SeedStep> steps) {
  std::stable_sort(
      steps.begin(), steps.end(),
      [](const bench::SeedStep& a, const bench::SeedStep& b) { return a.time_s < b.time_s; });
  return steps;
}

}  // namespace

std::vector<bench::SeedStep> explain_seed(const RunResult& result) {
  Telling telling{result, {}};
  const bench::Watch& watched = result.record.watched;
  if (watched.row < 0) return {};
  const measure::RowRecord& row = result.record.rows[static_cast<std::size_t>(watched.row)];
  const measure::SeedRecord& seed = row.seeds[static_cast<std::size_t>(watched.seed)];
  const double y_unit_m = bench::nominal_row(result.scenario, watched.row).y_unit_m;
  const double speed_mps =
      model::row_motion_at(bench::travel_of(result.scenario), y_unit_m, seed.edge_s).speed_mps;
  tell_seed(telling, row, seed, speed_mps);
  // later events concern other seeds: this seed's pulse is planned before its close command
  const double until_s = seed.band >= 0 ? row.bands[static_cast<std::size_t>(seed.band)].close_s
                                        : statistics::kNone_ratio;
  for (const bench::SeedStep& step : result.record.steps)
    if (!(step.time_s > until_s)) telling.say(step.time_s, "[4] event", step.text);
  const bench::PassFault& fault = result.record.fault;
  if (!fault.text.empty()) telling.say(fault.at_s, "[4] controller fault", fault.text);
  const double rest_s = seed.edge_s + result.record.watched_delivery_s;
  if (seed.band < 0) {
    tell_missing_pulse(telling, row, seed, speed_mps);
    telling.say(std::max(rest_s, telling.steps.back().time_s), "[9] placement",
                fmt::format("no band belongs to it: status {}", status_word(seed.status)));
    return in_order_of_time(std::move(telling.steps));
  }
  const measure::BandRecord& band = row.bands[static_cast<std::size_t>(seed.band)];
  const double gone_s = tell_pulse(telling, seed, band, speed_mps);
  const double laid_s = std::max(last_command_s(band), gone_s);
  tell_band(telling, seed, band, laid_s, rest_s);
  return in_order_of_time(std::move(telling.steps));
}

std::string explain_sentence(const RunResult& result) {
  const bench::Watch& watched = result.record.watched;
  const measure::RowRecord& row = result.record.rows[static_cast<std::size_t>(watched.row)];
  const measure::SeedRecord& seed = row.seeds[static_cast<std::size_t>(watched.seed)];
  if (!result.record.fault.text.empty())
    return "The controller's fault ended the pass: " + result.record.fault.text;
  if (seed.band < 0)
    return fmt::format("No band belongs to this seed: {}",
                       seed.sensed ? "it was sensed, but no pulse of its own was laid"
                                   : "the sensor raised no edge of its own for it");
  if (std::isnan(seed.placement_error_m))
    return fmt::format(
        "The seed lies in a stretch that serves several seeds ({}), so it has no error of its own",
        status_word(seed.status));
  const SeedParts parts = seed_parts(result, watched.row, watched.seed);
  const std::pair<double, const char*> causes[] = {
      {parts.seed_m, "where the seed came to rest"},
      {parts.controller_m, "when the valve was commanded"},
      {parts.row_m, "the row's build, valve, column and jet"}};
  const auto* main = std::max_element(
      std::begin(causes), std::end(causes),
      [](const auto& a, const auto& b) { return std::abs(a.first) < std::abs(b.first); });
  return fmt::format(
      "The band lies {:.2f} mm {} its seed; main cause: {} ({:+.2f} mm). Seed {:+.2f} mm, command "
      "{:+.2f} mm, row and liquid {:+.2f} mm",
      std::abs(seed.placement_error_m) * 1e3, seed.placement_error_m < 0.0 ? "behind" : "ahead of",
      main->second, main->first * 1e3, parts.seed_m * 1e3, parts.controller_m * 1e3,
      parts.row_m * 1e3);
}

bool goes_on(const RunResult& result) {
  const bench::Watch& watched = result.record.watched;
  if (watched.row < 0) return false;
  const measure::RowRecord& row = result.record.rows[static_cast<std::size_t>(watched.row)];
  const measure::SeedRecord& seed = row.seeds[static_cast<std::size_t>(watched.seed)];
  if (!result.record.fault.text.empty() || seed.band < 0 || row.bands.empty()) return false;
  return static_cast<std::size_t>(seed.band) + 1 >= row.bands.size();
}

std::string explain_text(const RunResult& result) {
  const bench::Watch& watched = result.record.watched;
  std::string text = fmt::format("{} (row {}, seed {} of {})\n", explain_sentence(result),
                                 watched.row, watched.seed, result.scenario.name);
  for (const bench::SeedStep& step : explain_seed(result))
    text += fmt::format("{:>12.6f} s  {:<16} {}\n", step.time_s, step.step, step.text);
  return text;
}

namespace {

void add_parts(nlohmann::ordered_json& json, const RunResult& result) {
  const bench::Watch& watched = result.record.watched;
  const measure::SeedRecord& seed = result.record.rows[static_cast<std::size_t>(watched.row)]
                                        .seeds[static_cast<std::size_t>(watched.seed)];
  json["placement_error_m"] = output::number_or_null(seed.placement_error_m);
  if (seed.band < 0 || std::isnan(seed.placement_error_m)) return;
  const SeedParts parts = seed_parts(result, watched.row, watched.seed);
  json["parts"] = {{"seed_m", output::number_or_null(parts.seed_m)},
                   {"controller_m", output::number_or_null(parts.controller_m)},
                   {"row_m", output::number_or_null(parts.row_m)}};
}

}  // namespace

std::string explain_json(const RunResult& result) {
  nlohmann::ordered_json json;
  json["schema"] = "sillion explain 1";
  json["row"] = result.record.watched.row;
  json["seed"] = result.record.watched.seed;
  json["sentence"] = explain_sentence(result);
  add_parts(json, result);
  json["steps"] = nlohmann::ordered_json::array();
  for (const bench::SeedStep& step : explain_seed(result)) {
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

}  // namespace sim::run
