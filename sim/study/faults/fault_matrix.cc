#include "sim/study/faults/fault_matrix.h"

#include <fmt/format.h>

#include <algorithm>

#include "sim/scenario/faults/catalog.h"
#include "sim/scenario/layers.h"
#include "sim/scenario/loader.h"
#include "sim/scenario/overlay.h"
#include "sim/text/input_error.h"
#include "sim/text/nearest.h"
#include "sim/text/reader.h"

namespace sim::faults {
namespace {

const std::string kMatrixKeys[] = {"title", "kinds", "severities", "known", "scenario"};
const std::string kScenarioKeys[] = {"name", "base", "set", "from", "skips", "degraded"};
constexpr double kFrom_s = 1.0;

std::vector<std::string> kind_names() {
  std::vector<std::string> names;
  for (const scenario::FaultKind& kind : scenario::fault_kinds()) names.push_back(kind.name);
  return names;
}

const std::vector<text::Node>& list_of(const text::Node& node, const std::string& key) {
  if (node.kind != text::NodeKind::kArray) text::fail(node.place, key, "must be a list");
  return node.items;
}

std::vector<std::string> read_kinds(const text::Node& node, const std::string& key) {
  const std::vector<std::string> names = kind_names();
  std::vector<std::string> kinds;
  for (const text::Node& item : list_of(node, key)) {
    const std::string& name = text::read_text_value(item, key);
    if (std::find(names.begin(), names.end(), name) == names.end())
      text::fail(item.place, key, "no fault \"" + name + "\" (`list faults` names them)",
                 text::nearest_name(name, names));
    if (std::find(kinds.begin(), kinds.end(), name) != kinds.end())
      text::fail(item.place, key, "\"" + name + "\" appears twice");
    kinds.push_back(name);
  }
  if (kinds.empty() && key == "kinds") text::fail(node.place, key, "names no fault");
  return kinds;
}

std::filesystem::path read_base(const text::Node& table, const std::string& prefix,
                                const std::filesystem::path& file) {
  const text::Node* node = table.find("base");
  if (node == nullptr)
    text::fail(table.place, prefix + "base", "is missing: the scenario that gets the faults");
  std::filesystem::path path =
      scenario::path_from(node->place, text::read_text_value(*node, prefix + "base"), file);
  if (!path.has_extension()) path += ".toml";
  std::error_code ignored;
  if (!std::filesystem::exists(path, ignored))
    text::fail(node->place, prefix + "base", "no such file: `" + path.string() + "`");
  return path.lexically_normal();
}

MatrixScenario read_scenario(const text::Node& table, std::size_t index,
                             const std::filesystem::path& file,
                             const std::vector<std::string>& more) {
  const std::string prefix = fmt::format("scenario[{}].", index);
  text::refuse_other_keys(table, prefix, kScenarioKeys);
  MatrixScenario one{.base = read_base(table, prefix, file), .from_s = kFrom_s};
  one.place = table.place.text();
  const text::Node* name = table.find("name");
  if (name == nullptr) text::fail(table.place, prefix + "name", "is missing");
  one.name = text::read_text_value(*name, prefix + "name");
  if (one.name.empty() || one.name.find('/') != std::string::npos)
    text::fail(name->place, prefix + "name", "must be words without /");
  if (const text::Node* from = table.find("from"))
    one.from_s = text::read_quantity_si(*from, prefix + "from", text::Kind::kTime, {0.0, 1e6});
  if (const text::Node* skips = table.find("skips"))
    one.skips = read_kinds(*skips, prefix + "skips");
  if (const text::Node* set = table.find("set"))
    for (const auto& [key, node] : scenario::dotted_leaves(*set, prefix + "set"))
      one.sets.push_back(key + "=" + text::toml_text(*node));
  one.sets.insert(one.sets.end(), more.begin(), more.end());
  one.own = scenario::load_scenario(one.base, one.sets).requirements.size();
  if (one.own == 0)
    text::fail(table.place, prefix + "base", "has no requirements, so no fault can violate any");
  if (const text::Node* degraded = table.find("degraded")) {
    std::size_t at = one.own;
    for (const text::Node& item : list_of(*degraded, prefix + "degraded"))
      one.degraded.push_back(fmt::format("require[{}]={}", at++, text::toml_text(item)));
    std::vector<std::string> all = one.sets;
    all.insert(all.end(), one.degraded.begin(), one.degraded.end());
    try {
      scenario::load_scenario(one.base, all);
    } catch (const text::InputError& error) {
      text::fail(degraded->place, prefix + "degraded", error.what());
    }
  }
  return one;
}

void read_known(const text::Node& node, FaultMatrix& matrix) {
  std::vector<std::string> ids;
  for (const MatrixCell& cell : cells_of(matrix)) ids.push_back(cell.id(matrix));
  for (const text::Node& item : list_of(node, "known")) {
    const std::string& id = text::read_text_value(item, "known");
    const std::string family = id.ends_with("/*") ? id.substr(0, id.size() - 1) : id;
    const std::size_t before = matrix.known.size();
    for (const std::string& one : ids)
      if (one == id || (family != id && one.starts_with(family))) matrix.known.push_back(one);
    if (matrix.known.size() == before)
      text::fail(item.place, "known", "no cell \"" + id + "\": a cell is KIND/SEVERITY/SCENARIO",
                 text::nearest_name(id, ids));
  }
}

}  // namespace

FaultMatrix load_matrix(const std::filesystem::path& file, const std::vector<std::string>& sets) {
  const text::Node document = text::read_document(file);
  text::refuse_other_keys(document, "", kMatrixKeys);
  FaultMatrix matrix{.name = file.stem().string(), .kinds = kind_names()};
  if (const text::Node* title = document.find("title"))
    matrix.title = text::read_text_value(*title, "title");
  if (const text::Node* kinds = document.find("kinds")) matrix.kinds = read_kinds(*kinds, "kinds");
  matrix.severities = {scenario::Severity::kMild, scenario::Severity::kMedium,
                       scenario::Severity::kSevere};
  if (const text::Node* words = document.find("severities")) {
    matrix.severities.clear();
    for (const text::Node& item : list_of(*words, "severities"))
      matrix.severities.push_back(static_cast<scenario::Severity>(
          text::read_word(item, "severities", scenario::kSeverities)));
    if (matrix.severities.empty()) text::fail(words->place, "severities", "names no severity");
  }
  const text::Node* scenarios = document.find("scenario");
  if (scenarios == nullptr || list_of(*scenarios, "scenario").empty())
    text::fail(document.place, "scenario", "is missing: [[scenario]] with name and base");
  for (const text::Node& table : scenarios->items) {
    matrix.scenarios.push_back(read_scenario(table, matrix.scenarios.size(), file, sets));
    for (std::size_t k = 0; k + 1 < matrix.scenarios.size(); ++k)
      if (matrix.scenarios[k].name == matrix.scenarios.back().name)
        text::fail(table.place, fmt::format("scenario[{}].name", matrix.scenarios.size() - 1),
                   "appears twice: cells are named by it");
  }
  if (const text::Node* known = document.find("known")) read_known(*known, matrix);
  return matrix;
}

std::string MatrixCell::id(const FaultMatrix& matrix) const {
  const std::string& name = matrix.scenarios[scenario].name;
  if (kind.empty()) return name;
  return fmt::format("{}/{}/{}", kind, scenario::kSeverities[static_cast<std::size_t>(severity)],
                     name);
}

std::vector<std::string> MatrixCell::sets(const FaultMatrix& matrix) const {
  const MatrixScenario& one = matrix.scenarios[scenario];
  std::vector<std::string> sets = one.sets;
  if (kind.empty()) return sets;
  const std::vector<scenario::FaultKind>& kinds = scenario::fault_kinds();
  const auto found = std::find_if(kinds.begin(), kinds.end(),
                                  [&](const auto& one_kind) { return one_kind.name == kind; });
  const std::string from = found->of_storage ? "" : fmt::format(", from = \"{} s\"", one.from_s);
  sets.push_back(fmt::format("fault=[{{kind = \"{}\"{}, severity = \"{}\"}}]", kind, from,
                             scenario::kSeverities[static_cast<std::size_t>(severity)]));
  return sets;
}

std::vector<MatrixCell> cells_of(const FaultMatrix& matrix) {
  std::vector<MatrixCell> cells;
  for (std::size_t one = 0; one < matrix.scenarios.size(); ++one)
    cells.push_back({.kind = "", .scenario = one});
  for (const std::string& kind : matrix.kinds)
    for (const scenario::Severity severity : matrix.severities)
      for (std::size_t one = 0; one < matrix.scenarios.size(); ++one) {
        const std::vector<std::string>& skips = matrix.scenarios[one].skips;
        if (std::find(skips.begin(), skips.end(), kind) == skips.end())
          cells.push_back({kind, severity, one});
      }
  return cells;
}

}  // namespace sim::faults
