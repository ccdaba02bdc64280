#include "sim/study/tune/tune_once.h"

#include <map>
#include <mutex>

#include "sim/scenario/loader.h"
#include "sim/study/tune/tune.h"

namespace sim::tune {
namespace {

/// What a long sweep leaves behind in memory stays small.
constexpr std::size_t kMostKept = 64;

std::mutex kept_mutex;
std::map<std::string, TunedTable> kept;

/// All that tune() may look at.
std::string inputs_of(const scenario::Scenario& scenario) {
  scenario::Scenario same = scenario;
  same.travel = {.speed_mps = judged_speed_mps(scenario)};
  same.work = {};
  same.requirements.clear();
  same.faults.clear();
  same.rng_key = 0;
  same.seeds = 1;
  same.duration_s = 0.0;
  same.rate.continuous = false;
  return scenario::canonical_text(same);
}

}  // namespace

TunedTable tune_once(const scenario::Scenario& scenario) {
  // A table from a file costs nothing to take.
  if (scenario.controller.delay == scenario::DelaySource::kTable) return tune(scenario);
  const std::string inputs = inputs_of(scenario);
  {
    const std::lock_guard lock(kept_mutex);
    if (const auto found = kept.find(inputs); found != kept.end()) return found->second;
  }
  TunedTable tuned = tune(scenario);
  const std::lock_guard lock(kept_mutex);
  if (kept.size() >= kMostKept) kept.clear();
  kept.emplace(inputs, tuned);
  return tuned;
}

}  // namespace sim::tune
