#include "sim/study/sweep/sweep_cells.h"

#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <exception>
#include <map>
#include <mutex>

#include "sim/bench/controller_library.h"
#include "sim/bench/pass.h"
#include "sim/bench/random.h"
#include "sim/study/sweep/draws.h"

namespace sim::sweep {
namespace {

bool is_drawn(const scenario::StudyAxis& axis) {
  return axis.draw.shape != scenario::DrawShape::kNone;
}

scenario::Scenario scenario_of(const Study& study, const CellPlan& cell) {
  std::vector<std::string> sets = study.sets;
  for (std::size_t axis = 0; axis < study.axes.size(); ++axis)
    sets.push_back(study.axes[axis].key + "=\"" + cell.values[axis] + "\"");
  scenario::Scenario scenario = scenario::load_scenario(study.base, sets);
  scenario.rng_key = pass_key(study, cell.sample, 0);
  return scenario;
}

// A draw that the key refuses is reported as the study's mistake, not as that of a --set.
scenario::Scenario sample_scenario(const Study& study, const CellPlan& cell) {
  try {
    return scenario_of(study, cell);
  } catch (const text::InputError& error) {
    const std::string what = error.what();
    for (std::size_t axis = 0; axis < study.axes.size(); ++axis)
      if (is_drawn(study.axes[axis]) && what.find(study.axes[axis].key) != std::string::npos)
        throw text::InputError(study.axes[axis].draw.place + ": sample " +
                               std::to_string(cell.sample) + " draws \"" + cell.values[axis] +
                               "\", with which the scenario does not run (" + what +
                               "); cut the distribution off with low and high");
    throw;
  }
}

CellPlan drawn_cell(const Study& study, std::size_t group, std::size_t sample,
                    const std::vector<std::string>& drawn) {
  CellPlan cell{
      .values = group_values(study, group), .sample = sample, .group = group, .scenario = {}};
  std::size_t column = 0;
  for (std::size_t axis = 0; axis < study.axes.size(); ++axis)
    if (is_drawn(study.axes[axis])) cell.values[axis] = drawn[column++];
  cell.scenario = sample_scenario(study, cell);
  return cell;
}

/// Number of cells in one group.
std::size_t cells_of_group(const Study& study) {
  return study.sampling == scenario::Sampling::kGrid
             ? 1
             : most_batches(study) * static_cast<std::size_t>(study.samples);
}

/// Groups in which each listed axis has its first or its last value.
void add_corners(const Study& study, std::vector<std::size_t>& cells) {
  constexpr std::size_t kMostCorners = 64;
  std::vector<std::size_t> corners = {0};
  for (const scenario::StudyAxis& axis : study.axes) {
    if (is_drawn(axis)) continue;
    std::vector<std::size_t> next;
    for (const std::size_t corner : corners) {
      next.push_back(corner * axis.values.size());
      if (axis.values.size() > 1 && next.size() < kMostCorners)
        next.push_back(corner * axis.values.size() + axis.values.size() - 1);
    }
    corners = std::move(next);
  }
  for (const std::size_t corner : corners) cells.push_back(corner * cells_of_group(study));
}

/// One cell from each of `most` equal stretches, at a place in it that does not depend on the axes.
void add_spread(std::size_t count, std::size_t most, std::vector<std::size_t>& cells) {
  for (std::size_t k = 0; k < most; ++k) {
    const std::size_t first = k * count / most, end = (k + 1) * count / most;
    cells.push_back(first + bench::replica_key(1, k + 1) % (end - first));
  }
}

}  // namespace

std::size_t group_count(const Study& study) {
  std::size_t groups = 1;
  for (const scenario::StudyAxis& axis : study.axes)
    if (!is_drawn(axis)) groups *= axis.values.size();
  return groups;
}

std::vector<std::string> group_values(const Study& study, std::size_t group) {
  std::vector<std::string> values(study.axes.size());
  for (std::size_t axis = study.axes.size(); axis-- > 0;) {
    if (is_drawn(study.axes[axis])) continue;
    values[axis] = study.axes[axis].values[group % study.axes[axis].values.size()];
    group /= study.axes[axis].values.size();
  }
  return values;
}

std::vector<CellPlan> batch_cells(const Study& study, std::size_t group, std::size_t batch) {
  std::vector<CellPlan> cells;
  if (study.sampling == scenario::Sampling::kGrid) {
    cells.push_back(
        {.values = group_values(study, group), .sample = 0, .group = group, .scenario = {}});
    cells.back().scenario = scenario_of(study, cells.back());
    return cells;
  }
  const std::vector<std::vector<std::string>> drawn = drawn_values(study, batch);
  for (std::size_t i = 0; i < drawn.size(); ++i)
    cells.push_back(drawn_cell(study, group, batch * drawn.size() + i, drawn[i]));
  return cells;
}

std::size_t most_batches(const Study& study) {
  if (study.sampling == scenario::Sampling::kGrid || study.stop.most == 0) return 1;
  return static_cast<std::size_t>(study.stop.most / study.samples);
}

int most_passes(const Study& study) {
  const bool more = study.sampling == scenario::Sampling::kGrid && study.stop.most > 0;
  return more ? study.stop.most : study.replicas;
}

std::uint64_t pass_key(const Study& study, std::size_t sample, std::size_t index) {
  // The first pass of the first sample has the key of the study itself.
  return bench::replica_key(study.rng_key,
                            sample * static_cast<std::size_t>(study.replicas) + index);
}

std::size_t cell_count(const Study& study) { return group_count(study) * cells_of_group(study); }

LookedAt look_at_cells(const Study& study, std::size_t most) {
  const std::size_t count = cell_count(study), of_group = cells_of_group(study);
  std::vector<std::size_t> cells;
  if (count <= most) {
    for (std::size_t cell = 0; cell < count; ++cell) cells.push_back(cell);
  } else {
    add_corners(study, cells);
    add_spread(count, most, cells);
    std::sort(cells.begin(), cells.end());
    cells.erase(std::unique(cells.begin(), cells.end()), cells.end());
  }
  const auto batch_size = static_cast<std::size_t>(std::max(1, study.samples));
  std::map<std::size_t, std::vector<std::vector<std::string>>> drawn;  // by batch
  LookedAt seen;
  for (const std::size_t cell : cells) {
    const std::size_t group = cell / of_group, sample = cell % of_group;
    seen.groups.push_back(group);
    if (study.sampling == scenario::Sampling::kGrid) {
      seen.scenarios.push_back(std::move(batch_cells(study, group, 0).front().scenario));
      continue;
    }
    const std::size_t batch = sample / batch_size;
    if (!drawn.contains(batch)) drawn[batch] = drawn_values(study, batch);
    seen.scenarios.push_back(
        drawn_cell(study, group, sample, drawn[batch][sample % batch_size]).scenario);
  }
  return seen;
}

void judge_cells(const Study& study, const std::atomic<bool>& stop,
                 const std::function<void(double done_ratio)>& on_progress) {
  const std::size_t groups = group_count(study);
  std::atomic<std::size_t> done{0}, first_refused{groups};
  std::mutex refusal_mutex;
  std::exception_ptr refusal;
  oneapi::tbb::parallel_for(std::size_t{0}, groups, [&](std::size_t group) {
    if (stop || group > first_refused) return;
    try {
      for (std::size_t batch = 0; batch < most_batches(study); ++batch)
        for (const CellPlan& cell :
             stop ? std::vector<CellPlan>{} : batch_cells(study, group, batch))
          if (!cell.scenario.controller.library.empty())
            bench::require_library(cell.scenario.controller.library);
    } catch (const text::InputError&) {
      const std::lock_guard lock(refusal_mutex);
      if (group < first_refused) {
        first_refused = group;
        refusal = std::current_exception();
      }
    }
    on_progress(static_cast<double>(++done) / static_cast<double>(groups));
  });
  if (stop) throw bench::Interrupted("interrupted");
  if (refusal) std::rethrow_exception(refusal);
}

}  // namespace sim::sweep
