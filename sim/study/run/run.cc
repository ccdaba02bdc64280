#include "sim/study/run/run.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/scenario/loader.h"
#include "sim/study/run/run_parts.h"
#include "sim/study/run/wave_marks.h"
#include "sim/study/tune/strip_trim.h"
#include "sim/study/tune/tune.h"
#include "sim/study/tune/tune_once.h"

namespace sim::run {
namespace {

constexpr double kHistoryBefore_s = 2e-3;
constexpr double kHistoryAfter_s = 15e-3;

template <typename Column>
void cut(Column& column, std::size_t from, std::size_t to) {
  column = Column(column.begin() + static_cast<std::ptrdiff_t>(from),
                  column.begin() + static_cast<std::ptrdiff_t>(to));
}

/// Cuts the watched history to the time around one pulse.
void cut_to_pulse(measure::PulseHistory& history, const measure::BandRecord& band) {
  const auto at = [&](double time_s) {
    return static_cast<std::size_t>(
        std::lower_bound(history.time_s.begin(), history.time_s.end(), time_s) -
        history.time_s.begin());
  };
  const std::size_t from = at(band.open_s - kHistoryBefore_s);
  // A pulse that a fault cut short has no close command.
  const std::size_t to = at(std::max(band.open_s, band.close_s) + kHistoryAfter_s);
  for (auto* column : {&history.time_s, &history.command_ratio, &history.current_a, &history.lift_m,
                       &history.valve_flow_m3ps, &history.outlet_flow_m3ps,
                       &history.valve_exit_pressure_pa, &history.x_landing_ground_m})
    cut(*column, from, to);
}

/// The callback for the progress of one part of a run; empty if there is no caller to report to.
std::function<void(double)> part_progress(const RunOptions& options, double from_ratio,
                                          double to_ratio) {
  if (!options.on_progress) return {};
  options.on_progress(from_ratio);
  return [&options, from_ratio, to_ratio](double done_ratio) {
    options.on_progress(from_ratio + (to_ratio - from_ratio) * std::min(1.0, done_ratio));
  };
}

}  // namespace

void require_servable(const scenario::Scenario& scenario, const tune::TunedTable& tuned) {
  if (tuned.servable) return;
  throw text::InputError(
      fmt::format("{}: attachment.outlet_offset: the delay would be negative ({:.2f} ms at {:.2f} "
                  "km/h): this attachment cannot serve this speed; the smallest outlet offset that "
                  "would serve is \"{:.1f} mm\"",
                  scenario.name, tuned.delay_at_speed_s * 1e3,
                  tune::judged_speed_mps(scenario) * 3.6, tuned.smallest_offset_m * 1e3));
}

/// A fault that never acts is a mistake of its scenario: a requirement that holds then says
/// nothing.
static void require_no_idle_fault(const scenario::Scenario& scenario,
                                  const bench::PassRecord& record) {
  if (record.idle_faults.empty()) return;
  const int index = record.idle_faults.front();
  const scenario::FaultEntry& entry = scenario.faults[static_cast<std::size_t>(index)];
  throw text::InputError(fmt::format(
      "{}: fault[{}]: {} from {:g} s never took effect: nothing that it acts on came by in its "
      "time, "
      "or its amount is 0",
      entry.place.empty() ? scenario.name : entry.place, index, entry.kind, entry.from_s));
}

RunResult run_scenario(const scenario::Scenario& scenario, const RunOptions& options) {
  RunResult result;
  result.scenario = scenario;
  const RunParts parts = parts_of_run(scenario);
  result.tuned = tune::tune_once(scenario, {}, part_progress(options, 0.0, parts.strip_from_ratio));
  require_servable(scenario, result.tuned);
  if (scenario.controller.row_trim)
    result.trim_um = tune::strip_test_trim_um(
        scenario, options.stop,
        part_progress(options, parts.strip_from_ratio, parts.pass_from_ratio));
  result.record =
      bench::run_pass(scenario, result.tuned.table, result.trim_um,
                      {.watch = options.watch,
                       .stop = options.stop,
                       .on_progress = part_progress(options, parts.pass_from_ratio, 1.0),
                       .on_second = options.on_second,
                       .wave = options.wave,
                       .until_watched = options.until_watched,
                       .keep_fault = options.keep_fault,
                       .calls = options.calls,
                       .keep_coil = options.keep_coil,
                       .coil_step_s = options.coil_step_s});
  if (!options.keep_idle_faults) require_no_idle_fault(scenario, result.record);
  sum_up(result, options.wave);
  return result;
}

void sum_up(RunResult& result, bool wave) {
  result.summary =
      measure::summarize(result.record.rows, result.scenario, result.record.simulated_s);
  measure::require_health(result.summary, result.record.rows, result.scenario);
  show_watched(result, wave);
}

void show_watched(RunResult& result, bool wave) {
  const bench::Watch& watched = result.record.watched;
  if (watched.row < 0) return;
  const measure::RowRecord& row = result.record.rows[static_cast<std::size_t>(watched.row)];
  const measure::SeedRecord& seed = row.seeds[static_cast<std::size_t>(watched.seed)];
  if (wave) mark_wave(row, watched.seed, result, result.record.wave);
  if (seed.band >= 0)
    cut_to_pulse(result.record.history, row.bands[static_cast<std::size_t>(seed.band)]);
}

}  // namespace sim::run
