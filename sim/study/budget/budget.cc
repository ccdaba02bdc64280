#include "sim/study/budget/budget.h"

#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <mutex>
#include <utility>

#include "sim/bench/controller_port.h"
#include "sim/bench/line_form.h"
#include "sim/measure/placement.h"
#include "sim/study/budget/budget_effects.h"
#include "sim/study/budget/budget_figures.h"
#include "sim/study/tune/strip_trim.h"
#include "sim/study/tune/tune.h"
#include "sim/study/tune/tune_once.h"

namespace sim::budget {
namespace {

/// Placement errors of one row by seed number; not-a-number: placed, but without a band of its own.
using RowErrors = std::map<std::uint64_t, double>;
using PassErrors = std::vector<RowErrors>;

std::vector<std::size_t> effects_in_play(const scenario::Scenario& scenario) {
  std::vector<std::size_t> playing;
  for (std::size_t k = 0; k < budget_effects().size(); ++k)
    if (budget_effects()[k].modelled && budget_effects()[k].present(scenario)) playing.push_back(k);
  return playing;
}

/// What all passes share: tables, orders, and the subsets that the orders need.
struct Plan {
  std::vector<std::size_t> playing;  // index into the catalog
  std::vector<Order> orders;
  std::vector<Subset> subsets;
  tune::TunedTable tuned;
  sillion_attachment_table strip_table{};
  double still_shift_s = 0.0;

