#include "sim/study/sweep/sweep.h"

#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <exception>
#include <span>

#include "shared/check.h"
#include "sim/measure/catalog.h"
#include "sim/scenario/metric_names.h"
#include "sim/study/sweep/cell_passes.h"
#include "sim/study/sweep/shown_pass.h"
#include "sim/study/sweep/sweep_cells.h"
#include "sim/study/sweep/sweep_progress.h"
#include "sim/study/tune/tune_once.h"

namespace sim::sweep {
namespace {

std::vector<Observation> seen_in(std::span<const FinishedPass> passes) {
  std::vector<Observation> seen;
  for (const FinishedPass& pass : passes) seen.push_back(pass.seen);
  return seen;
}

/// One combination of the listed axes, finished.
struct Group {
  std::vector<SweepCell> cells;
  SweepPrecision precision;
};

// The points of one net depend on each other, so the net is the observation: the mean of its
// samples.
Observation net_of(std::span<const Observation> samples) {
  Observation net;
  double sum_si = 0.0;
  for (const Observation& one : samples) {
    sum_si += one.value_si;
    net.trials += one.trials;
  }
  if (!samples.empty()) net.value_si = sum_si / static_cast<double>(samples.size());
  return net;
}

SweepStop stop_of(const Study& study) {
  const scenario::MetricName* metric = scenario::find_metric_name(study.stop.metric);
  EXPECTS(metric != nullptr);
  SweepStop stop{.metric = study.stop.metric, .unit = std::string(metric->unit)};
  stop.plan = {study.stop.half_width_si, study.replicas, study.stop.most};
  if (study.sampling == scenario::Sampling::kRandom) {
    stop.observed = "sample";
    stop.plan.batch = study.samples;
  } else if (study.sampling == scenario::Sampling::kLowDiscrepancy) {
    stop.observed = "net";
    stop.per_observation = study.samples;
    stop.plan.batch = 1;
    stop.plan.most /= study.samples;
  }
  return stop;
}

class Sweep {
 public:
  Sweep(const Study& study, const SweepOptions& options, const Shard& shard = {})
      : study_(study),
        options_(options),
        shard_(shard),
        stop_(stop_of(study)),
        shown_(study),
        read_metric_(measure::find_reading(stop_.metric)),
        progress_(study, options, shard),
        passes_(study, options, shard, stop_, progress_, shown_) {}

  Group run_group(std::size_t group) {
    Group done = study_.sampling == scenario::Sampling::kGrid ? grid_cell(group) : samples(group);
    SweepPrecision& precision = done.precision;
    precision.held = group_values(study_, group);
    precision.cells = done.cells.size();
    progress_.steps_done(group, progress_.steps_of_group());  // also of steps that did not run
    return done;
  }
  const SweepStop& stop() const { return stop_; }
  ShownPass& shown() { return shown_; }

  /// The cells of one group that belong to the shard.
  std::vector<SweepCell> shard_cells(std::size_t group) {
    if (deals_combinations(study_))
      return is_of_shard(group) ? run_group(group).cells : std::vector<SweepCell>{};
    std::vector<CellPlan> plans = batch_cells(study_, group, 0);
    std::erase_if(plans, [&](const CellPlan& plan) {
      return shard_number(study_, shard_.count, plan) != shard_.number;
    });
    std::vector<SweepCell> cells = cells_of(plans);
    progress_.steps_done(group, progress_.steps_of_group());
    return cells;
  }

 private:
  bool is_of_shard(std::size_t group) const {
    return shard_number(study_, shard_.count,
                        {.values = {}, .sample = 0, .group = group, .scenario = {}}) ==
           shard_.number;
  }

  static void sum_up(const CellPlan& plan, std::vector<FinishedPass>& passes, SweepCell& cell) {
    std::vector<measure::RowRecord> rows;
    double simulated_s = 0.0;
    for (FinishedPass& pass : passes) {
      for (measure::RowRecord& row : pass.rows) rows.push_back(std::move(row));
      simulated_s += pass.simulated_s;
    }
    cell.summary = measure::summarize(rows, plan.scenario, simulated_s);
    // A million passes have a million rows and more: only what the results say of them stays.
    cell.intervals = cell_intervals(cell.summary);
    std::vector<measure::Figures>().swap(cell.summary.rows);  // an assignment keeps the memory
    cell.break_even_scatter_m = cell.summary.break_even_scatter_m;
  }

  /// Whether a cell of a grid continues after these passes; a sample runs all its passes at once.
  StopState state_of(std::span<const Observation> seen) const {
    const bool last = seen.size() >= static_cast<std::size_t>(most_passes(study_));
    return stop_state(seen, stop_.plan, last);
  }

