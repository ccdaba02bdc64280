#include "sim/study/check/comparison_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "sim/output/json_text.h"
#include "sim/output/shown_units.h"

namespace sim::check {
namespace {

using Json = nlohmann::ordered_json;
constexpr std::size_t kMembersShown = 6;

std::string names_of(const Comparison& comparison, ShiftVerdict verdict) {
  std::string names;
  for (const MetricShift& one : comparison.shifts)
    if (one.verdict == verdict) names += (names.empty() ? "" : ", ") + one.metric;
  return names;
}

int most_needed(const Comparison& comparison) {
  int needed = 0;
  for (const MetricShift& one : comparison.shifts)
    if (one.verdict == ShiftVerdict::kUnclear) needed = std::max(needed, one.needed);
  return needed;
}

std::string sentence(const Comparison& comparison, output::Units units) {
  if (comparison.same_bytes)
    return fmt::format("same bytes: every call of both builds is the same in {} run{}",
                       comparison.runs, comparison.runs == 1 ? "" : "s");
  for (const MetricShift& one : comparison.shifts)
    if (one.verdict == ShiftVerdict::kShifted)
      return fmt::format("{} shifts by {} (allowed {}); shifted: {}", one.metric,
                         output::shown_signed(one.mean_si, output::measure_of(one.unit), units),
                         output::shown(one.margin_si, output::measure_of(one.unit), units),
                         names_of(comparison, ShiftVerdict::kShifted));
  const std::string unclear = names_of(comparison, ShiftVerdict::kUnclear);
  if (!unclear.empty())
    return fmt::format("not enough runs to say: {}{}", unclear,
                       most_needed(comparison) > 0
                           ? fmt::format("; about {} needed", most_needed(comparison))
                           : "");
  const std::string better = names_of(comparison, ShiftVerdict::kBetter);
  return better.empty() ? "the builds differ, and no metric shifts by more than its margin"
                        : "better: " + better + "; no metric is worse by more than its margin";
}

std::string parting_words(const Parting& parting) {
  std::string text = fmt::format(
      "they part in run {} at {}, call {}, {:.6f} s (tick {}); the same until {:.6f} s\n",
      parting.run,
      parting.row < 0 ? "the machine's controller" : fmt::format("row {}", parting.row),
      parting.call, parting.at_s, parting.at_ticks, parting.equal_until_s);
  if (!parting.same_input) text += "  the difference came in from outside that controller\n";
  for (std::size_t k = 0; k < std::min(kMembersShown, parting.differences.size()); ++k)
    text += fmt::format("  {:<28} {} -> {}\n", parting.differences[k].member,
                        parting.differences[k].old_value, parting.differences[k].new_value);
  if (parting.differences.size() > kMembersShown)
    text += fmt::format("  and {} more\n", parting.differences.size() - kMembersShown);
  return text;
}

}  // namespace

std::string comparison_text(const Comparison& comparison, output::Units units) {
  std::string text = sentence(comparison, units) + "\n";
  if (comparison.same_bytes) return text;
  text += parting_words(comparison.parting);
  text += fmt::format("{:<32}{:>12}{:>12}{:>12}  {:>26}{:>12}\n", "metric", "old", "new", "shift",
                      "99 % interval", "margin");
  for (const MetricShift& one : comparison.shifts) {
    const output::Measure measure = output::measure_of(one.unit);
    text += fmt::format("{:<32}{:>12}{:>12}{:>12}  {:>26}{:>12}  {}\n", one.metric,
                        output::shown(one.old_si, measure, units, 2),
                        output::shown(one.new_si, measure, units, 2),
                        output::shown(one.mean_si, measure, units, 3),
                        output::shown(one.low_si, measure, units, 3) + " to " +
                            output::shown(one.high_si, measure, units, 3),
                        output::shown(one.margin_si, measure, units, 2), shift_word(one.verdict));
  }
  return text;
}

std::string comparison_json(const Comparison& comparison) {
  Json shifts = Json::array();
  for (const MetricShift& one : comparison.shifts)
    shifts.push_back({{"metric", one.metric},
                      {"unit", one.unit},
                      {"old", output::number_or_null(one.old_si)},
                      {"new", output::number_or_null(one.new_si)},
                      {"shift", output::number_or_null(one.mean_si)},
                      {"low99", output::number_or_null(one.low_si)},
                      {"high99", output::number_or_null(one.high_si)},
                      {"margin", output::number_or_null(one.margin_si)},
                      {"verdict", shift_word(one.verdict)},
                      {"runs_needed", one.needed}});
  Json object = {{"schema", "sillion.compare.1"},
                 {"sentence", sentence(comparison, output::Units::kMetric)},
                 {"runs", comparison.runs},
                 {"same_bytes", comparison.same_bytes},
                 {"shifts", shifts}};
  if (!comparison.same_bytes) {
    const Parting& parting = comparison.parting;
    Json differences = Json::array();
    for (const CallDifference& one : parting.differences)
      differences.push_back(
          {{"member", one.member}, {"old", one.old_value}, {"new", one.new_value}});
    object["parting"] = {{"run", parting.run},
                         {"row", parting.row},
                         {"call", parting.call},
                         {"at_s", output::number_or_null(parting.at_s)},
                         {"at_ticks", parting.at_ticks},
                         {"equal_until_s", output::number_or_null(parting.equal_until_s)},
                         {"same_input", parting.same_input},
                         {"differences", differences}};
  }
  return output::json_text(object);
}

}  // namespace sim::check
