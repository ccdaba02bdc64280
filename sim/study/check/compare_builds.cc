#include "sim/study/check/compare_builds.h"

#include <oneapi/tbb/parallel_for.h>
#include <oneapi/tbb/task_arena.h>

#include <mutex>

#include "sim/bench/call_log.h"
#include "sim/bench/random.h"
#include "sim/study/run/run.h"

namespace sim::check {
namespace {

/// Figures and digest of one run of one build.
struct Side {
  std::vector<double> figures_si;  // tidy: unit is the metric's
  std::uint64_t calls = 0;         // one digest of all calls
};

scenario::Scenario of_run(const scenario::Scenario& build, int run) {
  scenario::Scenario scenario = build;
  if (run > 0)
    scenario.rng_key = bench::replica_key(build.rng_key, static_cast<std::uint64_t>(run));
  return scenario;
}

Side run_side(const scenario::Scenario& scenario, const std::atomic<bool>* stop) {
  std::vector<bench::CallLog> logs;
  const run::RunResult result =
      run::run_scenario(scenario, {.watch = {}, .stop = stop, .on_progress = {}, .calls = &logs});
  Side side{.figures_si = judged_values_si(result.summary)};
  for (const bench::CallLog& log : logs)
    for (const std::uint64_t digest : log.digests)
      side.calls = (side.calls ^ digest) * 0x100000001b3u + 1;
  return side;
}

}  // namespace

Comparison compare_builds(const scenario::Scenario& old_build, const scenario::Scenario& new_build,
                          const CompareOptions& options) {
  const auto runs = static_cast<std::size_t>(options.runs);
  std::vector<Side> sides[2] = {std::vector<Side>(runs), std::vector<Side>(runs)};
  std::atomic<std::size_t> done{0};
  std::mutex telling;
  oneapi::tbb::parallel_for(std::size_t{0}, 2 * runs, [&](std::size_t job) {
    const auto run = static_cast<int>(job / 2);
    const scenario::Scenario scenario = of_run(job % 2 == 0 ? old_build : new_build, run);
    oneapi::tbb::task_arena alone(1);
    alone.execute([&] { sides[job % 2][job / 2] = run_side(scenario, options.stop); });
    const double done_ratio =
        static_cast<double>(done.fetch_add(1) + 1) / static_cast<double>(2 * runs);
    const std::lock_guard lock(telling);
    if (options.on_progress) options.on_progress(done_ratio);
  });
  Comparison comparison{.runs = options.runs};
  int parts_in = -1;
  for (std::size_t run = 0; run < runs && parts_in < 0; ++run)
    if (sides[0][run].calls != sides[1][run].calls) parts_in = static_cast<int>(run);
  comparison.same_bytes = parts_in < 0;
  if (comparison.same_bytes) return comparison;
  comparison.parting =
      find_parting(of_run(old_build, parts_in), of_run(new_build, parts_in), options.stop);
  comparison.parting.run = parts_in;
  std::vector<std::vector<double>> figures_si[2];
  for (int side = 0; side < 2; ++side)
    for (Side& one : sides[side]) figures_si[side].push_back(std::move(one.figures_si));
  comparison.shifts = paired_shifts(figures_si[0], figures_si[1], options.margins_si);
  return comparison;
}

}  // namespace sim::check
