#include "sim/study/page/page_settings.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "sim/scenario/loader.h"
#include "sim/scenario/path_keys.h"
#include "sim/study/page/page_field.h"
#include "sim/study/page/page_keys.h"
#include "sim/text/document.h"
#include "sim/text/nearest.h"
#include "sim/text/shell_word.h"

namespace sim::page {
namespace {

constexpr std::size_t kMostSettings = 200;
constexpr std::size_t kMostValue = 200;  // characters

/// Refuses a key that the page does not set: behind it could stand a file.
void require_known(const std::vector<Setting>& settings) {
  static const std::vector<std::string> kKnown = [] {
    std::vector<std::string> names;
    for (const PageKey& key : page_keys(scenario::Scenario{}, output::Units::kMetric))
      names.push_back(key.key);
    return names;
  }();
  for (const Setting& one : settings) {
    if (std::find(kKnown.begin(), kKnown.end(), one.key) != kKnown.end()) continue;
    const std::string nearest = text::nearest_name(one.key, kKnown);
    throw text::InputError(fmt::format(
        "{}: the page does not set this key{}", one.key,
        nearest.empty() ? "; state it in a scenario" : "; nearest valid name: `" + nearest + "`"));
  }
}

std::vector<std::string> sets_of(const PageBase& base, const std::vector<Setting>& settings) {
  require_known(settings);
  std::vector<std::string> sets = base.sets;
  for (const Setting& one : settings) sets.push_back(one.key + "=" + one.value);
  return sets;
}

bool names_file(std::string_view key) {
  return std::ranges::find(scenario::kPathKeys, key) != std::ranges::end(scenario::kPathKeys);
}

/// The same file as seen from the folder `to`.
std::string path_seen_from(const std::filesystem::path& file, const std::filesystem::path& to) {
  namespace fs = std::filesystem;
  return fs::weakly_canonical(fs::absolute(file))
      .lexically_relative(fs::weakly_canonical(fs::absolute(to)))
      .string();
}

/// KEY = VALUE as TOML, of a --set; a path in it counted from `from` is counted from `to` then.
std::string toml_line(const std::string& set, const std::filesystem::path& from,
                      const std::filesystem::path& to) {
  const std::size_t equals = set.find('=');
  const std::string key = set.substr(0, equals);
  const bool plain =
      !key.empty() && key.find_first_not_of("abcdefghijklmnopqrstuvwxyz_0123456789.") == key.npos;
  const bool indexed =
      key.find_first_of("[") != key.npos || std::any_of(key.begin(), key.end(), [&](const char& c) {
        const bool digit = c >= '0' && c <= '9';
        return digit && (&c == key.data() || *(&c - 1) == '.');
      });
  if (!plain || indexed)
    throw text::InputError(
        fmt::format("--set {}: one item of a list cannot be saved; state the list in a scenario "
                    "and start the page with that",
                    key));
  text::Node value = text::parse_value(
      equals == set.npos ? "" : std::string_view(set).substr(equals + 1), {.set_key = key});
  if (names_file(key) && value.kind == text::NodeKind::kText && !value.text.empty() &&
      std::filesystem::path(value.text).is_relative())
    value.text = path_seen_from(from / value.text, to);
  return key + " = " + text::toml_text(value) + "\n";
}

}  // namespace

std::vector<Setting> settings_of_json(const std::string& json) {
  const nlohmann::json list = nlohmann::json::parse(json, nullptr, false);
  const text::InputError wrong("settings: not a list of at most 200 pairs of key and value");
  if (!list.is_array() || list.size() > kMostSettings) throw wrong;
  std::vector<Setting> settings;
  for (const nlohmann::json& pair : list) {
    if (!pair.is_array() || pair.size() != 2 || !pair[0].is_string() || !pair[1].is_string())
      throw wrong;
    Setting one{pair[0].get<std::string>(), pair[1].get<std::string>()};
    if (one.value.size() > kMostValue || one.key.size() > kMostValue) throw wrong;
    settings.push_back(std::move(one));
  }
  return settings;
}

scenario::Scenario whole_scenario(const PageBase& base, const std::vector<Setting>& settings) {
  return scenario::load_scenario(base.file, sets_of(base, settings));
}

PageInput page_input(const PageBase& base, const std::vector<Setting>& settings) {
  PageInput input;
  input.sets = sets_of(base, settings);
  input.sets.push_back("row.count=1");
  input.scenario = scenario::load_scenario(base.file, input.sets);
  for (std::string& set : take_page_field(input.scenario)) input.sets.push_back(std::move(set));
  input.command = "sillion run " + text::shell_word(base.shown);
  for (const std::string& set : input.sets) input.command += " --set " + text::shell_word(set);
  return input;
}

std::string saved_scenario(const PageBase& base, const std::vector<Setting>& settings,
                           const std::filesystem::path& folder) {
  const std::vector<std::string> sets = sets_of(base, settings);
  whole_scenario(base, settings);  // what cannot be loaded is not saved
  std::string file = "# What was set on the page; everything else stands in its base.\n";
  file +=
      "base = " + text::toml_text(text::text_node(path_seen_from(base.file, folder), {})) + "\n";
  // A later setting of a key replaces an earlier one, as it does on a command line.
  for (std::size_t i = 0; i < sets.size(); ++i) {
    const std::string start = sets[i].substr(0, sets[i].find('=') + 1);
    const bool again = std::any_of(sets.begin() + static_cast<std::ptrdiff_t>(i) + 1, sets.end(),
                                   [&](const std::string& set) { return set.starts_with(start); });
    if (!again) file += toml_line(sets[i], base.file.parent_path(), folder);
  }
  return file;
}

}  // namespace sim::page
