// What a search says of itself, in words.
#include <fmt/format.h>

#include "sim/output/shown_units.h"
#include "sim/study/search/search_report.h"

namespace sim::search {
namespace {

std::string percent(double share_ratio) {
  return output::shown(share_ratio, output::Measure::kShare, output::Units::kMetric);
}

const SearchPass* best_of(const Method& method) {
  const int best = method.best();
  return best < 0 ? nullptr : &method.passes[static_cast<std::size_t>(best)];
}

std::string margin_words(const JudgedPass& judged) {
  if (judged.state == PassState::kControllerFault || judged.state == PassState::kBenchFault)
    return fmt::format("{} ({})", state_word(judged.state), judged.words);
  return fmt::format("margin {} of the limit ({}: {})", percent(judged.margin_ratio),
                     judged.requirement.empty() ? "no requirement is near" : judged.requirement,
                     judged.words);
}

/// What was not looked at although it was asked for: added faults that never acted, and passes that
/// could not be judged, with what the first of them says. A mistake in the ranges shows there.
void add_what_was_not_seen(const SearchResult& result, std::vector<std::string>& lines) {
  if (const std::size_t idle = result.optimiser.idle() + result.random.idle(); idle > 0)
    lines.push_back(fmt::format("a fault that was added never acted in {} of {} passes", idle,
                                result.optimiser.passes.size() + result.random.passes.size()));
  if (!result.base.says_something()) {
    lines.push_back(fmt::format("without any change the scenario could not be judged: {}: {}",
                                state_word(result.base.state), result.base.words));
    return;
  }
  for (const Method* method : {&result.optimiser, &result.random})
    for (std::size_t k = 0; k < method->passes.size(); ++k) {
      const JudgedPass& judged = method->passes[k].judged;
      if (judged.says_something()) continue;
      lines.push_back(fmt::format("not judged, the first is pass {} ({}): {}: {}", k + 1,
                                  method->name, state_word(judged.state), judged.words));
      return;
    }
}

std::string share_words(const Method& method) {
  return fmt::format("{} of {} passes {}", method.failing(), method.passes.size(), method.name);
}

}  // namespace

std::string search_sentence(const SearchResult& result) {
  if (result.base.fails())
    return fmt::format("{} fails without any change: {}", result.search.name,
                       margin_words(result.base));
  if (result.shrunk)
    return fmt::format(
        "{} fails in {} by the optimiser and in {}; {} {} enough: {}", result.search.name,
        fmt::format("{} of {} passes", result.optimiser.failing(), result.optimiser.passes.size()),
        share_words(result.random), words_of(result.search, result.shrunk->changes).size(),
        words_of(result.search, result.shrunk->changes).size() == 1 ? "change is" : "changes are",
        margin_words(result.shrunk->judged));
  const SearchPass* nearest = nearest_pass(result);
  const std::size_t optimiser = result.optimiser.passes.size();
  const std::size_t random = result.random.passes.size();
  const std::size_t silent = result.optimiser.not_judged() + result.random.not_judged();
  if (nearest == nullptr)
    return fmt::format("{}: no pass of {} could be judged", result.search.name, optimiser + random);
  if (silent == 0)
    return fmt::format("{} holds in all {} passes by the optimiser and {} at random; smallest {}",
                       result.search.name, optimiser, random, margin_words(nearest->judged));
  return fmt::format(
      "{} holds in {} passes by the optimiser and {} at random, and {} more could not be judged; "
      "smallest {}",
      result.search.name, optimiser - result.optimiser.not_judged(),
      random - result.random.not_judged(), silent, margin_words(nearest->judged));
}

output::Table methods_table(const SearchResult& result) {
  output::Table table{
      .caption = "",
      .head = {"method", "passes", "fail", "share", "first", "not judged", "smallest margin", "by"},
      .lines = {}};
  for (const Method* method : {&result.optimiser, &result.random}) {
    const SearchPass* best = best_of(*method);
    const double share_ratio = static_cast<double>(method->failing()) /
                               static_cast<double>(std::max<std::size_t>(1, method->passes.size()));
    table.lines.push_back(
        {method->name, std::to_string(method->passes.size()), std::to_string(method->failing()),
         percent(share_ratio),
         method->first() < 0 ? "none" : "pass " + std::to_string(method->first() + 1),
         std::to_string(method->not_judged()),
         best == nullptr ? "none" : percent(best->judged.margin_ratio),
         best == nullptr || best->judged.requirement.empty() ? "none" : best->judged.requirement});
  }
  return table;
}

std::vector<std::string> search_findings(const SearchResult& result) {
  std::vector<std::string> lines;
  if (!result.shrunk) {
    if (const SearchPass* nearest = nearest_pass(result))
      for (const std::string& change : words_of(result.search, nearest->changes))
        lines.push_back("nearest case: " + change);
    add_what_was_not_seen(result, lines);
    return lines;
  }
  for (const std::string& change : words_of(result.search, result.shrunk->changes))
    lines.push_back("needed: " + change);
  if (result.shrunk->passes > 0)
    lines.push_back(fmt::format("{} of {} changes are left after {} passes of shrinking",
                                words_of(result.search, result.shrunk->changes).size(),
                                result.shrunk->from_changes, result.shrunk->passes));
  add_what_was_not_seen(result, lines);
  return lines;
}

}  // namespace sim::search
