#include "sim/scenario/overlay.h"

#include <algorithm>
#include <array>
#include <charconv>

#include "sim/scenario/outlet_keys.h"

namespace sim::scenario {
namespace {

struct EitherOr {
  std::string_view section;
  std::array<std::string_view, 3> keys;  // empty: no third key
};
constexpr EitherOr kEitherOr[] = {{"travel", {"speed", "profile", "log"}},
                                  {"seeding", {"spacing", "population", ""}},
                                  {"hose", {"wave_speed", "wall", ""}},
                                  {"tube", {"wave_speed", "wall", ""}},
                                  {"attachment.hose", {"wave_speed", "wall", ""}},
                                  {"attachment.tube", {"wave_speed", "wall", ""}}};

struct WhichOne {
  std::string_view section, key, kept;
};
constexpr WhichOne kWhichOne[] = {
    {"attachment", "name", ""}, {"liquid", "name", "temperature"}, {"delivery", "kind", "drop_x"}};

bool same_text(const text::Node* a, const text::Node* b) {
  return a != nullptr && b != nullptr && a->text == b->text;
}

void drop_what_is_replaced(std::string_view section, text::Node& below, const text::Node& above) {
  for (const EitherOr& rule : kEitherOr) {
    if (rule.section != section) continue;
    const bool stated = std::any_of(rule.keys.begin(), rule.keys.end(), [&](std::string_view key) {
      return !key.empty() && above.find(key) != nullptr;
    });
    if (!stated) continue;
    for (const std::string_view key : rule.keys) below.drop(key);
  }
  for (const WhichOne& rule : kWhichOne) {
    const text::Node* name = rule.section == section ? above.find(rule.key) : nullptr;
    if (name == nullptr || same_text(name, below.find(rule.key))) continue;
    std::erase_if(below.entries, [&](const text::Entry& entry) { return entry.key != rule.kept; });
  }
}

void merge(text::Node& below, const text::Node& above) {
  for (const auto& [key, node] : above.entries) {
    text::Node* there = below.find(key);
    if (there != nullptr && there->kind == text::NodeKind::kTable &&
        node.kind == text::NodeKind::kTable)
      merge(*there, node);
    else
      below.put(key, node);
  }
}

// "fault[0].by" and "fault.0.by" give the same three steps.
std::vector<std::string> steps_of(std::string_view key, const text::Place& place) {
  std::vector<std::string> steps(1);
  for (const char c : key) {
    if (c == '.' || c == '[')
      steps.emplace_back();
    else if (c != ']')
      steps.back() += c;
  }
  if (steps.size() > 16) text::fail(place, {}, "nested too deep");
  for (const std::string& step : steps) {
    if (step.empty())
      text::fail(place, {}, "not a key: write names with dots between, such as travel.speed");
  }
  return steps;
}

text::Node nested(std::span<const std::string> steps, text::Node value) {
  if (steps.empty()) return value;
  text::Node table;
  table.place = value.place;
  table.put(steps[0], nested(steps.subspan(1), std::move(value)));
  return table;
}

text::Node& item_at(text::Node& list, const std::string& step, const text::Place& place) {
  std::size_t index = 0;
  const auto [end, code] = std::from_chars(step.data(), step.data() + step.size(), index);
  if (code != std::errc{} || end != step.data() + step.size() || index > list.items.size()) {
    text::fail(place, {},
               "`" + step + "` is no index of this list: 0 to " +
                   std::to_string(list.items.size()) + " (the last adds an item)");
  }
  if (index == list.items.size()) {
    list.items.emplace_back();
    list.items.back().place = place;
  }
  return list.items[index];
}

void put_at(text::Node& node, std::span<const std::string> steps, text::Node value) {
  if (node.kind == text::NodeKind::kArray) {
    text::Node& item = item_at(node, steps[0], value.place);
    if (steps.size() == 1)
      item = std::move(value);
    else
      put_at(item, steps.subspan(1), std::move(value));
    return;
  }
  if (node.kind != text::NodeKind::kTable)
    text::fail(
        value.place, {},
        "leads through " + std::string(text::kind_name(node.kind)) + ", which is not a table");
  text::Node* there = node.find(steps[0]);
  const bool inside =
      steps.size() > 1 && there != nullptr &&
      (there->kind == text::NodeKind::kTable || there->kind == text::NodeKind::kArray);
  if (inside)
    put_at(*there, steps.subspan(1), std::move(value));
  else
    node.put(steps[0], nested(steps.subspan(1), std::move(value)));
}

bool leads_into_list(const text::Node& root, std::span<const std::string> steps) {
  const text::Node* node = &root;
  for (const std::string& step : steps) {
    if (node == nullptr) return false;
    if (node->kind == text::NodeKind::kArray) return true;
    node = node->find(step);
  }
  return false;
}

void collect_leaves(const text::Node& table, const std::string& prefix,
                    std::vector<std::pair<std::string, const text::Node*>>& leaves) {
  for (const auto& [key, node] : table.entries) {
    if (node.kind == text::NodeKind::kTable && !node.entries.empty())
      collect_leaves(node, prefix + key + ".", leaves);
    else
      leaves.emplace_back(prefix + key, &node);
  }
}

}  // namespace

void lay_over(text::Node& below, const text::Node& above) {
  for (const auto& [section, node] : above.entries) {
    text::Node* there = below.find(section);
    if (there == nullptr || there->kind != text::NodeKind::kTable) continue;
    drop_what_is_replaced(section, *there, node);
    if (section != "attachment") continue;
    for (const char* line : {"hose", "tube"}) {
      text::Node* below_line = there->find(line);
      const text::Node* above_line = node.find(line);
      if (below_line != nullptr && above_line != nullptr)
        drop_what_is_replaced("attachment." + std::string(line), *below_line, *above_line);
    }
  }
  drop_replaced_outlet(below, above);
  merge(below, above);
}

void set_dotted(text::Node& root, std::string_view key, text::Node value) {
  const std::vector<std::string> steps = steps_of(key, value.place);
  const bool list = steps[0] == "fault" || steps[0] == "require";
  if (list && steps.size() > 1 && root.find(steps[0]) == nullptr) {
    text::Node empty;
    empty.kind = text::NodeKind::kArray;
    empty.place = value.place;
    root.put(steps[0], std::move(empty));
  }
  if (leads_into_list(root, steps))
    put_at(root, steps, std::move(value));
  else
    lay_over(root, nested(steps, std::move(value)));
}

std::vector<std::pair<std::string, const text::Node*>> dotted_leaves(const text::Node& section,
                                                                     std::string_view key) {
  if (section.kind != text::NodeKind::kTable)
    text::fail(section.place, key,
               std::string("must be a section, not ") + text::kind_name(section.kind));
  std::vector<std::pair<std::string, const text::Node*>> leaves;
  collect_leaves(section, "", leaves);
  return leaves;
}

void lay_set_over(text::Node& root, std::string_view key_and_value) {
  const std::size_t equals = key_and_value.find('=');
  std::string key(key_and_value.substr(0, std::min(equals, key_and_value.size())));
  while (!key.empty() && key.back() == ' ') key.pop_back();
  const text::Place place{{}, 0, key.empty() ? std::string(key_and_value) : key};
  if (equals == std::string_view::npos || key.empty()) {
    text::fail(place, {}, "write KEY=VALUE, such as travel.speed=\"12 km/h\"");
  }
  std::string_view value = key_and_value.substr(equals + 1);
  while (!value.empty() && value.front() == ' ') value.remove_prefix(1);
  set_dotted(root, key, text::parse_value(value, place));
}

void refuse_both(const text::Node& root) {
  for (const EitherOr& rule : kEitherOr) {
    const text::Node* section = text::find_dotted(root, rule.section);
    if (section == nullptr) continue;
    std::string_view first;
    std::string first_place;
    for (const auto& [key, node] : section->entries) {
      if (std::find(rule.keys.begin(), rule.keys.end(), key) == rule.keys.end()) continue;
      if (!first.empty()) {
        text::fail(node.place, std::string(rule.section) + "." + key,
                   "contradicts `" + std::string(rule.section) + "." + std::string(first) + "` (" +
                       first_place + "): state one of them");
      }
      first = key;
      first_place = node.place.text();
    }
  }
}

}  // namespace sim::scenario
