#include "sim/study/sweep.h"

#include <oneapi/tbb/parallel_for.h>

#include <atomic>
#include <memory>
#include <mutex>

#include "sim/bench/random.h"
#include "sim/study/strip_test.h"
#include "sim/study/tune.h"

namespace sim {
namespace {

std::size_t cell_count(const Study& study) {
  std::size_t cells = 1;
  for (const StudyAxis& axis : study.axes) cells *= axis.values.size();
  return cells;
}

/// Values of one cell, last axis fastest.
std::vector<std::string> cell_values(const Study& study, std::size_t cell) {
  std::vector<std::string> values(study.axes.size());
  for (std::size_t axis = study.axes.size(); axis-- > 0;) {
    values[axis] = study.axes[axis].values[cell % study.axes[axis].values.size()];
    cell /= study.axes[axis].values.size();
  }
  return values;
}

Scenario cell_scenario(const Study& study, std::size_t cell) {
  const std::vector<std::string> values = cell_values(study, cell);
  std::vector<std::string> sets = study.sets;
  for (std::size_t axis = 0; axis < study.axes.size(); ++axis)
    sets.push_back(study.axes[axis].key + "=\"" + values[axis] + "\"");
  Scenario scenario = load_scenario(study.base, sets);
  scenario.rng_key = study.rng_key;
  return scenario;
}

struct CellWork {
  SweepCell cell;
  std::vector<std::vector<RowRecord>> rows;  // by replica
  std::vector<double> simulated_s;
  std::atomic<int> left{0};
};

/// One replica of one cell; whoever finishes a cell last sums it up and lets its rows go.
void run_replica(CellWork& work, int replica, const SweepOptions& options) {
  Scenario scenario = work.cell.scenario;
  scenario.rng_key = replica_key(scenario.rng_key, static_cast<std::uint64_t>(replica));
  std::vector<int> trim_um;
  if (scenario.controller.row_trim) trim_um = strip_test_trim_um(scenario, options.stop);
  PassRecord record = run_pass(scenario, work.cell.tuned.table, trim_um, {.stop = options.stop});
  const auto index = static_cast<std::size_t>(replica);
  work.rows[index] = std::move(record.rows);
  work.simulated_s[index] = record.simulated_s;
  if (work.left.fetch_sub(1) != 1) return;

  std::vector<RowRecord> rows;
  double simulated_s = 0.0;
  for (std::size_t k = 0; k < work.rows.size(); ++k) {
    for (RowRecord& row : work.rows[k]) rows.push_back(std::move(row));
    simulated_s += work.simulated_s[k];
  }
  work.rows.clear();
  work.cell.summary = summarize(rows, work.cell.scenario, simulated_s);
  work.cell.break_even_scatter_m = work.cell.summary.break_even_scatter_m;
}

}  // namespace

std::vector<Scenario> cell_scenarios(const Study& study) {
  std::vector<Scenario> scenarios;
  scenarios.reserve(cell_count(study));
  for (std::size_t cell = 0; cell < cell_count(study); ++cell)
    scenarios.push_back(cell_scenario(study, cell));
  return scenarios;
}

SweepResult run_sweep(const Study& study, const SweepOptions& options) {
  SweepResult result{.name = study.name, .title = study.title, .replicas = study.replicas};
  result.axes.reserve(study.axes.size());
  for (const StudyAxis& axis : study.axes) result.axes.push_back({axis.key, axis.values});

  const std::size_t cells = cell_count(study);
  std::vector<std::unique_ptr<CellWork>> works(cells);
  for (std::size_t cell = 0; cell < cells; ++cell) {
    works[cell] = std::make_unique<CellWork>();
    works[cell]->cell.values = cell_values(study, cell);
    works[cell]->cell.scenario = cell_scenario(study, cell);
  }

  const auto replicas = static_cast<std::size_t>(study.replicas);
  std::atomic<std::size_t> done{0};
  std::mutex progress;
  const auto step_done = [&] {
    const double done_ratio =
        static_cast<double>(done.fetch_add(1) + 1) / static_cast<double>(cells * (replicas + 1));
    if (!options.on_progress) return;
    const std::lock_guard lock(progress);
    options.on_progress(done_ratio);
  };
  oneapi::tbb::parallel_for(std::size_t{0}, cells, [&](std::size_t cell) {
    CellWork& work = *works[cell];
    work.cell.tuned = tune(work.cell.scenario);
    work.cell.servable = work.cell.tuned.servable;
    work.rows.resize(replicas);
    work.simulated_s.assign(replicas, 0.0);
    work.left = study.replicas;
    step_done();
  });
  oneapi::tbb::parallel_for(std::size_t{0}, cells * replicas, [&](std::size_t task) {
    CellWork& work = *works[task / replicas];
    if (work.cell.servable) run_replica(work, static_cast<int>(task % replicas), options);
    step_done();
  });

  for (auto& work : works) result.cells.push_back(std::move(work->cell));
  std::size_t shown = cells;
  for (std::size_t cell = 0; cell < cells && shown == cells; ++cell)
    if (result.cells[cell].servable &&
        (study.shown.empty() || study.shown == result.cells[cell].values))
      shown = cell;
  if (shown < cells) {
    Scenario scenario = result.cells[shown].scenario;
    result.shown = run_scenario(scenario, {.stop = options.stop});
  }
  return result;
}

}  // namespace sim
