#include "sim/scenario/study_axes.h"

#include <algorithm>
#include <cmath>

#include "sim/scenario/sections.h"
#include "sim/text/nearest.h"
#include "sim/text/reader.h"

namespace sim::scenario {
namespace {

constexpr std::int64_t kMostSteps = 1000;

/// Quantities inside lists, which are no keys of the list of keys.
struct ListKey {
  std::string_view list, name;
  text::Kind kind;
};
constexpr ListKey kListKeys[] = {{"travel.profile", "time", text::Kind::kTime},
                                 {"travel.profile", "speed", text::Kind::kSpeed},
                                 {"travel.profile", "yaw_rate", text::Kind::kTurnRate},
                                 {"fault", "from", text::Kind::kTime},
                                 {"fault", "until", text::Kind::kTime},
                                 {"fault", "by", text::Kind::kTime},
                                 {"fault", "amount", text::Kind::kRatio}};

/// "travel.profile[2].speed" is the key `speed` of the list `travel.profile`.
const ListKey* list_key(const std::string& key) {
  const std::size_t open = key.find('['), close = key.find("].");
  if (open == std::string::npos || close == std::string::npos || close < open) return nullptr;
  for (const ListKey& one : kListKeys)
    if (key.substr(0, open) == one.list && key.substr(close + 2) == one.name) return &one;
  return nullptr;
}

bool is_scenario_key(const std::string& key) {
  const std::vector<text::KeyHelp> keys = scenario_keys();
  return std::any_of(keys.begin(), keys.end(),
                     [&](const text::KeyHelp& help) { return help.key == key; });
}

/// Keys inside lists and below sections that the list of keys does not spell out are left alone.
void refuse_unknown_key(const text::Place& place, const std::string& name, const std::string& key) {
  if (is_scenario_key(key) || key.find('[') != std::string::npos) return;
  std::vector<std::string> known;
  for (const text::KeyHelp& help : scenario_keys()) known.push_back(help.key);
  const std::string nearest = text::nearest_name(key, known);
  if (!nearest.empty()) text::fail(place, name, "unknown key", nearest);
}

text::Kind kind_of_range(const text::Node& from, const std::string& name, const std::string& key) {
  if (const ListKey* listed = list_key(key)) return listed->kind;
  for (const text::KeyHelp& help : scenario_keys()) {
    if (help.key != key) continue;
    if (key == "seeding.population") return text::Kind::kCountPerArea;
    for (const text::KindWord& word : text::kind_words()) {
      if (help.kind == word.name) return word.kind;
    }
  }
  if (key == "seeding.population") return text::Kind::kCountPerArea;
  refuse_unknown_key(from.place, name, key);
  text::fail(
      from.place, name,
      "a range or a distribution needs a key that holds a quantity; list the values instead");
}

std::string unit_of(const text::Node& node, text::Kind kind) {
  return node.kind == text::NodeKind::kText ? text::parse_quantity(node.text, kind).unit : "";
}

const text::Node& part_of(const text::Node& table, const std::string& name, const std::string& part,
                          const std::string& form) {
  if (const text::Node* node = table.find(part)) return *node;
  std::string missing = name;
  missing.append(".").append(part);
  text::fail(table.place, missing, "is missing: write " + form);
}

std::vector<std::string> steps_between(const text::Node& node, const std::string& name,
                                       const std::string& key) {
  static const std::string kKnown[] = {"from", "to", "steps"};
  const std::string form = "{from = ..., to = ..., steps = ...}";
  text::refuse_other_keys(node, name + ".", kKnown);
  const text::Node& from = part_of(node, name, "from", form);
  const text::Node& to = part_of(node, name, "to", form);
  const std::int64_t steps =
      text::read_whole(part_of(node, name, "steps", form), name + ".steps", 1, kMostSteps);
  const text::Kind kind = kind_of_range(from, name, key);
  const double from_si = text::read_quantity_si(from, name + ".from", kind, text::kAnyValue);
  const double to_si = text::read_quantity_si(to, name + ".to", kind, text::kAnyValue);
  if ((steps == 1) != (from_si == to_si))
    text::fail(node.place, name + ".steps",
               "one step needs from = to, and several steps need from and to to differ");
  const std::string unit = unit_of(from, kind);
  std::vector<std::string> values;
  for (std::int64_t i = 0; i < steps; ++i) {
    const double share_ratio =
        steps == 1 ? 0.0 : static_cast<double>(i) / static_cast<double>(steps - 1);
    const double value_si = from_si + (to_si - from_si) * share_ratio;
    values.push_back(unit.empty() ? text::shortest_text(value_si)
                                  : text::format_quantity(value_si, kind, unit, 12));
  }
  return values;
}

// A standard deviation is a difference: 3 C are 3 K, not 276.15 K.
double read_sd_si(const text::Node& node, const std::string& name, text::Kind kind) {
  const double with_zero_si = text::read_quantity_si(node, name, kind, text::kAnyValue);
  const std::string unit = unit_of(node, kind);
  const double zero_si = unit.empty() ? 0.0 : text::parse_quantity("0 " + unit, kind).value_si;
  const double sd_si = with_zero_si - zero_si;
  if (!(sd_si > 0.0))
    text::fail(node.place, name, "a standard deviation must be above 0, not " + written(node));
  return sd_si;
}

void read_ends(const text::Node& ends, const std::string& name, AxisDraw& draw) {
  const bool log = draw.shape == DrawShape::kLogUniform;
  if (ends.kind != text::NodeKind::kArray || ends.items.size() != 2)
    text::fail(ends.place, name, "must be two values: [from, to]");
  draw.unit = unit_of(ends.items[0], draw.kind);
  draw.first_si = text::read_quantity_si(ends.items[0], name + "[0]", draw.kind, text::kAnyValue);
  draw.second_si = text::read_quantity_si(ends.items[1], name + "[1]", draw.kind, text::kAnyValue);
  if (!(draw.first_si < draw.second_si))
    text::fail(ends.place, name,
               "is empty: " + written(ends.items[0]) + " is not below " + written(ends.items[1]));
  if (log && !(draw.first_si > 0.0))
    text::fail(ends.items[0].place, name, "a logarithm needs both ends above 0");
  draw.low_si = draw.first_si;
  draw.high_si = draw.second_si;
  draw.words = std::string(log ? "log-uniform " : "uniform ") + written(ends.items[0]) + " to " +
               written(ends.items[1]);
}

void read_normal(const text::Node& table, const std::string& name, AxisDraw& draw) {
  static const std::string kKnown[] = {"mean", "sd", "low", "high"};
  const std::string form = "{mean = ..., sd = ...}, with low and high where it is cut off";
  if (table.kind != text::NodeKind::kTable) text::fail(table.place, name, "must be " + form);
  text::refuse_other_keys(table, name + ".", kKnown);
  const text::Node& mean = part_of(table, name, "mean", form);
  const text::Node& sd = part_of(table, name, "sd", form);
  draw.unit = unit_of(mean, draw.kind);
  draw.first_si = text::read_quantity_si(mean, name + ".mean", draw.kind, text::kAnyValue);
  draw.second_si = read_sd_si(sd, name + ".sd", draw.kind);
  draw.words = "normal, mean " + written(mean) + ", sd " + written(sd);
  if (const text::Node* low = table.find("low")) {
    draw.low_si = text::read_quantity_si(*low, name + ".low", draw.kind, text::kAnyValue);
    draw.words += ", not below " + written(*low);
  }
  if (const text::Node* high = table.find("high")) {
    draw.high_si = text::read_quantity_si(*high, name + ".high", draw.kind, text::kAnyValue);
    draw.words += ", not above " + written(*high);
  }
  // Further out the density underflows, and truncation there leaves nothing to scale up.
  constexpr double kFurthest_ratio = 6.0;
  const double reach_si = kFurthest_ratio * draw.second_si;
  if (!(draw.low_si < draw.high_si) || draw.low_si > draw.first_si + reach_si ||
      draw.high_si < draw.first_si - reach_si)
    text::fail(table.place, name, "has no values between low and high");
}

// "travel.speed" may be one key in quotes, or a key under [axes.travel].
struct AxisNode {
  std::string key;
  const text::Node* node;
};

void collect_axes(const text::Node& table, const std::string& prefix, std::vector<AxisNode>& axes) {
  for (const auto& [key, node] : table.entries) {
    // A key of the scenario is no section of axes: a table there is a shape, however it is spelled.
    if (is_axis(node) || is_scenario_key(prefix + key))
      axes.push_back({prefix + key, &node});
    else
      collect_axes(node, prefix + key + ".", axes);
  }
}

AxisDraw read_draw(const text::Node& node, const std::string& name, const std::string& key) {
  static const std::string kShapes[] = {"uniform", "log_uniform", "normal"};
  text::refuse_other_keys(node, name + ".", kShapes);
  if (node.entries.size() != 1)
    text::fail(node.place, name, "state one of uniform, log_uniform and normal");
  const auto& [shape, what] = node.entries.front();
  AxisDraw draw;
  draw.kind = kind_of_range(what, name, key);
  draw.place = node.place.text() + ": " + name;
  if (shape == "normal") {
    draw.shape = DrawShape::kNormal;
    read_normal(what, name + ".normal", draw);
  } else {
    draw.shape = shape == "uniform" ? DrawShape::kUniform : DrawShape::kLogUniform;
    read_ends(what, name + "." + shape, draw);
  }
  return draw;
}

}  // namespace

bool is_axis(const text::Node& node) {
  if (node.kind != text::NodeKind::kTable) return true;
  for (const char* key : {"from", "to", "steps", "uniform", "log_uniform", "normal"}) {
    if (node.find(key) != nullptr) return true;
  }
  return node.entries.empty();
}

std::string written(const text::Node& node) {
  return node.kind == text::NodeKind::kText ? node.text : text::toml_text(node);
}

void flatten_axes(text::Node& document) {
  text::Node* axes = document.find("axes");
  if (axes == nullptr) return;
  if (axes->kind != text::NodeKind::kTable) text::fail(axes->place, "axes", "must be a section");
  std::vector<AxisNode> found;
  collect_axes(*axes, "", found);
  text::Node flat;
  flat.place = axes->place;
  for (const AxisNode& axis : found) flat.put(axis.key, *axis.node);
  *axes = std::move(flat);
}

StudyAxis read_axis(const text::Node& node, const std::string& key, const std::string& section) {
  const std::string name = section + "." + key;
  StudyAxis axis{.key = key, .values = {}};
  if (node.kind == text::NodeKind::kTable) {
    const bool range = node.find("from") != nullptr || node.find("to") != nullptr ||
                       node.find("steps") != nullptr || node.entries.empty();
    if (range)
      axis.values = steps_between(node, name, key);
    else
      axis.draw = read_draw(node, name, key);
    return axis;
  }
  if (node.kind != text::NodeKind::kArray)
    text::fail(node.place, name,
               std::string("must be a list of values, {from, to, steps} or a distribution, not ") +
                   text::kind_name(node.kind));
  if (node.items.empty()) text::fail(node.place, name, "is an empty axis: nothing would run");
  for (const text::Node& item : node.items) {
    axis.values.push_back(written(item));
    if (std::count(axis.values.begin(), axis.values.end(), axis.values.back()) > 1) {
      text::fail(item.place, name, "\"" + axis.values.back() + "\" appears twice");
    }
  }
  return axis;
}

}  // namespace sim::scenario