  bool goes_on(const CellUnderWay& cell) const {
    return !cell.failed && study_.sampling == scenario::Sampling::kGrid &&
           state_of(seen_in(cell.passes)) == StopState::kGoesOn;
  }

  void run_passes(std::vector<CellUnderWay*> cells) {
    while (!cells.empty()) {
      passes_.add(cells);
      std::erase_if(cells, [&](const CellUnderWay* cell) { return !goes_on(*cell); });
      passes_.expect(passes_of(cells.size()));
    }
  }

  std::ptrdiff_t passes_of(std::size_t cells) const {
    return static_cast<std::ptrdiff_t>(cells) * study_.replicas;
  }

  /// A part of a cell's work, whose fault is the cell's.
  template <typename Work>
  static void work_on(FinishedCell& done, const Work& work) {
    const auto fails = [&](CellFault fault, const char* words) {
      done = {};
      done.cell.fault = fault;
      done.cell.fault_words = words;
    };
    try {
      work();
    } catch (const bench::ControllerError& error) {
      fails(CellFault::kController, error.what());
    } catch (const bench::BenchError& error) {
      fails(CellFault::kBench, error.what());
    }
  }

  /// The cell that an earlier sweep left (true), or one with its table, if it can be served.
  bool begin_cell(const CellPlan& plan, FinishedCell& done) {
    std::optional<FinishedCell> found;
    if (options_.find) found = options_.find(plan);
    if (found) {
      done = *std::move(found);
      progress_.steps_done(plan.group, progress_.steps_of_cell(), true);
      return true;
    }
    work_on(done, [&] {
      done.cell.tuned = tune::tune_once(plan.scenario);
      done.cell.servable = done.cell.tuned.servable;
      progress_.steps_done(plan.group, 1);
    });
    return false;
  }

  void end_cell(const CellPlan& plan, CellUnderWay& passed, FinishedCell& done) {
    work_on(done, [&] {
      if (passed.failed) std::rethrow_exception(passed.failed);
      if (study_.sampling == scenario::Sampling::kGrid) done.seen = seen_in(passed.passes);
      sum_up(plan, passed.passes, done.cell);
    });
  }

  /// Cells whose passes go together; those that run are kept.
  std::vector<FinishedCell> finished_cells(std::span<CellPlan> plans) {
    std::vector<FinishedCell> done(plans.size());
    std::vector<char> found(plans.size(), 0);
    oneapi::tbb::parallel_for(std::size_t{0}, plans.size(),
                              [&](std::size_t i) { found[i] = begin_cell(plans[i], done[i]); });
    std::vector<CellUnderWay> under_way(plans.size());
    std::vector<CellUnderWay*> run;
    for (std::size_t i = 0; i < plans.size(); ++i) {
      if (found[i] != 0 || !done[i].cell.served()) continue;
      under_way[i] = {.plan = &plans[i], .table = &done[i].cell.tuned.table};
      run.push_back(&under_way[i]);
    }
    passes_.expect(-passes_of(plans.size() - run.size()));
    run_passes(run);
    for (std::size_t i = 0; i < plans.size(); ++i) {
      if (under_way[i].plan != nullptr) end_cell(plans[i], under_way[i], done[i]);
      if (found[i] == 0 && options_.keep) options_.keep(plans[i], done[i]);
      done[i].cell.values = std::move(plans[i].values);
      done[i].cell.scenario = std::move(plans[i].scenario);
    }
    return done;
  }

  /// Cells of samples, as many at once as their passes make a group.
  std::vector<SweepCell> cells_of(std::vector<CellPlan>& plans) {
    std::vector<SweepCell> cells(plans.size());
    if (plans.empty()) return cells;
    const std::size_t at_once =
        std::max(std::size_t{1}, passes_.group_size(plans.front().scenario) /
                                     static_cast<std::size_t>(study_.replicas));
    const std::size_t parts = (plans.size() + at_once - 1) / at_once;
    oneapi::tbb::parallel_for(std::size_t{0}, parts, [&](std::size_t part) {
      const std::size_t from = plans.size() * part / parts;
      const std::size_t to = plans.size() * (part + 1) / parts;
      std::vector<FinishedCell> done = finished_cells(std::span(plans).subspan(from, to - from));
      for (std::size_t i = from; i < to; ++i) cells[i] = std::move(done[i - from].cell);
    });
    return cells;
  }

