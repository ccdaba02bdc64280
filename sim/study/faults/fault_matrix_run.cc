#include "sim/study/faults/fault_matrix_run.h"

#include <fmt/format.h>
#include <oneapi/tbb/parallel_for.h>
#include <oneapi/tbb/task_arena.h>

#include <algorithm>

#include "sim/bench/errors.h"
#include "sim/output/shown_units.h"
#include "sim/scenario/loader.h"
#include "sim/study/run/run.h"

namespace sim::faults {
namespace {

/// "no_band at most: limit 1, value 7"
std::string words_of(const measure::RequirementResult& one) {
  const bool plain = one.unit == "1" || one.unit == "ratio" || one.unit.empty();
  return fmt::format("{}: limit {:.4g}, value {:.4g}{}{}", one.name, one.limit, one.value,
                     plain ? "" : " ", plain ? "" : one.unit);
}

void judge(const run::RunResult& result, std::size_t own, JudgedCell& judged) {
  const measure::Summary& summary = result.summary;
  const std::vector<scenario::Requirement>& stated = result.scenario.requirements;
  // What a rule asks for after a cause says nothing where that cause never came; a figure that
  // nothing was laid for is missing because of the fault.
  const auto is_broken = [&](std::size_t k) {
    const bool rule = k < stated.size() && stated[k].rule.form != scenario::TemporalForm::kNone;
    return !summary.requirements[k].holds && (summary.requirements[k].seen || !rule);
  };
  const auto first_broken = [&](std::size_t from, std::size_t to) {
    for (std::size_t k = from; k < to; ++k)
      if (is_broken(k)) return k;
    return to;
  };
  const std::size_t all = summary.requirements.size();
  const std::size_t broken = first_broken(0, own);
  if (broken == own) return;
  judged.state = CellState::kDegraded;
  judged.words = words_of(summary.requirements[broken]);
  const std::size_t worse = first_broken(own, all);
  if (worse == all && all > own) return;
  judged.state = CellState::kViolated;
  if (worse < all) judged.words = words_of(summary.requirements[worse]);
}

JudgedCell run_cell(const FaultMatrix& matrix, const MatrixCell& cell,
                    const std::atomic<bool>* stop) {
  JudgedCell judged{.cell = cell};
  const MatrixScenario& one = matrix.scenarios[cell.scenario];
  std::vector<std::string> sets = cell.sets(matrix);
  sets.insert(sets.end(), one.degraded.begin(), one.degraded.end());
  const scenario::Scenario scenario = scenario::load_scenario(one.base, sets);
  run::RunOptions options{.watch = {}, .stop = stop};
  options.keep_fault = options.keep_idle_faults = true;
  try {
    const run::RunResult result = run::run_scenario(scenario, options);
    if (!result.record.fault.text.empty()) {
      judged.state = CellState::kControllerFault;
      judged.words = result.record.fault.text;
    } else if (!result.record.idle_faults.empty()) {
      judged.state = CellState::kNeverActed;
    } else {
      judge(result, one.own, judged);
    }
  } catch (const bench::ControllerError& error) {
    judged.state = CellState::kControllerFault;
    judged.words = error.what();
  } catch (const bench::BenchError& error) {
    judged.state = CellState::kViolated;
    judged.words = error.what();
  }
  return judged;
}

bool violated(const JudgedCell& one) {
  return one.state == CellState::kViolated || one.state == CellState::kControllerFault;
}

std::vector<const JudgedCell*> cells_that(const std::vector<JudgedCell>& cells,
                                          bool (*wanted)(const JudgedCell&)) {
  std::vector<const JudgedCell*> found;
  for (const JudgedCell& one : cells)
    if (wanted(one)) found.push_back(&one);
  return found;
}

}  // namespace

std::size_t MatrixResult::count(CellState state) const {
  return static_cast<std::size_t>(std::count_if(cells.begin(), cells.end(), [&](const auto& one) {
    return !one.cell.kind.empty() && one.state == state;
  }));
}

std::vector<const JudgedCell*> MatrixResult::red() const {
  return cells_that(cells, [](const JudgedCell& one) {
    return one.cell.kind.empty() ? one.state != CellState::kHeld : violated(one) && !one.known;
  });
}

std::vector<const JudgedCell*> MatrixResult::mended() const {
  return cells_that(cells, [](const JudgedCell& one) { return one.known && !violated(one); });
}

std::vector<const JudgedCell*> MatrixResult::never_acted() const {
  return cells_that(cells,
                    [](const JudgedCell& one) { return one.state == CellState::kNeverActed; });
}

MatrixResult run_matrix(const FaultMatrix& matrix, const MatrixOptions& options) {
  MatrixResult result{.matrix = matrix, .cells = {}};
  const std::vector<MatrixCell> cells = cells_of(matrix);
  result.cells.resize(cells.size());
  std::atomic<std::size_t> done{0};
  oneapi::tbb::parallel_for(std::size_t{0}, cells.size(), [&](std::size_t index) {
    // Alone, because otherwise other threads would take rows of a cell slot by slot.
    oneapi::tbb::task_arena alone(1);
    alone.execute([&] { result.cells[index] = run_cell(matrix, cells[index], options.stop); });
    const std::string id = cells[index].id(matrix);
    result.cells[index].known =
        std::find(matrix.known.begin(), matrix.known.end(), id) != matrix.known.end();
    const auto finished = static_cast<double>(done.fetch_add(1) + 1);
    if (options.on_progress) options.on_progress(finished / static_cast<double>(cells.size()));
  });
  return result;
}

std::string_view state_word(CellState state) {
  switch (state) {
    case CellState::kHeld: return "held";
    case CellState::kDegraded: return "degraded";
    case CellState::kViolated: return "violated";
    case CellState::kControllerFault: return "violated (controller)";
    case CellState::kNeverActed: return "never acted";
  }
  return "";
}

}  // namespace sim::faults
