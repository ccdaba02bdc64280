#include "sim/study/sweep/study.h"

#include <algorithm>
#include <cmath>

#include "sim/scenario/layers.h"
#include "sim/scenario/overlay.h"
#include "sim/scenario/study_axes.h"
#include "sim/study/sweep/study_stop.h"
#include "sim/text/reader.h"

namespace sim::sweep {
namespace {

constexpr double kMostCells_ratio = 1e6;
const std::string kStudyKeys[] = {"base", "title", "axes",     "replicas", "rng_key",
                                  "set",  "shown", "sampling", "samples",  "stop"};

// A command line cannot replace the base and its changes piece by piece.
bool is_study_key(std::string_view key) {
  const std::string_view first = key.substr(0, key.find_first_of(".["));
  return first != "base" && first != "set" &&
         std::find(std::begin(kStudyKeys), std::end(kStudyKeys), first) != std::end(kStudyKeys);
}

// Values that a distribution can give: its finite ends and, for a normal one, its mean.
std::vector<std::string> tried_values(const scenario::AxisDraw& draw) {
  std::vector<double> tried_si = {draw.low_si, draw.high_si};
  if (draw.shape == scenario::DrawShape::kNormal && draw.low_si < draw.first_si &&
      draw.first_si < draw.high_si)
    tried_si.push_back(draw.first_si);
  std::vector<std::string> values;
  for (const double value_si : tried_si) {
    if (!std::isfinite(value_si)) continue;
    values.push_back(draw.unit.empty() ? text::shortest_text(value_si)
                                       : text::format_quantity(value_si, draw.kind, draw.unit, 12));
  }
  return values;
}

// Each value is tried alone over the base, so that a mistake is reported at its own line before
// anything runs.
void try_axis(const text::Node& base, const std::filesystem::path& file, const text::Node& node,
              const scenario::StudyAxis& read) {
  scenario::StudyAxis axis = read;
  if (axis.draw.shape != scenario::DrawShape::kNone) axis.values = tried_values(axis.draw);
  for (std::size_t i = 0; i < axis.values.size(); ++i) {
    text::Node document = base;
    const text::Place place =
        node.kind == text::NodeKind::kArray ? node.items[i].place : node.place;
    text::Node value = node.kind == text::NodeKind::kArray
                           ? node.items[i]
                           : text::parse_value(axis.values[i], place);
    scenario::set_dotted(document, axis.key, std::move(value));
    scenario::scenario_of(document, file);
  }
}

void read_shown(const text::Node& node, Study& study) {
  if (study.sampling != scenario::Sampling::kGrid)
    text::fail(node.place, "shown",
               "names a cell of a grid; of a study with samples, the first sample is drawn");
  if (node.kind != text::NodeKind::kArray || node.items.size() != study.axes.size()) {
    text::fail(node.place, "shown",
               "must be a list of " + std::to_string(study.axes.size()) +
                   " values, one of each axis in their order");
  }
  for (std::size_t i = 0; i < node.items.size(); ++i) {
    const std::vector<std::string>& values = study.axes[i].values;
    study.shown.push_back(scenario::written(node.items[i]));
    if (std::find(values.begin(), values.end(), study.shown.back()) != values.end()) continue;
    std::string all;
    for (const std::string& value : values) all += (all.empty() ? "" : ", ") + value;
    text::fail(node.items[i].place, "shown",
               "\"" + study.shown.back() + "\" is not a value of the axis " + study.axes[i].key +
                   ": " + all);
  }
}

std::filesystem::path base_of(const text::Node& document, const std::filesystem::path& file) {
  const text::Node* base = document.find("base");
  if (base == nullptr)
    text::fail({file.string(), 0, {}}, "base",
               "is missing: a study names the scenario that it varies");
  std::filesystem::path path =
      scenario::path_from(base->place, text::read_text_value(*base, "base"), file);
  if (!path.has_extension()) path += ".toml";
  std::error_code ignored;
  if (!std::filesystem::exists(path, ignored))
    text::fail(base->place, "base", "no such file: `" + path.string() + "`");
  return path;
}

// The base with everything laid over it that is common to all cells; also fills study.sets.
text::Node common_of(const text::Node& document, const std::vector<std::string>& scenario_sets,
                     Study& study) {
  text::Node common = scenario::read_layers(study.base);
  if (const text::Node* set = document.find("set")) {
    for (const auto& [key, node] : scenario::dotted_leaves(*set, "set")) {
      study.sets.push_back(key + "=" + text::toml_text(*node));
      scenario::set_dotted(common, key, *node);
    }
  }
  for (const std::string& set : scenario_sets) {
    study.sets.push_back(set);
    scenario::lay_set_over(common, set);
  }
  return common;
}

void lay_study_set_over(text::Node& document, const std::string& set) {
  if (!set.starts_with("axes.")) return scenario::lay_set_over(document, set);
  text::Node over;
  scenario::lay_set_over(over, set);
  scenario::flatten_axes(over);
  if (document.find("axes") == nullptr) document.put("axes", text::Node{});
  for (auto& [key, node] : over.find("axes")->entries) document.find("axes")->put(key, node);
}

std::vector<scenario::StudyAxis> read_axes(const text::Node& document, const text::Node& common,
                                           const Study& study, const text::Place& file) {
  const text::Node* axes = document.find("axes");
  if (axes == nullptr || axes->entries.empty()) {
    text::fail(axes == nullptr ? file : axes->place, "axes", "has no axis: nothing would run");
  }
  std::vector<scenario::StudyAxis> read;
  double cells_ratio = 1.0;
  for (const auto& [key, node] : axes->entries) {
    read.push_back(scenario::read_axis(node, key));
    if (read.back().draw.shape == scenario::DrawShape::kNone)
      cells_ratio *= static_cast<double>(read.back().values.size());
    if (cells_ratio > kMostCells_ratio) {
      text::fail(node.place, "axes." + key, "the grid has more than a million cells");
    }
    try_axis(common, study.base, node, read.back());
  }
  return read;
}

}  // namespace

Study load_study(const std::filesystem::path& file, const std::vector<std::string>& sets) {
  text::Node document = text::read_document(file);
  scenario::flatten_axes(document);
  std::vector<std::string> scenario_sets;
  for (const std::string& set : sets) {
    if (is_study_key(set.substr(0, set.find('='))))
      lay_study_set_over(document, set);
    else
      scenario_sets.push_back(set);
  }
  text::refuse_other_keys(document, "", kStudyKeys);
  Study study;
  study.name = file.stem().string();
  study.base = base_of(document, file);
  if (const text::Node* title = document.find("title"))
    study.title = text::read_text_value(*title, "title");
  if (const text::Node* replicas = document.find("replicas"))
    study.replicas = static_cast<int>(text::read_whole(*replicas, "replicas", 1, 100'000));
  if (const text::Node* key = document.find("rng_key")) {
    study.rng_key =
        static_cast<std::uint64_t>(text::read_whole(*key, "rng_key", 0, 9'223'372'036'854'775'807));
  }
  const text::Node common = common_of(document, scenario_sets, study);
  study.axes = read_axes(document, common, study, {file.string(), 0, {}});
  read_sampling(document, {file.string(), 0, {}}, study);
  if (const text::Node* stop = document.find("stop")) read_stop(*stop, study);
  if (const text::Node* shown = document.find("shown")) read_shown(*shown, study);
  return study;
}

}  // namespace sim::sweep
