#include "sim/study/budget/budget_report.h"

#include <cmath>

#include "sim/output/cautions.h"
#include "sim/output/shown_units.h"
#include "sim/study/run/sections.h"
#include "sim/study/run/sentences.h"
#include "sim/study/tune/tune.h"

namespace sim::budget {
namespace {

std::string percent(double share_ratio) {
  return output::shown(share_ratio, output::Measure::kShare, output::Units::kMetric);
}

std::string limit_words() {
  return output::shown_plain(kMostInteraction_ratio, output::Measure::kShare,
                             output::Units::kMetric);
}

bool plays(const BudgetPart& part) {
  return part.kind == PartKind::kEffect || part.kind == PartKind::kRemains;
}

std::string number_of(long long count, const char* what) {
  return std::to_string(count) + " " + what;
}

// The words of a part that has no figures.
std::string absent_word(const BudgetPart& part) {
  return part.kind == PartKind::kNotModelled ? "not modelled" : "not in this scenario";
}

output::Table single_table(const BudgetResult& result, output::Units units) {
  output::Table table{
      "One at a time: sd of the part with this effect alone at its ideal, and with this effect "
      "alone present. Where these agree with each other and with the sd above, the effect does not "
      "interact with the others.",
      {"Part", "Alone removed", "Alone present", "Share of variance", "± over orders"},
      {},
      1};
  for (const BudgetPart* part : parts_by_share(result)) {
    if (part->kind != PartKind::kEffect) continue;
    const PartFigures& figures = part->figures;
    table.lines.push_back({part->name,
                           output::shown(figures.removed_sd_m, output::Measure::kPlace, units, 2),
                           output::shown(figures.present_sd_m, output::Measure::kPlace, units, 2),
                           percent(figures.variance_share_ratio),
                           result.all_orders ? "all orders" : percent(figures.order_error_ratio)});
  }
  return table;
}

output::Table ideals_table(const BudgetResult& result) {
  output::Table table{
      "What stands in the place of each effect when it is at its ideal.", {"Part", "Ideal"}, {}, 2};
  for (const BudgetPart& part : result.parts) table.lines.push_back({part.name, part.ideal});
  return table;
}

std::string method_list(const BudgetResult& result, output::Units units) {
  std::vector<std::string> items = {
      std::to_string(result.passes) + " passes on the same random streams: " +
          (result.all_orders
               ? "every order in which " + std::to_string(result.effects) +
                     " effects can be replaced was run."
               : std::to_string(result.orders) + " orders in which " +
                     std::to_string(result.effects) +
                     " effects are replaced one after the other, drawn from the random key, each "
                     "with its reverse."),
      "A part is what a seed's error loses when the effect is removed, averaged over the orders. "
      "The parts of every seed sum to its error.",
      "The delay table is tuned once, on the scenario as it is, and kept.",
      result.scenario.controller.row_trim
          ? "The trims are not kept: every counterfactual machine gets its own strip test. What a "
            "trim takes out is therefore no part of the error; the noise that spoils a strip test "
            "is part of its own effect."
          : "No strip test: a row's fixed offset is in the part of what causes it.",
      "Share of the error: mean of part times error over mean of error squared, so that a lasting "
      "offset counts. Share of the variance: the same about the means. Both sum to 100 %; a part "
      "that makes up for another has a negative share.",
      "The last part is what no ideal takes away: rounding of the table, the firmware's law and "
      "its "
      "whole numbers. One tick of this controller is " +
          output::shown(result.tick_s, output::Measure::kTime, units, 4) + ", " +
          output::shown(result.tick_s * tune::judged_speed_mps(result.scenario),
                        output::Measure::kPlace, units, 4) +
          " of travel; with every effect at its ideal the seeds may all meet the same phase of "
          "a tick, and then this part shows no scatter of it.",
      "Faults of the scenario are an effect like the others. The travel and what "
      "the scenario makes the table get wrong stay in every pass and are in the last part.",
      "Radio: a radio and a bus that the scenario states stay as they are in every pass. What late "
      "or lost frames add is in the last part."};
  return output::list_html(items);
}

}  // namespace

std::string largest_part_words(const BudgetResult& result) {
  if (result.seeds.empty()) return "no seed whose error could be shared out";
  if (!result.interaction.trusted())
    return "no part of the error can be named: " + percent(result.interaction.larger_ratio()) +
           " of the variance is interaction, above " + limit_words();
  const BudgetPart& largest = *parts_by_share(result).front();
  if (std::isnan(largest.figures.error_share_ratio)) return "no error to share out";
  return "largest part of the error: " + largest.name;
}

std::string budget_sentence(const BudgetResult& result, output::Units units) {
  if (result.summary.all.seeds.placed == 0) return "No seed was placed: nothing to judge";
  std::string sentence = run::within_sentence(result.summary, result.scenario, units);
  if (result.summary.verdict == measure::Verdict::kWrongSeed)
    return sentence + "; wrong seed: the bands follow other seeds, so no part means anything";
  return sentence + "; " + largest_part_words(result);
}

std::string interaction_sentence(const BudgetResult& result) {
  const Interaction& interaction = result.interaction;
  const double ratio = interaction.larger_ratio();
  const std::string limit = limit_words();
  if (std::isnan(ratio)) return "Interaction remainder: none, as the error does not scatter";
  std::string sentence = "Interaction remainder: " + percent(ratio) + " of the variance, ";
  if (!interaction.trusted())
    return sentence + "above " + limit + ": nothing below is to be trusted";
  return sentence + "below " + limit + ": the parts can be read one by one";
}

std::string counted_sentence(const BudgetResult& result) {
  const BudgetSeedCounts& counts = result.counts;
  std::string sentence =
      std::to_string(counts.counted) + " of " +
      number_of(counts.placed,
                "placed seeds are counted, those with a band of their own in every pass");
  std::string others;
  const auto add = [&](long long count, const char* what) {
    if (count > 0) others += (others.empty() ? "" : ", ") + number_of(count, what);
  };
  add(counts.merged, "in a merged stretch");
  add(counts.shared, "only within another seed's band");
  add(counts.edge_missed, "not sensed");
  add(counts.no_band, "without a band");
  add(counts.no_counterpart, "second seeds of doubles, which an ideal meter does not drop");
  add(counts.lost_in_others, "without a band of their own in another pass");
  return others.empty() ? sentence : sentence + "; left out: " + others;
}

output::Table parts_table(const BudgetResult& result, output::Units units) {
  output::Table table{"Parts of the placement error, the largest share first.",
                      {"Part", "Share of error", "of variance", "Mean", "sd", "between rows",
                       "within rows", "P95 of |part|"},
                      {},
                      1};
  const auto place = [&](double value_m) {
    return output::shown(value_m, output::Measure::kPlace, units, 2);
  };
  const auto line = [&](const std::string& name, const PartFigures& figures) {
    table.lines.push_back({name, percent(figures.error_share_ratio),
                           percent(figures.variance_share_ratio), place(figures.mean_m),
                           place(figures.sd_m), place(figures.sd_between_rows_m),
                           place(figures.sd_within_rows_m), place(figures.abs_p95_m)});
  };
  for (const BudgetPart* part : parts_by_share(result)) {
    if (plays(*part))
      line(part->name, part->figures);
    else
      table.lines.push_back({part->name + " (" + absent_word(*part) + ")", percent(0.0),
                             percent(0.0), place(0.0), place(0.0), place(0.0), place(0.0),
                             place(0.0)});
  }
  line("the whole error", result.error);
  return table;
}

std::string budget_section(const BudgetResult& result, output::Units units) {
  std::string inner = output::paragraph_html(interaction_sentence(result) + ".") +
                      output::paragraph_html(counted_sentence(result) + ".");
  if (!result.seeds.empty())
    inner +=
        output::figure_html(budget_parts_svg(result, units),
                            "Stroke: mean of the part over all seeds. Hatched: one sd either side. "
                            "Dots: P95 of its size, either side. The largest share of the error "
                            "stands on top.") +
        output::table_html(parts_table(result, units)) +
        output::table_html(single_table(result, units));
  return output::section_html(
      "Whose error it is",
      inner + output::table_html(ideals_table(result)) + method_list(result, units));
}

std::string budget_report_html(const BudgetResult& result, output::Units units) {
  const scenario::Scenario& scenario = result.scenario;
  const std::string subject =
      "Error budget: " + (scenario.title.empty() ? scenario.name : scenario.title);
  const bool warn =
      !result.interaction.trusted() || result.summary.verdict == measure::Verdict::kWrongSeed;
  return output::page_html(
      subject, output::verdict_html(subject, budget_sentence(result, units) + ".",
                                    interaction_sentence(result) + ".", warn) +
                   budget_section(result, units) + run::assumptions_section(scenario, units) +
                   output::cautions_section() +
                   run::provenance_section(scenario.name, scenario.rng_key, result.hashes));
}

}  // namespace sim::budget