  int effects() const { return static_cast<int>(playing.size()); }
};

Plan order_plan(const scenario::Scenario& scenario, int orders) {
  Plan plan;
  plan.playing = effects_in_play(scenario);
  plan.orders = effect_orders(plan.effects(), orders, scenario.rng_key);
  plan.subsets = subsets_of(plan.orders, plan.effects());
  return plan;
}

scenario::Scenario counterfactual(const scenario::Scenario& scenario, const Plan& plan,
                                  Subset subset) {
  // All edits are computed by the form of the scenario itself: another form is no effect.
  scenario::Scenario edited = bench::with_line_form(scenario);
  for (std::size_t k = 0; k < plan.playing.size(); ++k)
    if ((subset >> k & 1u) != 0) budget_effects()[plan.playing[k]].make_ideal(edited);
  // with a table that corrects for earlier pulses, a still column is that table without the
  // correction
  if (edited.ideal.still_column && plan.tuned.table.rest.points == 0)
    edited.ideal.still_shift_s = plan.still_shift_s;
  return edited;
}

/// The table for a pass; with a still column there are no earlier pulses to correct for.
sillion_attachment_table held_table(const scenario::Scenario& edited,
                                    sillion_attachment_table table) {
  if (!edited.ideal.still_column || table.rest.points == 0) return table;
  table.rest = {};
  table.check_sum = 0;  // not stated
  return table;
}

bench::PassRecord run_counterfactual(const scenario::Scenario& edited, const Plan& plan,
                                     const std::atomic<bool>* stop) {
  std::vector<int> trim_um;
  if (edited.controller.row_trim)
    trim_um = tune::strip_test_trim_um(edited, held_table(edited, plan.strip_table), stop);
  return bench::run_pass(edited, held_table(edited, plan.tuned.table), trim_um, {.stop = stop});
}

PassErrors errors_of(const std::vector<measure::RowRecord>& rows) {
  PassErrors errors(rows.size());
  for (std::size_t row = 0; row < rows.size(); ++row)
    for (const measure::SeedRecord& seed : rows[row].seeds)
      errors[row][seed.number] = seed.placement_error_m;
  return errors;
}

/// The pass as it is, summarized later like a run.
struct Actual {
  std::vector<measure::RowRecord> rows;
  double simulated_s = 0.0;
};

std::vector<PassErrors> run_all(const scenario::Scenario& scenario, const Plan& plan,
                                const BudgetOptions& options, Actual& actual,
                                BudgetResult& result) {
  std::vector<PassErrors> passes(plan.subsets.size());
  std::vector<double> simulated_s(plan.subsets.size(), 0.0);
  std::atomic<std::size_t> done{0};
  std::mutex progress;
  oneapi::tbb::parallel_for(std::size_t{0}, plan.subsets.size(), [&](std::size_t k) {
    const scenario::Scenario edited = counterfactual(scenario, plan, plan.subsets[k]);
    bench::PassRecord record = run_counterfactual(edited, plan, options.stop);
    if (plan.subsets[k] == 0) actual = {record.rows, record.simulated_s};
    for (measure::RowRecord& row : record.rows)
      measure::match_bands(row, measure::placement_rules_of(edited));
    passes[k] = errors_of(record.rows);
    simulated_s[k] = record.simulated_s;
    const std::size_t so_far = done.fetch_add(1) + 1;
    if (!options.on_progress) return;
    const std::lock_guard lock(progress);
    options.on_progress(static_cast<double>(so_far) / static_cast<double>(plan.subsets.size()));
  });
  for (const double pass_s : simulated_s) result.simulated_s += pass_s;
  return passes;
}

/// Counts the reason why a seed of the pass as it is does not count, if there is one.
void count_status(const measure::SeedRecord& seed, BudgetSeedCounts& counts) {
  switch (seed.status) {
    case measure::SeedStatus::kMerged: ++counts.merged; break;
    case measure::SeedStatus::kShared: ++counts.shared; break;
    case measure::SeedStatus::kEdgeMissed: ++counts.edge_missed; break;
    case measure::SeedStatus::kNoBand: ++counts.no_band; break;
    case measure::SeedStatus::kBanded:
    case measure::SeedStatus::kWeak: break;
  }
}

enum class Fate { kCounts, kNoCounterpart, kLost };

Fate fate_of(std::size_t row, std::uint64_t number, const std::vector<PassErrors>& passes) {
  bool lost = false;
  for (const PassErrors& pass : passes) {
    const auto found = pass[row].find(number);
    if (found == pass[row].end()) return Fate::kNoCounterpart;
    lost = lost || !std::isfinite(found->second);
  }
  return lost ? Fate::kLost : Fate::kCounts;
}

/// The errors, subset by subset, of the seeds with a band of their own in every pass.
SubsetErrors count_seeds(const Plan& plan, const std::vector<PassErrors>& passes,
                         const std::vector<measure::RowRecord>& rows, BudgetResult& result) {
  SubsetErrors errors_m;
  for (const Subset subset : plan.subsets) errors_m[subset];
  BudgetSeedCounts& counts = result.counts;
  for (std::size_t row = 0; row < rows.size(); ++row)
    for (std::size_t k = 0; k < rows[row].seeds.size(); ++k) {
      const measure::SeedRecord& seed = rows[row].seeds[k];
      ++counts.placed;
      if (!std::isfinite(seed.placement_error_m)) {
        count_status(seed, counts);
        continue;
      }
      const Fate fate = fate_of(row, seed.number, passes);
      if (fate == Fate::kNoCounterpart) ++counts.no_counterpart;
      if (fate == Fate::kLost) ++counts.lost_in_others;
      if (fate != Fate::kCounts) continue;
      ++counts.counted;
      result.seeds.push_back({static_cast<int>(row), static_cast<int>(k), seed.placement_error_m});
      for (std::size_t pass = 0; pass < passes.size(); ++pass)
        errors_m[plan.subsets[pass]].push_back(passes[pass][row].at(seed.number));
    }
  return errors_m;
}

void fill_parts(const Plan& plan, const OrderAverage& average, BudgetResult& result) {
  const std::vector<double> zeros_m(result.seeds.size(), 0.0);
  for (std::size_t k = 0; k < budget_effects().size(); ++k) {
    const BudgetEffect& effect = budget_effects()[k];
    BudgetPart part{.key = std::string(effect.key),
                    .name = std::string(effect.name),
                    .ideal = std::string(effect.ideal),
                    .kind = effect.modelled ? PartKind::kAbsent : PartKind::kNotModelled,
                    .part_m = zeros_m};
    const auto at = std::find(plan.playing.begin(), plan.playing.end(), k);
    const auto index = static_cast<std::size_t>(at - plan.playing.begin());
    const bool plays = at != plan.playing.end();
    if (plays) {
      part.kind = PartKind::kEffect;
      part.part_m = average.part_m[index];
    }
    part.figures = part_figures(part.part_m, result.seeds);
    if (plays) {
      part.figures.removed_sd_m = part_figures(average.removed_m[index], result.seeds).sd_m;
      part.figures.present_sd_m = part_figures(average.present_m[index], result.seeds).sd_m;
      if (!result.all_orders)
        part.figures.order_error_ratio = order_error_ratio(average, index, result.seeds);
    }
    result.parts.push_back(std::move(part));
  }
  BudgetPart remains{.key = "remains",
                     .name = "table, firmware's law and whole numbers",
                     .ideal = "what remains with every effect above at its ideal",
                     .kind = PartKind::kRemains,
                     .part_m = average.left_m};
  remains.figures = part_figures(remains.part_m, result.seeds);
  result.parts.push_back(std::move(remains));
}

}  // namespace

int budget_passes(const scenario::Scenario& scenario, int orders) {
  return static_cast<int>(order_plan(scenario, orders).subsets.size());
}

BudgetResult run_budget(const scenario::Scenario& scenario, const BudgetOptions& options) {
  BudgetResult result;
  result.scenario = scenario;
  Plan plan = order_plan(scenario, options.orders);
  plan.tuned = tune::tune_once(scenario);
  run::require_servable(scenario, plan.tuned);
  plan.still_shift_s = still_shift_s(scenario, plan.tuned);
  if (scenario.controller.row_trim)
    plan.strip_table = tune::tune_once(tune::strip_scenario(scenario)).table;
  result.tuned = plan.tuned;
  result.effects = plan.effects();
  result.orders = static_cast<int>(plan.orders.size());
  result.all_orders = are_all_orders(plan.orders, plan.effects());
  result.passes = static_cast<int>(plan.subsets.size());
  result.tick_s = bench::tick_of_s(scenario.controller.library, SILLION_ROLE_ROW);

  Actual actual;
  const std::vector<PassErrors> passes = run_all(scenario, plan, options, actual, result);
  result.summary = measure::summarize(actual.rows, scenario, actual.simulated_s);
  const SubsetErrors errors_m = count_seeds(plan, passes, actual.rows, result);
  const OrderAverage average = average_over_orders(plan.orders, plan.effects(), errors_m);
  std::vector<double> whole_m;
  for (const BudgetSeed& seed : result.seeds) whole_m.push_back(seed.placement_error_m);
  result.error = part_figures(whole_m, result.seeds);
  result.interaction = interaction_of(average, result.seeds);
  fill_parts(plan, average, result);
  return result;
}

std::vector<const BudgetPart*> parts_by_share(const BudgetResult& result) {
  std::vector<const BudgetPart*> parts;
  for (const BudgetPart& part : result.parts) parts.push_back(&part);
  const auto size_ratio = [](const BudgetPart& part) {
    if (part.kind == PartKind::kAbsent || part.kind == PartKind::kNotModelled) return -HUGE_VAL;
    return std::isnan(part.figures.error_share_ratio) ? 0.0 : part.figures.error_share_ratio;
  };
  std::stable_sort(parts.begin(), parts.end(), [&](const BudgetPart* a, const BudgetPart* b) {
    return size_ratio(*a) > size_ratio(*b);
  });
  return parts;
}

}  // namespace sim::budget
