#include "sim/study/sweep_cells.h"

#include "sim/bench/random.h"
#include "sim/study/draws.h"

namespace sim {
namespace {

bool is_drawn(const StudyAxis& axis) { return axis.draw.shape != DrawShape::kNone; }

Scenario scenario_of(const Study& study, const CellPlan& cell) {
  std::vector<std::string> sets = study.sets;
  for (std::size_t axis = 0; axis < study.axes.size(); ++axis)
    sets.push_back(study.axes[axis].key + "=\"" + cell.values[axis] + "\"");
  Scenario scenario = load_scenario(study.base, sets);
  scenario.rng_key = pass_key(study, cell.sample, 0);
  return scenario;
}

// A draw that the key refuses is the study's mistake, not that of an override nobody wrote.
Scenario sample_scenario(const Study& study, const CellPlan& cell) {
  try {
    return scenario_of(study, cell);
  } catch (const InputError& error) {
    const std::string what = error.what();
    for (std::size_t axis = 0; axis < study.axes.size(); ++axis)
      if (is_drawn(study.axes[axis]) && what.find(study.axes[axis].key) != std::string::npos)
        throw InputError(study.axes[axis].draw.place + ": sample " + std::to_string(cell.sample) +
                         " draws \"" + cell.values[axis] + "\", which does not run (" + what +
                         "); cut the distribution off with low and high");
    throw;
  }
}

}  // namespace

std::size_t group_count(const Study& study) {
  std::size_t groups = 1;
  for (const StudyAxis& axis : study.axes)
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
  if (study.sampling == Sampling::kGrid) {
    cells.push_back(
        {.values = group_values(study, group), .sample = 0, .group = group, .scenario = {}});
    cells.back().scenario = scenario_of(study, cells.back());
    return cells;
  }
  const std::vector<std::vector<std::string>> drawn = drawn_values(study, batch);
  for (std::size_t i = 0; i < drawn.size(); ++i) {
    CellPlan cell{.values = group_values(study, group),
                  .sample = batch * drawn.size() + i,
                  .group = group,
                  .scenario = {}};
    std::size_t column = 0;
    for (std::size_t axis = 0; axis < study.axes.size(); ++axis)
      if (is_drawn(study.axes[axis])) cell.values[axis] = drawn[i][column++];
    cell.scenario = sample_scenario(study, cell);
    cells.push_back(std::move(cell));
  }
  return cells;
}

std::size_t most_batches(const Study& study) {
  if (study.sampling == Sampling::kGrid || study.stop.most == 0) return 1;
  return static_cast<std::size_t>(study.stop.most / study.samples);
}

int most_passes(const Study& study) {
  const bool more = study.sampling == Sampling::kGrid && study.stop.most > 0;
  return more ? study.stop.most : study.replicas;
}

std::uint64_t pass_key(const Study& study, std::size_t sample, std::size_t index) {
  // The first pass of the first sample is the scenario as it stands.
  return replica_key(study.rng_key, sample * static_cast<std::size_t>(study.replicas) + index);
}

std::vector<Scenario> cell_scenarios(const Study& study) {
  std::vector<Scenario> scenarios;
  for (std::size_t group = 0; group < group_count(study); ++group)
    for (std::size_t batch = 0; batch < most_batches(study); ++batch)
      for (CellPlan& cell : batch_cells(study, group, batch))
        scenarios.push_back(std::move(cell.scenario));
  return scenarios;
}

}  // namespace sim
