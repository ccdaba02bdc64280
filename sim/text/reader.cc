#include "sim/text/reader.h"

#include <algorithm>

#include "sim/text/nearest.h"

namespace sim::text {
namespace {

std::string last_word(std::string_view dotted) {
  return std::string(dotted.substr(dotted.find_last_of('.') + 1));
}

// A key of the same name in another section is more likely meant than a similar word in this
// section.
std::string nearest_key(const std::string& dotted, std::string_view prefix,
                        std::span<const std::string> known, const std::vector<KeyHelp>& pool) {
  const std::string word = last_word(dotted);
  std::vector<std::string> here;
  for (const std::string& key : known) here.push_back(key);
  const std::string near = nearest_name(word, here);
  if (!near.empty() && edit_distance(word, near) <= 1) return std::string(prefix) + near;
  for (const KeyHelp& key : pool) {
    if (last_word(key.key) == word) return key.key;
  }
  if (!near.empty()) return std::string(prefix) + near;
  std::vector<std::string> all;
  for (const KeyHelp& key : pool) all.push_back(key.key);
  return nearest_name(dotted, all);
}

std::string range_text(Kind kind, Range range, std::string_view unit) {
  const std::string high = format_quantity(range.high_si, kind, unit);
  const std::string low = format_quantity(range.low_si, kind, unit);
  return range.above ? "must be above " + low + " and at most " + high
                     : "must be " + low + " to " + high;
}

}  // namespace

double read_quantity_si(const Node& node, std::string_view key, Kind kind, Range range) {
  Quantity quantity;
  std::string written = node.text;
  if (node.kind == NodeKind::kText) {
    quantity = parse_quantity(node.text, kind);
  } else if (node.kind == NodeKind::kWhole || node.kind == NodeKind::kReal) {
    written = toml_text(node);
    quantity = parse_quantity(written, kind);
  } else {
    fail(node.place, key,
         "must be a quantity such as \"" + std::string(kind_word(kind).example) + "\", not " +
             kind_name(node.kind));
  }
  if (!quantity.error.empty()) fail(node.place, key, quantity.error, quantity.nearest);
  const bool low_ok =
      range.above ? quantity.value_si > range.low_si : quantity.value_si >= range.low_si;
  if (!low_ok || quantity.value_si > range.high_si) {
    fail(node.place, key,
         "\"" + written + "\" is out of range: " + range_text(kind, range, quantity.unit));
  }
  return quantity.value_si;
}

const std::string& read_text_value(const Node& node, std::string_view key) {
  if (node.kind != NodeKind::kText)
    fail(node.place, key, std::string("must be text in quotes, not ") + kind_name(node.kind));
  return node.text;
}

std::int64_t read_whole(const Node& node, std::string_view key, std::int64_t low,
                        std::int64_t high) {
  if (node.kind != NodeKind::kWhole) {
    fail(node.place, key,
         std::string("must be a whole number without a unit, not ") + kind_name(node.kind));
  }
  if (node.whole < low || node.whole > high) {
    fail(node.place, key,
         std::to_string(node.whole) + " is out of range: must be " + std::to_string(low) + " to " +
             std::to_string(high));
  }
  return node.whole;
}

int read_word(const Node& node, std::string_view key, std::span<const std::string_view> words) {
  const std::string& typed = read_text_value(node, key);
  std::vector<std::string> names;
  std::string all;
  for (const std::string_view each : words) {
    if (each == typed) return static_cast<int>(names.size());
    names.emplace_back(each);
    all += (all.empty() ? "" : ", ") + names.back();
  }
  fail(node.place, key, "\"" + typed + "\" is none of: " + all, nearest_name(typed, names));
}

void refuse_other_keys(const Node& table, std::string_view prefix,
                       std::span<const std::string> known) {
  for (const auto& [key, node] : table.entries) {
    if (std::find(known.begin(), known.end(), key) != known.end()) continue;
    const std::string near = nearest_name(key, known);
    std::string all;
    for (const std::string& name : known) all += (all.empty() ? "" : ", ") + name;
    fail(node.place, std::string(prefix) + key, "unknown key (known here: " + all + ")",
         near.empty() ? near : std::string(prefix) + near);
  }
}

Reader::Reader(const Node& root, std::string prefix, Places& places) : places_(places) {
  levels_.push_back({&root, std::move(prefix), {}});
}

std::string Reader::dotted(std::string_view key) const {
  return levels_.back().prefix + std::string(key);
}

void Reader::refuse_unknown(const Level& level) const {
  if (level.node == nullptr) return;
  for (const auto& [key, node] : level.node->entries) {
    if (std::find(level.known.begin(), level.known.end(), key) != level.known.end()) continue;
    const std::string name = level.prefix + key;
    fail(node.place, name, "unknown key",
         nearest_key(name, level.prefix, level.known,
                     pool_ == nullptr ? std::vector<KeyHelp>{} : pool_()));
  }
}

void Reader::finish() { refuse_unknown(levels_.back()); }

const Node* Reader::take(std::string_view key) {
  Level& level = levels_.back();
  level.known.emplace_back(key);
  const Node* node = level.node == nullptr ? nullptr : level.node->find(key);
  if (node != nullptr) places_[dotted(key)] = node->place;
  return node;
}

void Reader::begin(std::string_view section, std::string_view) {
  const Node* node = take(section);
  if (node != nullptr && node->kind != NodeKind::kTable) {
    fail(node->place, dotted(section),
         std::string("must be a section, not ") + kind_name(node->kind));
  }
  levels_.push_back({node, dotted(section) + ".", {}});
}

void Reader::end() {
  refuse_unknown(levels_.back());
  levels_.pop_back();
}

void Reader::quantity(std::string_view key, double& value_si, Kind kind, Range range,
                      std::string_view) {
  if (const Node* node = take(key)) value_si = read_quantity_si(*node, dotted(key), kind, range);
}

void Reader::quantity_or_auto(std::string_view key, double& value_si, bool& automatic, Kind kind,
                              Range range, std::string_view) {
  const Node* node = take(key);
  if (node == nullptr) return;
  automatic = node->kind == NodeKind::kText && node->text == "auto";
  if (!automatic) value_si = read_quantity_si(*node, dotted(key), kind, range);
}

void Reader::quantities(std::string_view key, std::vector<double>& values_si, Kind kind,
                        Range range, std::string_view) {
  const Node* node = take(key);
  if (node == nullptr) return;
  if (node->kind != NodeKind::kArray)
    fail(node->place, dotted(key), std::string("must be a list, not ") + kind_name(node->kind));
  values_si.clear();
  for (const Node& item : node->items) {
    const std::string name = dotted(key) + "[" + std::to_string(values_si.size()) + "]";
    values_si.push_back(read_quantity_si(item, name, kind, range));
  }
}

void Reader::whole_number(std::string_view key, std::int64_t& value, std::int64_t low,
                          std::int64_t high, std::string_view) {
  if (const Node* node = take(key)) value = read_whole(*node, dotted(key), low, high);
}

void Reader::flag(std::string_view key, bool& value, std::string_view) {
  const Node* node = take(key);
  if (node == nullptr) return;
  if (node->kind != NodeKind::kFlag)
    fail(node->place, dotted(key),
         std::string("must be true or false, not ") + kind_name(node->kind));
  value = node->flag;
}

void Reader::text(std::string_view key, std::string& value, std::string_view) {
  if (const Node* node = take(key)) value = read_text_value(*node, dotted(key));
}

void Reader::word(std::string_view key, int& index, std::span<const std::string_view> words,
                  std::string_view) {
  if (const Node* node = take(key)) index = read_word(*node, dotted(key), words);
}

void Reader::special(std::string_view key, std::string_view, std::string_view) { take(key); }

}  // namespace sim::text