  void judge(std::span<const Observation> seen, SweepPrecision& precision) const {
    precision.observations = static_cast<int>(seen.size());
    precision.interval = mean_interval(seen, look_miss_ratio(stop_.plan));
    precision.needed = needed_of(seen, stop_.plan);
  }

  Group grid_cell(std::size_t group) {
    Group done;
    std::vector<CellPlan> plan = batch_cells(study_, group, 0);
    FinishedCell finished = std::move(finished_cells(plan).front());
    done.precision.state = finished.cell.served() ? state_of(finished.seen) : StopState::kNotEnough;
    done.precision.failed = finished.cell.failed() ? 1 : 0;
    judge(finished.seen, done.precision);
    done.cells.push_back(std::move(finished.cell));
    return done;
  }

  Group samples(std::size_t group) {
    Group done;
    std::vector<Observation> seen;
    StopState state = StopState::kGoesOn;
    for (std::size_t batch = 0; state == StopState::kGoesOn; ++batch) {
      std::vector<CellPlan> plans = batch_cells(study_, group, batch);
      if (batch > 0) passes_.expect(passes_of(plans.size()));
      std::vector<SweepCell> cells = cells_of(plans);
      std::vector<Observation> fresh;
      for (SweepCell& cell : cells) {
        if (cell.served())
          fresh.push_back(observation_of(stop_.metric, read_metric_, cell.summary));
        done.precision.not_served += cell.servable ? 0 : 1;
        done.precision.failed += cell.failed() ? 1 : 0;
        done.cells.push_back(std::move(cell));
      }
      if (study_.sampling == scenario::Sampling::kLowDiscrepancy) fresh = {net_of(fresh)};
      seen.insert(seen.end(), fresh.begin(), fresh.end());
      state = state_after(batch + 1, seen);
    }
    done.precision.state = state;
    judge(seen, done.precision);
    return done;
  }

  // Samples that are not servable are no observations, so the cap counts batches.
  StopState state_after(std::size_t batches, std::span<const Observation> seen) const {
    return stop_state(seen, stop_.plan, batches >= most_batches(study_));
  }

  const Study& study_;
  const SweepOptions& options_;
  Shard shard_;
  SweepStop stop_;
  ShownPass shown_;
  measure::ReadMetric read_metric_;
  SweepProgress progress_;
  CellPasses passes_;
};

void add_axes(const Study& study, SweepResult& result) {
  for (std::size_t axis = 0; axis < study.axes.size(); ++axis) {
    SweepAxis one{study.axes[axis].key, study.axes[axis].values, study.axes[axis].draw.words};
    if (!one.drawn.empty())
      for (std::size_t cell = 0; cell < result.precision.front().cells; ++cell)
        one.values.push_back(result.cells[cell].values[axis]);
    result.axes.push_back(std::move(one));
  }
}

}  // namespace

SweepResult run_sweep(const Study& study, const SweepOptions& options) {
  SweepResult result{.name = study.name, .title = study.title, .replicas = study.replicas};
  result.sampling = study.sampling;
  result.shown_values = study.shown;
  Sweep sweep(study, options);
  result.stop = sweep.stop();
  std::vector<Group> groups(group_count(study));
  oneapi::tbb::parallel_for(std::size_t{0}, groups.size(),
                            [&](std::size_t group) { groups[group] = sweep.run_group(group); });
  for (Group& group : groups) {
    group.precision.first_cell = result.cells.size();
    result.precision.push_back(std::move(group.precision));
    for (SweepCell& cell : group.cells) result.cells.push_back(std::move(cell));
  }
  add_axes(study, result);
  if (options.on_cells) options.on_cells();

  const auto shown = std::find_if(result.cells.begin(), result.cells.end(), [&](const auto& cell) {
    return cell.served() && (study.shown.empty() || study.shown == cell.values);
  });
  result.shown_cell = static_cast<std::size_t>(shown - result.cells.begin());
  if (shown != result.cells.end()) result.shown = sweep.shown().result_of(*shown, options.stop);
  return result;
}

std::vector<SweepCell> run_shard(const Study& study, const Shard& shard,
                                 const SweepOptions& options) {
  Sweep sweep(study, options, shard);
  std::vector<std::vector<SweepCell>> groups(group_count(study));
  oneapi::tbb::parallel_for(std::size_t{0}, groups.size(),
                            [&](std::size_t group) { groups[group] = sweep.shard_cells(group); });
  std::vector<SweepCell> cells;
  for (std::vector<SweepCell>& group : groups)
    for (SweepCell& cell : group) cells.push_back(std::move(cell));
  return cells;
}

}  // namespace sim::sweep
