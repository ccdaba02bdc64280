#include "sim/study/check/parting.h"

#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <limits>

#include "sim/bench/call_log.h"
#include "sim/bench/pass.h"
#include "sim/study/check/call_members.h"
#include "sim/study/run/run.h"
#include "sim/study/tune/strip_trim.h"
#include "sim/study/tune/tune.h"

namespace sim::check {
namespace {

/// Shares of the pass that are run one after the other until the builds differ.
constexpr double kShares_ratio[] = {1.0 / 16.0, 0.25, 1.0};

/// One build before its pass.
struct Build {
  scenario::Scenario scenario;
  tune::TunedTable tuned;
  std::vector<int> trim_um;
  bench::PassFault fault;  // of the strip test
};

/// Calls and fault of a build over a share of the pass.
struct Played {
  std::vector<bench::CallLog> logs;  // of the rows and, after them, of the machine
  bench::PassFault fault;            // empty text: no fault
};

Build build_of(const scenario::Scenario& scenario, const tune::TunedTable& tuned,
               const std::atomic<bool>* stop) {
  Build build{.scenario = scenario, .tuned = tuned, .trim_um = {}, .fault = {}};
  try {
    if (scenario.controller.row_trim) build.trim_um = tune::strip_test_trim_um(scenario, stop);
  } catch (const bench::ControllerError& error) {
    build.fault = {error.row, error.at_s, std::string("in the strip test: ") + error.what()};
  }
  return build;
}

Played play(const Build& build, double share_ratio, const std::vector<std::int64_t>& captures,
            const std::atomic<bool>* stop) {
  Played played{.logs = std::vector<bench::CallLog>(captures.size()), .fault = build.fault};
  for (std::size_t port = 0; port < captures.size(); ++port)
    played.logs[port].capture = captures[port];
  if (!played.fault.text.empty()) return played;
  try {
    const bench::PassRecord record =
        bench::run_pass(build.scenario, build.tuned.table, build.trim_um,
                        {.watch = {},
                         .stop = stop,
                         .keep_fault = true,
                         .calls = &played.logs,
                         .share_ratio = share_ratio});
    played.fault = record.fault;
  } catch (const bench::ControllerError& error) {
    played.fault = {error.row, error.at_s, error.what()};
  } catch (const bench::BenchError& error) {
    played.fault = {-1, std::numeric_limits<double>::infinity(), error.what()};
  }
  return played;
}

/// The first call of one controller that differs. If a fault ended one side, later calls of the
/// other side are no difference.
std::int64_t first_difference(const bench::CallLog& a, const bench::CallLog& b, bool ended) {
  const std::size_t both = std::min(a.digests.size(), b.digests.size());
  for (std::size_t call = 0; call < both; ++call)
    if (a.digests[call] != b.digests[call]) return static_cast<std::int64_t>(call);
  return ended || a.digests.size() == b.digests.size() ? -1 : static_cast<std::int64_t>(both);
}

void add_differences(const CallMembers& a, const CallMembers& b, const char* prefix,
                     std::vector<CallDifference>& differences) {
  for (const auto& [name, value] : a) {
    const auto other = std::find_if(b.begin(), b.end(),
                                    [&own = name](const auto& one) { return one.first == own; });
    if (other == b.end() || other->second != value)
      differences.push_back({prefix + name, value, other == b.end() ? 0 : other->second});
  }
  for (const auto& [name, value] : b)
    if (std::none_of(a.begin(), a.end(),
                     [&own = name](const auto& one) { return one.first == own; }))
      differences.push_back({prefix + name, 0, value});
}

/// Instant of the recorded call; if one side made fewer calls, only the other side has it.
double captured_s(const bench::CallLog& before, const bench::CallLog& after, std::int64_t call) {
  const bool both = static_cast<std::int64_t>(before.digests.size()) > call &&
                    static_cast<std::int64_t>(after.digests.size()) > call;
  return both ? std::min(before.captured_at, after.captured_at).seconds()
              : std::max(before.captured_at, after.captured_at).seconds();
}

class Pair {
 public:
  Pair(const scenario::Scenario& old_build, const scenario::Scenario& new_build,
       const std::atomic<bool>* stop)
      : stop_(stop), ports_(static_cast<std::size_t>(old_build.row.count) + 1) {
    const tune::TunedTable tuned = tune::tune(old_build);
    run::require_servable(old_build, tuned);
    const scenario::Scenario* scenarios[] = {&old_build, &new_build};
    oneapi::tbb::parallel_for(
        0, 2, [&](int side) { builds_[side] = build_of(*scenarios[side], tuned, stop_); });
  }

  Parting part() {
    for (const double share_ratio : kShares_ratio) {
      play_both(share_ratio, std::vector<std::int64_t>(ports_, -1));
      const std::vector<std::int64_t> parts = differences();
      const bool any =
          std::any_of(parts.begin(), parts.end(), [](std::int64_t call) { return call >= 0; });
      const Parting by_fault = failing_call();
      if (!any && by_fault.fault.empty()) continue;
      if (any) play_both(share_ratio, parts);
      const Parting by_call = any ? first_parting(parts) : Parting{};
      const bool fault_first =
          !by_fault.fault.empty() && (by_call.run < 0 || by_fault.at_s < by_call.at_s);
      return fault_first ? by_fault : by_call;
    }
    return {};
  }

 private:
  void play_both(double share_ratio, const std::vector<std::int64_t>& captures) {
    oneapi::tbb::parallel_for(
        0, 2, [&](int side) { played_[side] = play(builds_[side], share_ratio, captures, stop_); });
  }

  std::vector<std::int64_t> differences() const {
    const bool ended = !played_[0].fault.text.empty() || !played_[1].fault.text.empty();
    std::vector<std::int64_t> parts(ports_);
    for (std::size_t port = 0; port < ports_; ++port)
      parts[port] = first_difference(played_[0].logs[port], played_[1].logs[port], ended);
    return parts;
  }

  /// The call in which one build fails and the other does not, or fails later.
  Parting failing_call() const {
    const bench::PassFault& before = played_[0].fault;
    const bench::PassFault& after = played_[1].fault;
    if (before.text == after.text) return {};
    const bool by_new = before.text.empty() || (!after.text.empty() && after.at_s <= before.at_s);
    const Played& failed = played_[by_new ? 1 : 0];
    Parting parting{.run = 0, .row = failed.fault.row, .at_s = failed.fault.at_s};
    const std::size_t port = parting.row < 0 ? ports_ - 1 : static_cast<std::size_t>(parting.row);
    if (port < ports_) parting.call = static_cast<long long>(failed.logs[port].digests.size());
    parting.fault = failed.fault.text;
    return parting;
  }

  Parting first_parting(const std::vector<std::int64_t>& parts) const {
    Parting parting;
    for (std::size_t port = 0; port < ports_; ++port) {
      const bench::CallLog& before = played_[0].logs[port];
      const bench::CallLog& after = played_[1].logs[port];
      if (parts[port] < 0) continue;
      const double at_s = captured_s(before, after, parts[port]);
      if (parting.run >= 0 && parting.at_s <= at_s) continue;
      parting = {.run = 0,
                 .row = port + 1 == ports_ ? -1 : static_cast<int>(port),
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

  const std::atomic<bool>* stop_;
  std::size_t ports_;
  Build builds_[2];
  Played played_[2];
};

}  // namespace

Parting find_parting(const scenario::Scenario& old_build, const scenario::Scenario& new_build,
                     const std::atomic<bool>* stop) {
  return Pair(old_build, new_build, stop).part();
}

}  // namespace sim::check
