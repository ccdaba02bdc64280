#include "sim/study/sweep/cell_passes.h"

#include <oneapi/tbb/parallel_for.h>
#include <oneapi/tbb/task_arena.h>

#include <algorithm>
#include <string>
#include <utility>

#include "sim/bench/row_team.h"
#include "sim/study/tune/strip_trim.h"

namespace sim::sweep {
namespace {

/// Smallest step at which the progress of a pass is reported.
constexpr double kToldEvery_ratio = 0.02;

/// Share of a pass' progress that its strip test has.
double strip_ratio(const scenario::Scenario& scenario) {
  return scenario.controller.row_trim ? 0.5 : 0.0;
}

/// Passes that a study runs at least, where every cell is served.
std::ptrdiff_t least_passes(const Study& study, const Shard& shard) {
  std::size_t cells = dealt_to(study, shard);
  if (study.sampling != scenario::Sampling::kGrid && deals_combinations(study))
    cells *= static_cast<std::size_t>(study.samples);
  return static_cast<std::ptrdiff_t>(cells) * study.replicas;
}

/// The fault of a pass with the number of the pass that it ended; other errors as they are.
std::exception_ptr fault_of_pass(const std::exception_ptr& failed, std::size_t pass) {
  const std::string prefix = "pass " + std::to_string(pass) + ": ";
  try {
    std::rethrow_exception(failed);
  } catch (const bench::ControllerError& error) {
    return std::make_exception_ptr(bench::ControllerError(prefix + error.what()));
  } catch (const bench::BenchError& error) {
    return std::make_exception_ptr(bench::BenchError(prefix + error.what()));
  } catch (...) {
    return failed;
  }
}

template <typename Body>
bool succeeds(std::exception_ptr& failed, const Body& body) {
  try {
    return body();
  } catch (...) {
    failed = std::current_exception();
    return false;
  }
}

}  // namespace

// The name of a share of seeds ends with its denominator.
Observation observation_of(std::string_view metric, measure::ReadMetric read,
                           const measure::Summary& summary) {
  const measure::SeedCounts& seeds = summary.all.seeds;
  return {.value_si = read(summary),
          .trials = metric.ends_with("_sensed")   ? seeds.sensed
                    : metric.ends_with("_placed") ? seeds.placed
                                                  : 0};
}

CellPasses::CellPasses(const Study& study, const SweepOptions& options, const Shard& shard,
                       const SweepStop& stop, SweepProgress& progress, ShownPass& shown)
    : study_(study),
      options_(options),
      stop_(stop),
      read_metric_(measure::find_reading(stop.metric)),
      progress_(progress),
      shown_(shown),
      unbegun_(least_passes(study, shard)) {}

std::size_t CellPasses::group_size(const scenario::Scenario& scenario) const {
  const int in_lanes =
      bench::most_side_by_side(scenario.solver.single) / std::max(1, scenario.row.count);
  const std::ptrdiff_t for_each_thread =
      unbegun_ / std::max(1, oneapi::tbb::this_task_arena::max_concurrency());
  return static_cast<std::size_t>(
      std::max<std::ptrdiff_t>(1, std::min<std::ptrdiff_t>(in_lanes, for_each_thread)));
}

void CellPasses::add(std::span<CellUnderWay* const> cells) {
  std::vector<Place> places;
  for (CellUnderWay* cell : cells) {
    const std::size_t first = cell->passes.size();
    cell->passes.resize(first + static_cast<std::size_t>(study_.replicas));
    for (std::size_t index = first; index < cell->passes.size(); ++index)
      places.push_back({.cell = cell, .index = index});
  }
  if (places.empty()) return;
  const std::size_t most = group_size(cells.front()->plan->scenario);
  const std::size_t groups = (places.size() + most - 1) / most;
  unbegun_ -= static_cast<std::ptrdiff_t>(places.size());
  oneapi::tbb::parallel_for(std::size_t{0}, groups, [&](std::size_t group) {
    const std::size_t from = places.size() * group / groups;
    run_group(std::span(places).subspan(from, places.size() * (group + 1) / groups - from));
  });
  for (Place& place : places) {
    // When another cell fails, a loop ends early without a word: such a cell must not be kept.
    if (!place.ended && !place.failed)
      place.failed = std::make_exception_ptr(bench::Interrupted("interrupted"));
    if (place.failed && !place.cell->failed)
      place.cell->failed = fault_of_pass(place.failed, place.index);
  }
}

/// The passes that an earlier sweep left, or those that run now and are kept.
void CellPasses::run_group(std::span<Place> group) {
  std::vector<Place*> running;
  std::vector<bench::PassJob> jobs;
  for (Place& place : group) {
    place.ended = succeeds(place.failed, [&] { return find(place); });
    if (place.ended || place.failed) continue;
    const bool ready = succeeds(place.failed, [&] {
      jobs.push_back(job_of(place));
      return true;
    });
    if (ready) running.push_back(&place);
  }
  std::vector<bench::PassOutcome> outcomes = bench::run_passes(jobs);
  for (std::size_t k = 0; k < running.size(); ++k) {
    Place& place = *running[k];
    place.failed = outcomes[k].failed;
    if (place.failed) continue;
    place.ended = succeeds(place.failed, [&] {
      finish(place, jobs[k], std::move(outcomes[k].record));
      return true;
    });
  }
}

bool CellPasses::find(Place& place) {
  const CellPlan& plan = *place.cell->plan;
  if (!options_.find_pass) return false;
  std::optional<FinishedPass> found = options_.find_pass(plan, place.index);
  if (!found) return false;
  place.cell->passes[place.index] = *std::move(found);
  progress_.steps_done(plan.group, 1, true);
  return true;
}

/// A pass that fails reports no further progress; the end of its group adds what is missing.
void CellPasses::tell(Place& place, double done_ratio) {
  if (done_ratio < 1.0 && done_ratio < place.told_ratio + kToldEvery_ratio) return;
  progress_.steps_done(place.cell->plan->group, done_ratio - place.told_ratio);
  place.told_ratio = done_ratio;
}

bench::PassJob CellPasses::job_of(Place& place) {
  const CellPlan& plan = *place.cell->plan;
  bench::PassJob job{.scenario = plan.scenario, .table = *place.cell->table};
  job.scenario.rng_key = pass_key(study_, plan.sample, place.index);
  const double strip = strip_ratio(job.scenario);
  if (job.scenario.controller.row_trim)
    job.trim_um = tune::strip_test_trim_um(
        job.scenario, options_.stop, [&](double done_ratio) { tell(place, strip * done_ratio); });
  job.options.stop = options_.stop;
  job.options.on_progress = [this, &place, strip](double done_ratio) {
    tell(place, strip + (1.0 - strip) * std::min(done_ratio, 1.0));
  };
  if (place.index == 0 && shown_.is_of(plan)) job.options.watch = run::RunOptions{}.watch;
  return job;
}

void CellPasses::finish(Place& place, const bench::PassJob& job, bench::PassRecord record) {
  const CellPlan& plan = *place.cell->plan;
  tell(place, 1.0);
  if (place.index == 0 && shown_.is_of(plan)) shown_.keep(job.scenario, job.trim_um, record);
  FinishedPass done{.simulated_s = record.simulated_s};
  if (study_.sampling == scenario::Sampling::kGrid) {
    std::vector<measure::RowRecord> rows = record.rows;  // matched for this pass alone
    done.seen = observation_of(stop_.metric, read_metric_,
                               measure::summarize(rows, job.scenario, record.simulated_s));
  }
  done.rows = std::move(record.rows);
  if (options_.keep_pass) options_.keep_pass(plan, place.index, done);
  place.cell->passes[place.index] = std::move(done);
}

}  // namespace sim::sweep
