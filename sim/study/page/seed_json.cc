// One seed for the page: what `explain` says of it, and its waveforms.
#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "sim/output/json_text.h"
#include "sim/study/page/page_row.h"
#include "sim/study/run/explain.h"
#include "sim/text/input_error.h"

namespace sim::page {
namespace {

/// More instants than a screen has places for are thinned out evenly.
constexpr std::size_t kMostInstants = 800;

nlohmann::ordered_json thinned(const std::vector<double>& column_si, std::size_t every) {
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (std::size_t i = 0; i < column_si.size(); i += every)
    list.push_back(output::number_or_null(column_si[i]));
  return list;
}

nlohmann::ordered_json wave_fields(const measure::PulseHistory& history) {
  const std::size_t every = history.time_s.size() / kMostInstants + 1;
  return {{"time_s", thinned(history.time_s, every)},
          {"command", thinned(history.command_ratio, every)},
          {"current_a", thinned(history.current_a, every)},
          {"lift_m", thinned(history.lift_m, every)},
          {"valve_exit_pressure_pa", thinned(history.valve_exit_pressure_pa, every)},
          {"valve_flow_m3ps", thinned(history.valve_flow_m3ps, every)},
          {"outlet_flow_m3ps", thinned(history.outlet_flow_m3ps, every)}};
}

nlohmann::ordered_json instants_of(const measure::RowRecord& row, const measure::SeedRecord& seed) {
  nlohmann::ordered_json instants;
  instants["edge_s"] = output::number_or_null(seed.edge_s);
  if (seed.band < 0) return instants;
  const measure::BandRecord& band = row.bands[static_cast<std::size_t>(seed.band)];
  instants["open_s"] = output::number_or_null(band.open_s);
  instants["close_s"] = output::number_or_null(band.close_s);
  return instants;
}

}  // namespace

std::string seed_json(const PageInput& input, int seed, const std::atomic<bool>* stop) {
  const int seeds = input.scenario.seeds;
  if (seed < 0 || seed >= seeds)
    throw text::InputError(fmt::format("seed {}: the row has seeds 0 to {}", seed, seeds - 1));
  run::RunOptions options{.watch = {0, seed},
                          .stop = stop,
                          .until_watched = true,
                          .keep_idle_faults = true,
                          .keep_fault = true};
  run::RunResult result = run::run_scenario(input.scenario, options);
  if (run::goes_on(result)) {
    options.until_watched = false;
    result = run::run_scenario(input.scenario, options);
  }
  if (result.record.watched.row < 0)
    throw text::InputError(fmt::format("seed {}: the pass ended before it", seed));
  const measure::RowRecord& row = result.record.rows.at(0);
  nlohmann::ordered_json json;
  json["schema"] = "sillion.page.seed.1";
  json["explain"] = nlohmann::ordered_json::parse(run::explain_json(result));
  json["instants"] = instants_of(row, row.seeds[static_cast<std::size_t>(seed)]);
  json["wave"] = wave_fields(result.record.history);
  json["command"] = "sillion explain" + input.command.substr(std::string("sillion run").size()) +
                    fmt::format(" --row 0 --seed {}", seed);
  return json.dump() + "\n";
}

}  // namespace sim::page
