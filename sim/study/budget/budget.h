// `budget`: which effect causes how much of the placement error. The same pass is run repeatedly on
// the same random streams with effects at their ideal (sim/study/budget/budget_effects.h), and the
// parts are averaged over orders (sim/study/budget/order_average.h).
//
//   error of a seed = sum of its parts + what remains with every effect at its ideal. The remainder
//                     is the error of the delay table and of the firmware, which calculates in
//                     ticks and integers; faults of the scenario are an effect and not in it
//   share of variance   cov(part, error)/var(error)            sum over all parts is 1
//   share of the error  mean(part * error)/mean(error^2)       the same with the mean in it
//   interaction         r = error - what remains - sum of single parts; var(r)/var(error), once for
//                       parts with one effect replaced and once for parts with one effect present;
//                       the larger counts. Above 20 % the parts must not be trusted
//
// Table    tuned once, on the scenario as it is, and used in every pass
// Trims    every counterfactual machine gets its own strip test, on the same streams: an outlet
//          that is mounted as drawn needs no trim. With one set of trims for all passes each fixed
//          offset would appear twice, as the mount's part and, with the other sign, as the trim's
// Seeds    those with a band of their own in every pass, matched by row and number; the others are
//          counted by reason
// Errors   InputError when the delay would be negative; Interrupted; BenchError; ControllerError
// Checked  tests/sim/study/budget/budget_test.cc
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "sim/study/budget/order_average.h"
#include "sim/study/run/run.h"

namespace sim::budget {

/// Above this share of the variance no part can be trusted.
inline constexpr double kMostInteraction_ratio = 0.20;
inline constexpr int kUsualOrders = 8;

struct PartFigures {
  double mean_m = statistics::kNone_ratio, sd_m = statistics::kNone_ratio,
         abs_p95_m = statistics::kNone_ratio;
  double sd_between_rows_m = statistics::kNone_ratio;  // of the rows' means: a trim could remove it
  double sd_within_rows_m = statistics::kNone_ratio;
  double variance_share_ratio = statistics::kNone_ratio;
  double error_share_ratio = statistics::kNone_ratio;
  double order_error_ratio = 0.0;  // standard error of the share of variance over orders
  double removed_sd_m = statistics::kNone_ratio;  // with this effect alone replaced
  double present_sd_m = statistics::kNone_ratio;  // with this effect alone present
};

enum class PartKind : std::uint8_t {
  kEffect,
  kAbsent,       // the scenario does not have this effect: its part is 0
  kNotModelled,  // the bench does not model it: its part is shown as 0
  kRemains,      // with every effect at its ideal
};

struct BudgetPart {
  std::string key, name, ideal;
  PartKind kind = PartKind::kEffect;
  std::vector<double> part_m;  // by seed of BudgetResult::seeds
  PartFigures figures;
};

struct BudgetSeed {
  int row = 0;
  int seed = 0;  // as in seeds.csv of `run`
  double placement_error_m = 0.0;
};

/// What became of the seeds that were placed in the pass as it is.
struct BudgetSeedCounts {
  long long placed = 0, counted = 0;
  long long merged = 0, shared = 0, edge_missed = 0, no_band = 0;  // in the pass as it is
  long long no_counterpart = 0;  // left out by an ideal meter: second seeds of doubles
  long long lost_in_others = 0;  // own band in this pass, but not in every other pass
};

struct Interaction {
  double removed_ratio =
      statistics::kNone_ratio;  // var(r)/var(error) of parts with one effect replaced
  double present_ratio = statistics::kNone_ratio;  // of parts with one effect present
  double removed_mean_m = statistics::kNone_ratio;
  double present_mean_m = statistics::kNone_ratio;
  double larger_ratio() const;
  bool trusted() const { return !(larger_ratio() > kMostInteraction_ratio); }
};

struct BudgetResult {
  scenario::Scenario scenario;
  tune::TunedTable tuned;
  measure::Summary summary;  // of the pass as it is
  std::vector<BudgetSeed> seeds;
  std::vector<BudgetPart> parts;  // in order of the catalog; what remains is the last
  PartFigures error;              // of the whole
  BudgetSeedCounts counts;
  Interaction interaction;
  int effects = 0;  // number of effects that the scenario has
  int orders = 0;
  bool all_orders = false;  // all possible orders were run, so there is no sampling error
  int passes = 0;
  double tick_s = 0.0;       // of the controller's own clock
  double simulated_s = 0.0;  // row-seconds, without strip tests
  output::RunHashes hashes;
};

/// The parts by share of the error, the largest first; parts that are absent or not modelled are
/// last, in the catalog's order.
std::vector<const BudgetPart*> parts_by_share(const BudgetResult& result);

struct BudgetOptions {
  int orders = kUsualOrders;
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
};

BudgetResult run_budget(const scenario::Scenario& scenario, const BudgetOptions& options = {});
/// Number of passes that a budget needs.
int budget_passes(const scenario::Scenario& scenario, int orders);

}  // namespace sim::budget
