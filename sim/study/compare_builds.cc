#include "sim/study/compare_builds.h"

#include <oneapi/tbb/parallel_for.h>
#include <oneapi/tbb/task_arena.h>

#include <algorithm>
#include <mutex>

#include "sim/bench/controller_port.h"
#include "sim/bench/random.h"
#include "sim/study/call_members.h"
#include "sim/study/run.h"

namespace sim {
namespace {

/// What is kept of one run of one build.
struct Side {
  std::vector<double> figures_si;  // tidy: unit is the metric's
  std::uint64_t calls = 0;         // all digests folded into one
};

Scenario of_run(const Scenario& build, int run) {
  Scenario scenario = build;
  if (run > 0) scenario.rng_key = replica_key(build.rng_key, static_cast<std::uint64_t>(run));
  return scenario;
}

std::vector<CallLog> calls_of(const Scenario& scenario, std::vector<CallLog> logs,
                              const std::atomic<bool>* stop) {
  run_scenario(scenario, {.watch = {}, .stop = stop, .on_progress = {}, .calls = &logs});
  return logs;
}

Side run_side(const Scenario& scenario, const std::atomic<bool>* stop) {
  std::vector<CallLog> logs;
  const RunResult result =
      run_scenario(scenario, {.watch = {}, .stop = stop, .on_progress = {}, .calls = &logs});
  Side side{.figures_si = judged_values_si(result.summary)};
  for (const CallLog& log : logs)
    for (const std::uint64_t digest : log.digests)
      side.calls = (side.calls ^ digest) * 0x100000001b3u + 1;
  return side;
}

/// Index of the first call that differs; -1: none.
std::int64_t first_difference(const CallLog& a, const CallLog& b) {
  const std::size_t both = std::min(a.digests.size(), b.digests.size());
  for (std::size_t call = 0; call < both; ++call)
    if (a.digests[call] != b.digests[call]) return static_cast<std::int64_t>(call);
  return a.digests.size() == b.digests.size() ? -1 : static_cast<std::int64_t>(both);
}

void add_differences(const CallMembers& a, const CallMembers& b, const char* prefix,
                     std::vector<CallDifference>& differences) {
  for (const auto& [name, value] : a) {
    const auto other = std::find_if(b.begin(), b.end(),
                                    [&name = name](const auto& one) { return one.first == name; });
    if (other == b.end() || other->second != value)
      differences.push_back({prefix + name, value, other == b.end() ? 0 : other->second});
  }
  for (const auto& [name, value] : b)
    if (std::none_of(a.begin(), a.end(),
                     [&name = name](const auto& one) { return one.first == name; }))
      differences.push_back({prefix + name, 0, value});
}

/// Both builds once more over the run in which they part: first every call's digest, then the call
/// of each controller in which it parts, whole.
Parting parting_of(const Scenario& old_build, const Scenario& new_build, int run,
                   const std::atomic<bool>* stop) {
  const Scenario builds[] = {of_run(old_build, run), of_run(new_build, run)};
  std::vector<CallLog> logs[2];
  const auto both = [&] {
    oneapi::tbb::parallel_for(
        0, 2, [&](int side) { logs[side] = calls_of(builds[side], std::move(logs[side]), stop); });
  };
  both();
  std::vector<std::int64_t> parts(logs[0].size());
  for (std::size_t port = 0; port < parts.size(); ++port)
    parts[port] = first_difference(logs[0][port], logs[1][port]);
  for (auto& side : logs)
    for (std::size_t port = 0; port < parts.size(); ++port) {
      side[port] = {};
      side[port].capture = parts[port];
    }
  both();
  Parting parting;
  for (std::size_t port = 0; port < parts.size(); ++port) {
    const CallLog& before = logs[0][port];
    const CallLog& after = logs[1][port];
    if (parts[port] < 0) continue;
    const double at_s = std::min(before.captured_at, after.captured_at).seconds();
    if (parting.run >= 0 && parting.at_s <= at_s) continue;
    parting = {.run = run,
               .row = port + 1 == parts.size() ? -1 : static_cast<int>(port),
               .call = parts[port],
               .at_s = at_s,
               .at_ticks = before.captured_input.now_ticks,
               .equal_until_s = before.equal_until.seconds()};
    add_differences(members_of(before.captured_input), members_of(after.captured_input), "in.",
                    parting.differences);
    parting.same_input = parting.differences.empty();
    add_differences(members_of(before.captured_output), members_of(after.captured_output), "out.",
                    parting.differences);
  }
  return parting;
}

}  // namespace

Comparison compare_builds(const Scenario& old_build, const Scenario& new_build,
                          const CompareOptions& options) {
  const auto runs = static_cast<std::size_t>(options.runs);
  std::vector<Side> sides[2] = {std::vector<Side>(runs), std::vector<Side>(runs)};
  std::atomic<std::size_t> done{0};
  std::mutex telling;
  oneapi::tbb::parallel_for(std::size_t{0}, 2 * runs, [&](std::size_t job) {
    const auto run = static_cast<int>(job / 2);
    const Scenario scenario = of_run(job % 2 == 0 ? old_build : new_build, run);
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
  comparison.parting = parting_of(old_build, new_build, parts_in, options.stop);
  std::vector<std::vector<double>> figures_si[2];
  for (int side = 0; side < 2; ++side)
    for (Side& one : sides[side]) figures_si[side].push_back(std::move(one.figures_si));
  comparison.shifts = paired_shifts(figures_si[0], figures_si[1], options.margins_si);
  return comparison;
}

}  // namespace sim
