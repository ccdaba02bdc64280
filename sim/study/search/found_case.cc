#include "sim/study/search/found_case.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "sim/scenario/layers.h"
#include "sim/scenario/overlay.h"
#include "sim/scenario/path_keys.h"

namespace sim::search {
namespace {

namespace fs = std::filesystem;

/// The way from a folder to a file. Both may be stated from where one stands, and the folder need
/// not exist yet.
std::string way_between(const fs::path& folder, const fs::path& file) {
  std::error_code ignored;
  return fs::proximate(fs::weakly_canonical(fs::absolute(file), ignored),
                       fs::weakly_canonical(fs::absolute(folder), ignored), ignored)
      .generic_string();
}

text::Node* node_at(text::Node& document, std::string_view key) {
  text::Node* node = &document;
  while (node != nullptr && !key.empty()) {
    const std::size_t dot = std::min(key.find('.'), key.size());
    node = node->kind == text::NodeKind::kTable ? node->find(key.substr(0, dot)) : nullptr;
    key.remove_prefix(std::min(dot + 1, key.size()));
  }
  return node;
}

void move_paths(text::Node& document, const fs::path& searched, const fs::path& folder) {
  for (const std::string_view key : scenario::kPathKeys) {
    text::Node* node = node_at(document, key);
    if (node == nullptr || node->kind != text::NodeKind::kText || node->text.empty()) continue;
    if (fs::path(node->text).is_absolute()) continue;
    node->text = way_between(folder, scenario::path_from(node->place, node->text, searched));
  }
}

/// The key up to the list that it leads into ("travel.profile" of "travel.profile[1].speed" and of
/// "travel.profile.1.speed"), else the whole key.
std::string stated_key(const text::Node& document, const std::string& key) {
  std::string dotted = key;
  std::replace(dotted.begin(), dotted.end(), '[', '.');
  std::erase(dotted, ']');
  std::erase(dotted, ' ');
  for (std::size_t dot = dotted.find('.'); dot != std::string::npos;
       dot = dotted.find('.', dot + 1)) {
    const text::Node* above = text::find_dotted(document, dotted.substr(0, dot));
    if (above != nullptr && above->kind == text::NodeKind::kArray) return dotted.substr(0, dot);
  }
  return dotted;
}

/// What the file states: keys of which none lies below another.
std::set<std::string> stated_keys(const Search& search, const Changes& changes,
                                  const text::Node& document) {
  std::set<std::string> keys;
  if (search.held) keys = {"controller.delay", "controller.table"};
  for (const std::string& set : search.sets)
    keys.insert(stated_key(document, set.substr(0, set.find('='))));
  for (std::size_t k = 0; k < search.ranges.size(); ++k)
    if (!changes.values[k].empty()) keys.insert(stated_key(document, search.ranges[k].key));
  for (const FaultPick& pick : changes.faults)
    if (!pick.kind.empty()) keys.insert("fault");
  const std::set<std::string> all = keys;
  std::erase_if(keys, [&](const std::string& key) {
    return std::ranges::any_of(
        all, [&](const std::string& other) { return key.starts_with(other + "."); });
  });
  return keys;
}

std::string words_above(const SearchResult& result) {
  const JudgedPass& judged = result.shrunk->judged;
  const std::string expected =
      judged.state == PassState::kViolated
          ? fmt::format("violated, {}: {}", judged.requirement, judged.words)
          : state_word(judged.state);
  return fmt::format(
      "# Question: why does this case of `{}` fail?\n# Expect: {}.\n"
      "# Written by `sillion search`: the smallest change that still fails.\n",
      result.search.name, expected);
}

}  // namespace

std::string found_toml(const SearchResult& result, const fs::path& to) {
  if (!result.shrunk) return {};
  const Search& search = result.search;
  const fs::path folder = fs::absolute(to).parent_path();
  text::Node document = document_with(search, result.shrunk->changes);
  move_paths(document, search.file, folder);
  if (search.held) {
    scenario::set_dotted(document, "controller.delay", text::text_node("table", {}));
    scenario::set_dotted(document, "controller.table", text::text_node(kTableFile, {}));
  }
  std::string toml = words_above(result);
  toml += "base = " + text::toml_text(text::text_node(way_between(folder, search.file), {})) + "\n";
  for (const std::string& key : stated_keys(search, result.shrunk->changes, document))
    if (const text::Node* node = text::find_dotted(document, key))
      toml += key + " = " + text::toml_text(*node) + "\n";
  return toml;
}

}  // namespace sim::search
