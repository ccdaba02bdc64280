#include "sim/study/search/search_report.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "sim/output/cautions.h"
#include "sim/output/csv_field.h"
#include "sim/output/hash.h"
#include "sim/output/json_text.h"
#include "sim/output/write_folder.h"
#include "sim/study/run/seal.h"
#include "sim/study/search/found_case.h"

namespace sim::search {
namespace {

using Json = nlohmann::ordered_json;

std::string passes_csv(const SearchResult& result) {
  std::string csv = "method,pass,state,margin_ratio,requirement";
  for (const scenario::StudyAxis& range : result.search.ranges)
    csv += "," + output::csv_field(range.key);
  for (std::size_t k = 0; k < result.search.faults.size(); ++k) csv += fmt::format(",fault[{}]", k);
  csv += "\n";
  for (const Method* method : {&result.optimiser, &result.random})
    for (std::size_t k = 0; k < method->passes.size(); ++k) {
      const SearchPass& pass = method->passes[k];
      csv += fmt::format("{},{},{},{},{}", method->name, k + 1, state_word(pass.judged.state),
                         text::shortest_text(pass.judged.margin_ratio),
                         output::csv_field(pass.judged.requirement));
      for (const std::string& value : pass.changes.values) csv += "," + output::csv_field(value);
      for (const FaultPick& pick : pass.changes.faults)
        csv += "," + (pick.kind.empty() ? "" : output::csv_field(fault_toml(pick)));
      csv += "\n";
    }
  return csv;
}

Json judged_json(const JudgedPass& judged) {
  return {{"state", state_word(judged.state)},
          {"margin_ratio", output::number_or_null(judged.margin_ratio)},
          {"requirement", judged.requirement},
          {"words", judged.words}};
}

/// The number of a pass as passes.csv has it; null for none.
Json pass_number(int index) { return index < 0 ? Json() : Json(index + 1); }

Json method_json(const Method& method) {
  Json object = {
      {"name", method.name},
      {"passes", method.passes.size()},
      {"failing", method.failing()},
      {"not_judged", method.not_judged()},
      {"idle_fault", method.idle()},
      {"success_ratio", output::number_or_null(static_cast<double>(method.failing()) /
                                               static_cast<double>(method.passes.size()))},
      {"first", pass_number(method.first())},
      {"best", pass_number(method.best())}};
  if (const int best = method.best(); best >= 0)
    object["smallest"] = judged_json(method.passes[static_cast<std::size_t>(best)].judged);
  return object;
}

Json shrunk_json(const SearchResult& result) {
  const ShrunkCase& shrunk = *result.shrunk;
  Json object = judged_json(shrunk.judged);
  object["changes"] = words_of(result.search, shrunk.changes);
  object["from_changes"] = shrunk.from_changes;
  object["passes"] = shrunk.passes;
  return object;
}

const char* verdict_of(const SearchResult& result) {
  if (result.shrunk) return "fail";
  return nearest_pass(result) != nullptr ? "hold" : "no data";
}

std::string page_of(const SearchResult& result) {
  std::string body = output::verdict_html(result.search.name, search_sentence(result), "",
                                          result.shrunk.has_value());
  output::Table methods = methods_table(result);
  methods.caption =
      "A margin is a share of its requirement's limit (the margin itself where the limit is 0); "
      "below 0 it is violated. Not judged: the scenario cannot be served, a fault of its own never "
      "acts, or a requirement found nothing to judge by. The share at random says how much of the "
      "ranges fails; that of the optimiser does not, because its passes gather where the margin is "
      "small.";
  if (!result.optimiser.passes.empty()) {
    body += output::section_html("Optimiser beside random search", output::table_html(methods));
    body += output::figure_html(margin_svg(result), "The smallest margin that each has seen.");
  }
  const std::vector<std::string> findings = search_findings(result);
  if (!findings.empty())
    body += output::section_html(
        result.shrunk ? "The smallest change that still fails" : "What came nearest",
        output::list_html(findings));
  output::Table ranges{
      .caption = "What was varied.", .head = {"Key", "Range"}, .lines = {}, .words = 2};
  for (const scenario::StudyAxis& range : result.search.ranges) {
    std::string words = range.draw.words;
    for (const std::string& value : range.values) words += (words.empty() ? "" : ", ") + value;
    ranges.lines.push_back({range.key, words});
  }
  for (const FaultRange& range : result.search.faults) {
    std::string words;
    for (const std::string& kind : range.kinds) words += (words.empty() ? "" : ", ") + kind;
    ranges.lines.push_back({"fault", words + fmt::format(", or none; begins at {:g} to {:g} s",
                                                         range.first_s, range.last_s)});
  }
  body += output::section_html("Ranges", output::table_html(ranges));
  body += output::paragraph_html(output::words_of(output::Caution::kDesignAid));
  return output::page_html("Search: " + result.search.name, body);
}

}  // namespace

std::string search_json(const SearchResult& result) {
  Json object;
  object["schema"] = "sillion.search.1";
  object["name"] = result.search.name;
  object["sentence"] = search_sentence(result);
  object["verdict"] = verdict_of(result);
  object["base"] = judged_json(result.base);
  object["methods"] = Json::array();
  if (!result.optimiser.passes.empty())
    for (const Method* method : {&result.optimiser, &result.random})
      object["methods"].push_back(method_json(*method));
  if (result.shrunk) object["shrunk"] = shrunk_json(result);
  const output::RunHashes inputs = run::input_hashes(result.search.base);
  object["hashes"] = {{"scenario", inputs.scenario},
                      {"controller", inputs.controller},
                      {"program", inputs.program},
                      {"result", output::short_hash_hex(passes_csv(result) + object.dump())}};
  return output::json_text(object);
}

void write_search(const SearchResult& result, const std::filesystem::path& out) {
  std::vector<output::ResultFile> files = {{"summary.json", search_json(result)},
                                           {"passes.csv", passes_csv(result)},
                                           {"report.html", page_of(result)}};
  if (result.shrunk) {
    files.push_back({"found.toml", found_toml(result, out / "found.toml")});
    if (result.search.held) files.push_back({kTableFile, result.search.held->file_text});
  }
  output::write_folder(files, out);
  if (result.shrunk) return;
  // After the new results, so that a disk that is full leaves the old ones whole.
  std::error_code ignored;
  std::filesystem::remove(out / "found.toml", ignored);
  if (result.search.held) std::filesystem::remove(out / kTableFile, ignored);
}

}  // namespace sim::search
