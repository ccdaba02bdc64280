#include "sim/study/sweep/sweep.h"

#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <exception>
#include <mutex>

#include "shared/check.h"
#include "sim/measure/catalog.h"
#include "sim/scenario/metric_names.h"
#include "sim/study/sweep/shown_pass.h"
#include "sim/study/sweep/sweep_cells.h"
#include "sim/study/tune/strip_trim.h"
#include "sim/study/tune/tune_once.h"

namespace sim::sweep {
namespace {

/// Smallest step at which the progress of a pass is reported.
constexpr double kToldEvery_ratio = 0.02;

/// Passes of one cell, by index; their rows are kept until the cell is summarized.
using Passes = std::vector<FinishedPass>;

std::vector<Observation> seen_in(const Passes& passes) {
  std::vector<Observation> seen;
  for (const FinishedPass& pass : passes) seen.push_back(pass.seen);
  return seen;
}

/// One combination of the listed axes, finished.
struct Group {
  std::vector<SweepCell> cells;
  SweepPrecision precision;
};

// The name of a share of seeds ends with its denominator.
Observation observation_of(std::string_view metric, measure::ReadMetric read,
                           const measure::Summary& summary) {
  const measure::SeedCounts& seeds = summary.all.seeds;
  return {.value_si = read(summary),
          .trials = metric.ends_with("_sensed")   ? seeds.sensed
                    : metric.ends_with("_placed") ? seeds.placed
                                                  : 0};
}

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

/// Adds to the fault of a pass the number of the pass that it ended.
[[noreturn]] void rethrow_of_pass(const std::exception_ptr& failed, std::size_t pass) {
  const std::string prefix = "pass " + std::to_string(pass) + ": ";
  try {
    std::rethrow_exception(failed);
  } catch (const bench::ControllerError& error) {
    throw bench::ControllerError(prefix + error.what());
  } catch (const bench::BenchError& error) {
    throw bench::BenchError(prefix + error.what());
  }
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
        steps_of_cell_(static_cast<double>(most_passes(study)) + 1.0) {
    const std::size_t cells = study.sampling == scenario::Sampling::kGrid
                                  ? 1
                                  : most_batches(study) * static_cast<std::size_t>(study.samples);
    steps_of_group_ = static_cast<double>(cells) * steps_of_cell_;
    if (!deals_combinations(study)) steps_of_group_ /= static_cast<double>(shard.count);
    done_of_group_.resize(group_count(study));
  }

  Group run_group(std::size_t group) {
    Group done = study_.sampling == scenario::Sampling::kGrid ? grid_cell(group) : samples(group);
    SweepPrecision& precision = done.precision;
    precision.held = group_values(study_, group);
    precision.cells = done.cells.size();
    steps_done(group, steps_of_group_);  // includes steps that did not have to run
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
    std::vector<SweepCell> cells(plans.size());
    oneapi::tbb::parallel_for(std::size_t{0}, plans.size(),
                              [&](std::size_t i) { cells[i] = finished_cell(plans[i]).cell; });
    steps_done(group, steps_of_group_);
    return cells;
  }

 private:
  bool is_of_shard(std::size_t group) const {
    return shard_number(study_, shard_.count,
                        {.values = {}, .sample = 0, .group = group, .scenario = {}}) ==
           shard_.number;
  }

  /// Adds passes; if several fail, the first by index is reported, whichever thread ran it.
  void add_passes(const CellPlan& plan, const SweepCell& cell, int count, Passes& passes) {
    const std::size_t first = passes.size();
    const auto more = static_cast<std::size_t>(count);
    passes.resize(first + more);
    std::vector<std::exception_ptr> failed(more);
    std::vector<char> ended(more, 0);
    oneapi::tbb::parallel_for(first, first + more, [&](std::size_t index) {
      try {
        passes[index] = finished_pass(plan, cell, index);
        ended[index - first] = 1;
      } catch (...) {
        failed[index - first] = std::current_exception();
      }
    });
    for (std::size_t k = 0; k < more; ++k)
      if (failed[k]) rethrow_of_pass(failed[k], first + k);
    // When another cell fails, a loop ends early without a word: such a cell must not be kept.
    if (std::find(ended.begin(), ended.end(), 0) != ended.end())
      throw bench::Interrupted("interrupted");
  }

  /// The pass that an earlier sweep left, or one that runs now and is kept.
  FinishedPass finished_pass(const CellPlan& plan, const SweepCell& cell, std::size_t index) {
    if (options_.find_pass)
      if (std::optional<FinishedPass> found = options_.find_pass(plan, index)) {
        steps_done(plan.group, 1, true);
        return *std::move(found);
      }
    FinishedPass done = run_pass(plan, cell, index);
    if (options_.keep_pass) options_.keep_pass(plan, index, done);
    return done;
  }

  FinishedPass run_pass(const CellPlan& plan, const SweepCell& cell, std::size_t index) {
    scenario::Scenario scenario = plan.scenario;
    scenario.rng_key = pass_key(study_, plan.sample, index);
    // A pass that fails reports no further progress; the end of its group adds what is missing.
    double told_ratio = 0.0;
    const auto tell = [&](double done_ratio) {
      if (done_ratio < 1.0 && done_ratio < told_ratio + kToldEvery_ratio) return;
      steps_done(plan.group, done_ratio - told_ratio);
      told_ratio = done_ratio;
    };
    std::vector<int> trim_um;
    const double strip_ratio = scenario.controller.row_trim ? 0.5 : 0.0;
    if (scenario.controller.row_trim)
      trim_um = tune::strip_test_trim_um(
          scenario, options_.stop, [&](double done_ratio) { tell(strip_ratio * done_ratio); });
    const bool shown = index == 0 && shown_.is_of(plan);
    bench::PassOptions pass{.stop = options_.stop, .on_progress = [&](double done_ratio) {
                              tell(strip_ratio + (1.0 - strip_ratio) * std::min(done_ratio, 1.0));
                            }};
    if (shown) pass.watch = run::RunOptions{}.watch;
    bench::PassRecord record = bench::run_pass(scenario, cell.tuned.table, trim_um, pass);
    tell(1.0);
    if (shown) shown_.keep(scenario, trim_um, record);
    FinishedPass done{.simulated_s = record.simulated_s};
    if (study_.sampling == scenario::Sampling::kGrid) {
      std::vector<measure::RowRecord> rows = record.rows;  // matched for this pass alone
      done.seen = observation_of(stop_.metric, read_metric_,
                                 measure::summarize(rows, scenario, record.simulated_s));
    }
    done.rows = std::move(record.rows);
    return done;
  }

  static void sum_up(const CellPlan& plan, Passes& passes, SweepCell& cell) {
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

  void run_passes(const CellPlan& plan, FinishedCell& done) {
    Passes passes;
    do {
      add_passes(plan, done.cell, study_.replicas, passes);
    } while (study_.sampling == scenario::Sampling::kGrid &&
             state_of(seen_in(passes)) == StopState::kGoesOn);
    sum_up(plan, passes, done.cell);
    if (study_.sampling == scenario::Sampling::kGrid) done.seen = seen_in(passes);
  }

  FinishedCell run_cell(const CellPlan& plan) {
    FinishedCell done;
    const auto fails = [&](CellFault fault, const char* words) {
      done = {};
      done.cell.fault = fault;
      done.cell.fault_words = words;
    };
    try {
      done.cell.tuned = tune::tune_once(plan.scenario);
      done.cell.servable = done.cell.tuned.servable;
      steps_done(plan.group, 1);
      if (done.cell.servable) run_passes(plan, done);
    } catch (const bench::ControllerError& error) {
      fails(CellFault::kController, error.what());
    } catch (const bench::BenchError& error) {
      fails(CellFault::kBench, error.what());
    }
    return done;
  }

  /// The cell that an earlier sweep left, or one that runs now and is kept.
  FinishedCell finished_cell(CellPlan& plan) {
    std::optional<FinishedCell> found;
    if (options_.find) found = options_.find(plan);
    FinishedCell done = found ? *std::move(found) : run_cell(plan);
    if (found) steps_done(plan.group, steps_of_cell_, true);
    if (!found && options_.keep) options_.keep(plan, done);
    done.cell.values = std::move(plan.values);
    done.cell.scenario = std::move(plan.scenario);
    return done;
  }

  void judge(std::span<const Observation> seen, SweepPrecision& precision) const {
    precision.observations = static_cast<int>(seen.size());
    precision.interval = mean_interval(seen, look_miss_ratio(stop_.plan));
    precision.needed = needed_of(seen, stop_.plan);
  }

  Group grid_cell(std::size_t group) {
    Group done;
    std::vector<CellPlan> plan = batch_cells(study_, group, 0);
    FinishedCell finished = finished_cell(plan.front());
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
      std::vector<SweepCell> cells(plans.size());
      oneapi::tbb::parallel_for(std::size_t{0}, plans.size(),
                                [&](std::size_t i) { cells[i] = finished_cell(plans[i]).cell; });
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

  double share_of(std::size_t group) const {  // tidy: unit of all work
    if (options_.group_work_s.empty()) return 1.0 / static_cast<double>(group_count(study_));
    double all_s = 0.0;
    for (const double work_s : options_.group_work_s) all_s += work_s;
    return all_s > 0.0 ? options_.group_work_s[group] / all_s : 0.0;
  }

  void steps_done(std::size_t group, double steps, bool found = false) {  // tidy: unit passes
    if (!options_.on_progress || steps <= 0.0) return;
    const std::lock_guard lock(progress_);
    steps = std::min(steps, steps_of_group_ - done_of_group_[group]);
    done_of_group_[group] += steps;
    const double more_ratio = share_of(group) * steps / steps_of_group_;
    done_ratio_ += more_ratio;
    if (found) found_ratio_ += more_ratio;
    options_.on_progress(std::min(1.0, done_ratio_), found_ratio_);
  }

  const Study& study_;
  const SweepOptions& options_;
  Shard shard_;
  SweepStop stop_;
  ShownPass shown_;
  measure::ReadMetric read_metric_;
  double steps_of_cell_;         // tidy: unit passes, and one for the table
  double steps_of_group_ = 0.0;  // tidy: unit passes
  std::mutex progress_;
  std::vector<double> done_of_group_;  // tidy: unit passes
  double done_ratio_ = 0.0, found_ratio_ = 0.0;
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
