#include "sim/study/check/suite_run.h"

#include <oneapi/tbb/parallel_for.h>
#include <oneapi/tbb/task_arena.h>

#include <exception>
#include <mutex>

#include "sim/scenario/loader.h"

namespace sim::check {

CaseOutcome run_case(const scenario::Scenario& scenario, const std::atomic<bool>* stop) {
  CaseOutcome outcome;
  const auto ended = [&](CaseState state, std::string words) {
    outcome.state = state;
    outcome.fault = std::move(words);
  };
  try {
    outcome.result = run::run_scenario(
        scenario, {.watch = {}, .stop = stop, .on_progress = {}, .keep_fault = true});
    if (!outcome.result.record.fault.text.empty())
      ended(CaseState::kControllerFault, outcome.result.record.fault.text);
  } catch (const bench::ControllerError& error) {
    outcome.result.scenario = scenario;
    outcome.result.record.fault = {error.row, error.at_s, error.what()};
    ended(CaseState::kControllerFault, error.what());
  } catch (const bench::BenchError& error) {
    outcome.result.scenario = scenario;
    ended(CaseState::kBenchFault, error.what());
  } catch (const text::InputError& error) {
    outcome.result.scenario = scenario;
    ended(CaseState::kBadInput, error.what());
  }
  return outcome;
}

void run_cases(const Suite& suite, std::span<const std::size_t> order,
               const SuiteRunOptions& options) {
  std::atomic<std::size_t> next{0};
  std::atomic<bool> interrupted{false};
  std::mutex telling;
  // A free thread takes the next case of the order; the range only gives the number of cases.
  oneapi::tbb::parallel_for(std::size_t{0}, order.size(), [&](std::size_t) {
    if (interrupted || !options.may_start()) return;
    const std::size_t index = order[next.fetch_add(1)];
    CaseOutcome outcome;
    const double from_s = options.clock_s ? options.clock_s() : statistics::kNone_ratio;
    try {
      // In an arena of one thread, because otherwise other threads would take rows of a case slot
      // by slot.
      oneapi::tbb::task_arena alone(1);
      alone.execute([&] { outcome = run_case(suite.cases[index].scenario, options.stop); });
    } catch (const bench::Interrupted&) {
      interrupted = true;
      return;
    }
    if (options.clock_s) outcome.spent_s = options.clock_s() - from_s;
    const std::lock_guard lock(telling);
    if (options.on_case) options.on_case(index, outcome);
  });
  if (interrupted) throw bench::Interrupted("interrupted");
}

}  // namespace sim::check
