#include "sim/study/search/search_run.h"

#include <oneapi/tbb/parallel_for.h>
#include <oneapi/tbb/task_arena.h>

#include <algorithm>

#include "sim/bench/errors.h"
#include "sim/study/search/shrink_case.h"
#include "sim/text/input_error.h"

namespace sim::search {
namespace {

JudgedPass judge_changes(const Search& search, const Changes& changes,
                         const std::atomic<bool>* stop) {
  try {
    return judge_scenario(scenario_with(search, changes), search.base.faults.size(), stop);
  } catch (const text::InputError& error) {  // two changes that do not go together
    return {PassState::kNotServed, JudgedPass{}.margin_ratio, "", error.what()};
  }
}

class Passes {
 public:
  Passes(const Search& search, const SearchOptions& options) : search_(search), options_(options) {}

  /// Judges a round and appends it to the method; gives the margins, or nothing where it is enough.
  std::vector<double> judge_round(const std::vector<Point>& points, Method& method) {
    std::vector<SearchPass> round(points.size());
    oneapi::tbb::parallel_for(std::size_t{0}, points.size(), [&](std::size_t index) {
      // Alone, because otherwise other threads would take rows of a pass slot by slot.
      oneapi::tbb::task_arena alone(1);
      alone.execute([&] {
        round[index].changes = changes_of(search_, points[index]);
        round[index].judged = judge_changes(search_, round[index].changes, options_.stop);
      });
    });
    std::vector<double> margins_ratio;
    for (SearchPass& pass : round) {
      margins_ratio.push_back(pass.judged.margin_ratio);
      method.passes.push_back(std::move(pass));
      if (options_.until_found && method.passes.back().judged.fails()) return {};
    }
    done_ += points.size();
    if (options_.on_progress)
      options_.on_progress(static_cast<double>(done_) / (2.0 * search_.passes));
    return margins_ratio;
  }

 private:
  const Search& search_;
  const SearchOptions& options_;
  std::size_t done_ = 0;
};

}  // namespace

std::size_t Method::failing() const {
  return static_cast<std::size_t>(std::count_if(
      passes.begin(), passes.end(), [](const SearchPass& pass) { return pass.judged.fails(); }));
}

std::size_t Method::not_judged() const {
  return static_cast<std::size_t>(
      std::count_if(passes.begin(), passes.end(),
                    [](const SearchPass& pass) { return !pass.judged.says_something(); }));
}

std::size_t Method::idle() const {
  return static_cast<std::size_t>(std::count_if(
      passes.begin(), passes.end(), [](const SearchPass& pass) { return pass.judged.idle_fault; }));
}

int Method::first() const {
  const auto found = std::find_if(passes.begin(), passes.end(),
                                  [](const SearchPass& pass) { return pass.judged.fails(); });
  return found == passes.end() ? -1 : static_cast<int>(found - passes.begin());
}

int Method::best() const {
  int best = -1;
  for (std::size_t k = 0; k < passes.size(); ++k) {
    const JudgedPass& judged = passes[k].judged;
    if (!judged.says_something()) continue;
    if (best >= 0) {
      const JudgedPass& other = passes[static_cast<std::size_t>(best)].judged;
      const bool worse = judged.fails() != other.fails() ? judged.fails()
                                                         : judged.margin_ratio < other.margin_ratio;
      if (!worse) continue;
    }
    best = static_cast<int>(k);
  }
  return best;
}

const SearchPass* nearest_pass(const SearchResult& result) {
  const SearchPass* nearest = nullptr;
  for (const Method* method : {&result.optimiser, &result.random}) {
    const int best = method->best();
    if (best < 0) continue;
    const SearchPass& pass = method->passes[static_cast<std::size_t>(best)];
    if (pass.judged.fails()) return &pass;
    if (nearest == nullptr || pass.judged.margin_ratio < nearest->judged.margin_ratio)
      nearest = &pass;
  }
  return nearest;
}

SearchResult run_search(const Search& search, const SearchOptions& options) {
  SearchResult result{.search = search, .base = {}};
  result.base = judge_changes(search, no_changes(search), options.stop);
  if (result.base.fails()) {
    result.shrunk = ShrunkCase{no_changes(search), result.base, 0, 0};
    return result;
  }
  const OptimiserOptions points{.dimensions = search.dimensions(),
                                .passes = static_cast<std::size_t>(search.passes),
                                .rng_key = search.rng_key};
  Passes passes(search, options);
  optimise(points, [&](const auto& round) { return passes.judge_round(round, result.optimiser); });
  draw_at_random(points,
                 [&](const auto& round) { return passes.judge_round(round, result.random); });
  const SearchPass* nearest = nearest_pass(result);
  if (nearest != nullptr && nearest->judged.fails())
    result.shrunk = shrink_case(search, *nearest, [&](const Changes& changes) {
      return judge_changes(search, changes, options.stop);
    });
  return result;
}

}  // namespace sim::search
