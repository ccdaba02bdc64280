#include "sim/study/budget/budget_tables.h"

#include <array>
#include <nlohmann/json.hpp>

#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/output/write_folder.h"
#include "sim/study/budget/budget_report.h"
#include "sim/study/run/seal.h"
#include "sim/study/run/summary_fields.h"

namespace sim::budget {
namespace {

using Json = nlohmann::ordered_json;

const char* kind_key(PartKind kind) {
  switch (kind) {
    case PartKind::kEffect: return "effect";
    case PartKind::kAbsent: return "absent";
    case PartKind::kNotModelled: return "not_modelled";
    case PartKind::kRemains: break;
  }
  return "remains";
}

Json spread_fields(const PartFigures& figures) {
  return {{"mean_m", output::number_or_null(figures.mean_m)},
          {"sd_m", output::number_or_null(figures.sd_m)},
          {"sd_between_rows_m", output::number_or_null(figures.sd_between_rows_m)},
          {"sd_within_rows_m", output::number_or_null(figures.sd_within_rows_m)},
          {"abs_p95_m", output::number_or_null(figures.abs_p95_m)}};
}

Json part_fields(const BudgetPart& part) {
  const PartFigures& figures = part.figures;
  Json object = {{"key", part.key}, {"name", part.name}, {"kind", kind_key(part.kind)}};
  object["error_share_ratio"] = output::number_or_null(figures.error_share_ratio);
  object["variance_share_ratio"] = output::number_or_null(figures.variance_share_ratio);
  object["order_error_ratio"] = output::number_or_null(figures.order_error_ratio);
  object.update(spread_fields(figures));
  object["removed_sd_m"] = output::number_or_null(figures.removed_sd_m);
  object["present_sd_m"] = output::number_or_null(figures.present_sd_m);
  object["ideal"] = part.ideal;
  return object;
}

Json count_fields(const BudgetSeedCounts& counts) {
  return {{"placed", counts.placed},
          {"counted", counts.counted},
          {"merged", counts.merged},
          {"shared", counts.shared},
          {"edge_missed", counts.edge_missed},
          {"no_band", counts.no_band},
          {"no_counterpart", counts.no_counterpart},
          {"lost_in_others", counts.lost_in_others}};
}

std::string budget_text(const BudgetResult& result, bool with_hashes) {
  Json object = Json::object();
  object["schema"] = "sillion.budget.1";
  const Interaction& interaction = result.interaction;
  object["interaction"] = {{"larger_ratio", output::number_or_null(interaction.larger_ratio())},
                           {"removed_ratio", output::number_or_null(interaction.removed_ratio)},
                           {"present_ratio", output::number_or_null(interaction.present_ratio)},
                           {"removed_mean_m", output::number_or_null(interaction.removed_mean_m)},
                           {"present_mean_m", output::number_or_null(interaction.present_mean_m)},
                           {"limit_ratio", output::number_or_null(kMostInteraction_ratio)},
                           {"trusted", interaction.trusted()}};
  object["error"] = spread_fields(result.error);
  Json parts = Json::array();
  for (const BudgetPart* part : parts_by_share(result)) parts.push_back(part_fields(*part));
  object["parts"] = parts;
  object["seeds"] = count_fields(result.counts);
  const measure::WithinTolerance& within = result.summary.all.within[0];
  object["within_10mm"] = {{"placed_ratio", output::number_or_null(within.placed_ratio)},
                           {"sensed_ratio", output::number_or_null(within.sensed_ratio)}};
  object["lag_seeds"] = result.summary.all.lag_seeds;
  object["orders"] = {{"effects", result.effects},
                      {"orders", result.orders},
                      {"all_orders", result.all_orders},
                      {"passes", result.passes}};
  object["tick_s"] = output::number_or_null(result.tick_s);
  object["name"] = result.scenario.name;
  object["title"] = result.scenario.title;
  object["rng_key"] = result.scenario.rng_key;
  object["simulated_s"] = output::number_or_null(result.simulated_s);
  object["tuned"] = run::tuned_fields(result.tuned);
  object["noise"] = run::noise_fields(result.scenario);
  if (with_hashes) object["hashes"] = run::hash_fields(result.hashes);
  return output::json_text(object);
}

}  // namespace

std::string budget_json(const BudgetResult& result) { return budget_text(result, true); }

std::string budget_csv(const BudgetResult& result) {
  std::string text = "row,seed,placement_error_m";
  for (const BudgetPart& part : result.parts) text += "," + part.key + "_m";
  text += "\n";
  for (std::size_t k = 0; k < result.seeds.size(); ++k) {
    const BudgetSeed& seed = result.seeds[k];
    text += std::to_string(seed.row) + "," + std::to_string(seed.seed) + "," +
            output::number_text(seed.placement_error_m);
    for (const BudgetPart& part : result.parts) text += "," + output::number_text(part.part_m[k]);
    text += "\n";
  }
  return text;
}

void seal(BudgetResult& result) {
  result.hashes = run::hashes_of(result.scenario, result.tuned,
                                 budget_text(result, false) + budget_csv(result));
}

void write_budget(const BudgetResult& result, const std::filesystem::path& out,
                  output::Units units) {
  const std::array<output::ResultFile, 3> files = {
      {{"summary.json", budget_json(result)},
       {"budget.csv", budget_csv(result)},
       {"report.html", budget_report_html(result, units)}}};
  output::write_folder(files, out);
}

run::ReportExtra budget_extra(const BudgetResult& result, output::Units units) {
  return {.words = "; " + largest_part_words(result),
          .section = budget_section(result, units),
          .files = {{"budget.json", budget_json(result)}, {"budget.csv", budget_csv(result)}}};
}

}  // namespace sim::budget
