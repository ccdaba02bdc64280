// Study files: a base scenario, axes over which it is varied, and how often each cell is run.
#include <algorithm>
#include <cmath>

#include "sim/scenario/layers.h"
#include "sim/scenario/loader.h"
#include "sim/scenario/overlay.h"
#include "sim/scenario/reader.h"
#include "sim/scenario/sections.h"

namespace sim {
namespace {

constexpr std::int64_t kMostSteps = 1000;
constexpr double kMostCells_ratio = 1e6;
const std::string kStudyKeys[] = {"base", "title", "axes", "replicas", "rng_key", "set", "shown"};

bool is_study_key(std::string_view key) {
  const std::string_view first = key.substr(0, key.find_first_of(".["));
  return first == "title" || first == "replicas" || first == "rng_key" || first == "shown" ||
         first == "axes";
}

// "travel.speed" may stand in quotes as one key, or as [axes.travel]; both end at values, a range
// or a distribution.
bool is_axis(const Node& node) {
  if (node.kind != NodeKind::kTable) return true;
  for (const char* key : {"from", "to", "steps", "uniform", "normal", "count"}) {
    if (node.find(key) != nullptr) return true;
  }
  return node.entries.empty();
}

struct AxisNode {
  std::string key;
  const Node* node;
};

void collect_axes(const Node& table, const std::string& prefix, std::vector<AxisNode>& axes) {
  for (const auto& [key, node] : table.entries) {
    if (is_axis(node))
      axes.push_back({prefix + key, &node});
    else
      collect_axes(node, prefix + key + ".", axes);
  }
}

// What a person would write after KEY=: the bare words of a text, TOML for everything else.
std::string written(const Node& node) {
  return node.kind == NodeKind::kText ? node.text : toml_text(node);
}

Kind kind_of_range(const Node& from, const std::string& key) {
  for (const KeyHelp& help : scenario_keys()) {
    if (help.key != key) continue;
    if (key == "seeding.population") return Kind::kCountPerArea;
    for (const KindWord& word : kind_words()) {
      if (help.kind == word.name) return word.kind;
    }
  }
  if (key == "seeding.population") return Kind::kCountPerArea;
  fail(from.place, "axes." + key,
       "{from, to, steps} needs a key that holds a quantity; list the values instead");
}

std::vector<std::string> steps_between(const Node& node, const std::string& key) {
  static const std::string kKnown[] = {"from", "to", "steps"};
  const std::string name = "axes." + key;
  refuse_other_keys(node, name + ".", kKnown);
  for (const std::string& part : kKnown) {
    if (node.find(part) != nullptr) continue;
    std::string missing = name;
    missing.append(".").append(part);
    fail(node.place, missing, "is missing: write {from = ..., to = ..., steps = ...}");
  }
  const Node& from = *node.find("from");
  const Node& to = *node.find("to");
  const std::int64_t steps = read_whole(*node.find("steps"), name + ".steps", 1, kMostSteps);
  const Kind kind = kind_of_range(from, key);
  const Range any{-1e30, 1e30};
  const double from_si = read_quantity_si(from, name + ".from", kind, any);
  const double to_si = read_quantity_si(to, name + ".to", kind, any);
  if ((steps == 1) != (from_si == to_si))
    fail(node.place, name + ".steps",
         "one step needs from = to, and several need from and to apart");
  const std::string unit = from.kind == NodeKind::kText ? parse_quantity(from.text, kind).unit : "";
  std::vector<std::string> values;
  for (std::int64_t i = 0; i < steps; ++i) {
    const double share_ratio =
        steps == 1 ? 0.0 : static_cast<double>(i) / static_cast<double>(steps - 1);
    const double value_si = from_si + (to_si - from_si) * share_ratio;
    values.push_back(unit.empty() ? shortest_text(value_si)
                                  : format_quantity(value_si, kind, unit, 12));
  }
  return values;
}

StudyAxis read_axis(const Node& node, const std::string& key) {
  const std::string name = "axes." + key;
  StudyAxis axis{key, {}};
  if (node.kind == NodeKind::kTable) {
    if (node.find("uniform") != nullptr || node.find("normal") != nullptr ||
        node.find("count") != nullptr) {
      fail(node.place, name,
           "distributions cannot be drawn: write a list of values or {from = ..., to = ..., steps "
           "= ...}");
    }
    axis.values = steps_between(node, key);
    return axis;
  }
  if (node.kind != NodeKind::kArray)
    fail(node.place, name,
         std::string("must be a list of values or {from, to, steps}, not ") + kind_name(node.kind));
  if (node.items.empty()) fail(node.place, name, "is an empty axis: nothing would run");
  for (const Node& item : node.items) {
    axis.values.push_back(written(item));
    if (std::count(axis.values.begin(), axis.values.end(), axis.values.back()) > 1) {
      fail(item.place, name, "\"" + axis.values.back() + "\" stands twice");
    }
  }
  return axis;
}

// Each value is tried alone over the base, so that a mistake shows before anything runs, at its own
// line.
void try_axis(const Node& base, const std::filesystem::path& file, const Node& node,
              const StudyAxis& axis) {
  for (std::size_t i = 0; i < axis.values.size(); ++i) {
    Node document = base;
    const Place place = node.kind == NodeKind::kArray ? node.items[i].place : node.place;
    Node value = node.kind == NodeKind::kArray ? node.items[i] : parse_value(axis.values[i], place);
    set_dotted(document, axis.key, std::move(value));
    scenario_of(document, file);
  }
}

void flatten(const Node& table, const std::string& prefix,
             std::vector<std::pair<std::string, const Node*>>& sets) {
  for (const auto& [key, node] : table.entries) {
    if (node.kind == NodeKind::kTable && !node.entries.empty())
      flatten(node, prefix + key + ".", sets);
    else
      sets.emplace_back(prefix + key, &node);
  }
}

void read_shown(const Node& node, Study& study) {
  if (node.kind != NodeKind::kArray || node.items.size() != study.axes.size()) {
    fail(node.place, "shown",
         "must be a list of " + std::to_string(study.axes.size()) +
             " values, one of each axis in their order");
  }
  for (std::size_t i = 0; i < node.items.size(); ++i) {
    const std::vector<std::string>& values = study.axes[i].values;
    study.shown.push_back(written(node.items[i]));
    if (std::find(values.begin(), values.end(), study.shown.back()) != values.end()) continue;
    std::string all;
    for (const std::string& value : values) all += (all.empty() ? "" : ", ") + value;
    fail(
        node.items[i].place, "shown",
        "\"" + study.shown.back() + "\" is no value of the axis " + study.axes[i].key + ": " + all);
  }
}

std::filesystem::path base_of(const Node& document, const std::filesystem::path& file) {
  const Node* base = document.find("base");
  if (base == nullptr)
    fail({file.string(), 0, {}}, "base", "is missing: a study names the scenario that it varies");
  std::filesystem::path path = path_from(base->place, read_text_value(*base, "base"), file);
  if (!path.has_extension()) path += ".toml";
  std::error_code ignored;
  if (!std::filesystem::exists(path, ignored))
    fail(base->place, "base", "no such file: `" + path.string() + "`");
  return path;
}

// The base with everything laid over it that holds in every cell; fills study.sets on the way.
Node common_of(const Node& document, const std::vector<std::string>& scenario_sets, Study& study) {
  Node common = read_layers(study.base);
  if (const Node* set = document.find("set")) {
    if (set->kind != NodeKind::kTable)
      fail(set->place, "set", std::string("must be a section, not ") + kind_name(set->kind));
    std::vector<std::pair<std::string, const Node*>> sets;
    flatten(*set, "", sets);
    for (const auto& [key, node] : sets) {
      study.sets.push_back(key + "=" + toml_text(*node));
      set_dotted(common, key, *node);
    }
  }
  for (const std::string& set : scenario_sets) {
    study.sets.push_back(set);
    lay_set_over(common, set);
  }
  return common;
}

// Axes under their dotted names, however they were written, so that a --set meets the axis it
// means.
void flatten_axes(Node& document) {
  Node* axes = document.find("axes");
  if (axes == nullptr) return;
  if (axes->kind != NodeKind::kTable) fail(axes->place, "axes", "must be a section");
  std::vector<AxisNode> found;
  collect_axes(*axes, "", found);
  Node flat;
  flat.place = axes->place;
  for (const AxisNode& axis : found) flat.put(axis.key, *axis.node);
  *axes = std::move(flat);
}

void lay_study_set_over(Node& document, const std::string& set) {
  if (!set.starts_with("axes.")) return lay_set_over(document, set);
  Node over;
  lay_set_over(over, set);
  flatten_axes(over);
  if (document.find("axes") == nullptr) document.put("axes", Node{});
  for (auto& [key, node] : over.find("axes")->entries) document.find("axes")->put(key, node);
}

std::vector<StudyAxis> read_axes(const Node& document, const Node& common, const Study& study,
                                 const Place& file) {
  const Node* axes = document.find("axes");
  if (axes == nullptr || axes->entries.empty()) {
    fail(axes == nullptr ? file : axes->place, "axes", "holds no axis: nothing would run");
  }
  std::vector<StudyAxis> read;
  double cells_ratio = 1.0;
  for (const auto& [key, node] : axes->entries) {
    read.push_back(read_axis(node, key));
    cells_ratio *= static_cast<double>(read.back().values.size());
    if (cells_ratio > kMostCells_ratio) {
      fail(node.place, "axes." + key, "the grid has more than a million cells");
    }
    try_axis(common, study.base, node, read.back());
  }
  return read;
}

}  // namespace

Study load_study(const std::filesystem::path& file, const std::vector<std::string>& sets) {
  Node document = read_document(file);
  flatten_axes(document);
  std::vector<std::string> scenario_sets;
  for (const std::string& set : sets) {
    if (is_study_key(set.substr(0, set.find('='))))
      lay_study_set_over(document, set);
    else
      scenario_sets.push_back(set);
  }
  refuse_other_keys(document, "", kStudyKeys);
  Study study;
  study.name = file.stem().string();
  study.base = base_of(document, file);
  if (const Node* title = document.find("title")) study.title = read_text_value(*title, "title");
  if (const Node* replicas = document.find("replicas"))
    study.replicas = static_cast<int>(read_whole(*replicas, "replicas", 1, 100'000));
  if (const Node* key = document.find("rng_key")) {
    study.rng_key =
        static_cast<std::uint64_t>(read_whole(*key, "rng_key", 0, 9'223'372'036'854'775'807));
  }
  const Node common = common_of(document, scenario_sets, study);
  study.axes = read_axes(document, common, study, {file.string(), 0, {}});
  if (const Node* shown = document.find("shown")) read_shown(*shown, study);
  return study;
}

}  // namespace sim
