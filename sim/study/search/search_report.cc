#include "sim/study/search/search_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>

#include "sim/output/cautions.h"
#include "sim/output/csv_field.h"
#include "sim/output/hash.h"
#include "sim/output/json_text.h"
#include "sim/output/write_folder.h"
#include "sim/study/run/seal.h"

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
      csv += fmt::format("{},{},{},{},{}", method->name, k, state_word(pass.judged.state),
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

Json method_json(const Method& method) {
  Json object = {
      {"name", method.name},
      {"passes", method.passes.size()},
      {"failing", method.failing()},
      {"success_ratio", output::number_or_null(static_cast<double>(method.failing()) /
                                               static_cast<double>(method.passes.size()))},
      {"first", method.first()},
      {"best", method.best()}};
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

std::string page_of(const SearchResult& result) {
  std::string body = output::verdict_html(result.search.name, search_sentence(result), "",
                                          result.shrunk.has_value());
  output::Table methods = methods_table(result);
  methods.caption =
      "A margin is a share of its requirement's limit (the margin itself where the limit is 0); "
      "below 0 it is violated. Not judged: the scenario cannot be served, or a requirement found "
      "nothing to judge by.";
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

/// The list that a key lies in ("travel.profile[1].speed" lies in travel.profile), or the key.
std::string stated_key(const std::string& key) { return key.substr(0, key.find('[')); }

}  // namespace

std::string found_toml(const SearchResult& result, const std::filesystem::path& to) {
  if (!result.shrunk) return {};
  const Search& search = result.search;
  const ShrunkCase& shrunk = *result.shrunk;
  const bool fault = shrunk.judged.state != PassState::kViolated;
  std::string toml = fmt::format("# Question: why does this case of `{}` fail?\n", search.name);
  toml += fault ? fmt::format("# Expect: {}.\n", state_word(shrunk.judged.state))
                : fmt::format("# Expect: violated, {}: {}.\n", shrunk.judged.requirement,
                              shrunk.judged.words);
  toml += "# Written by `sillion search`: the smallest change that still fails.\n";
  std::error_code error;
  std::filesystem::path base =
      std::filesystem::proximate(std::filesystem::weakly_canonical(search.file),
                                 std::filesystem::weakly_canonical(to).parent_path(), error);
  text::Node path = text::text_node(base.generic_string(), {});
  toml += "base = " + text::toml_text(path) + "\n";
  if (search.held)
    toml += fmt::format("controller.delay = \"table\"\ncontroller.table = \"{}\"\n", kTableFile);
  const text::Node document = document_with(search, shrunk.changes);
  std::set<std::string> keys;
  for (const std::string& set : search.sets) keys.insert(stated_key(set.substr(0, set.find('='))));
  for (std::size_t k = 0; k < search.ranges.size(); ++k)
    if (!shrunk.changes.values[k].empty()) keys.insert(stated_key(search.ranges[k].key));
  for (const FaultPick& pick : shrunk.changes.faults)
    if (!pick.kind.empty()) keys.insert("fault");
  for (std::string key : keys) {
    key.erase(key.find_last_not_of(' ') + 1);
    if (const text::Node* node = text::find_dotted(document, key))
      toml += key + " = " + text::toml_text(*node) + "\n";
  }
  return toml;
}

std::string search_json(const SearchResult& result) {
  Json object;
  object["schema"] = "sillion.search.1";
  object["name"] = result.search.name;
  object["sentence"] = search_sentence(result);
  object["verdict"] = result.shrunk ? "fail" : "hold";
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
  std::error_code ignored;
  if (!result.shrunk) {
    std::filesystem::remove(out / "found.toml", ignored);
    std::filesystem::remove(out / kTableFile, ignored);
  } else {
    files.push_back({"found.toml", found_toml(result, out / "found.toml")});
    if (result.search.held) files.push_back({kTableFile, result.search.held->file_text});
  }
  output::write_folder(files, out);
}

}  // namespace sim::search
