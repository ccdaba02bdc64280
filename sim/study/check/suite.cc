#include "sim/study/check/suite.h"

#include <algorithm>

#include "sim/scenario/layers.h"
#include "sim/scenario/loader.h"
#include "sim/scenario/overlay.h"
#include "sim/scenario/requirements.h"
#include "sim/scenario/study_axes.h"
#include "sim/text/reader.h"

namespace sim {
namespace {

constexpr std::size_t kMostCases = 10'000;
const std::string kSuiteKeys[] = {"title", "baseline", "margin", "family"};
const std::string kFamilyKeys[] = {"name",    "base",     "set",      "axes",
                                   "require", "rng_keys", "mandatory"};

struct Family {
  std::string name;
  std::string prefix;  // "family[2]."
  Place place;
  bool mandatory = true;
  std::filesystem::path base;
  Node common;                    // base and set
  std::vector<std::string> sets;  // the same as KEY=VALUE
  std::vector<StudyAxis> axes;
  std::vector<const Node*> values;  // where each axis was written
  std::vector<const Node*> requirements;
  std::vector<std::uint64_t> keys;  // empty: the scenario's own
};

std::string read_name(const Node& table, const std::string& key) {
  const Node* node = table.find("name");
  if (node == nullptr) fail(table.place, key, "is missing");
  const std::string& name = read_text_value(*node, key);
  const bool plain = std::none_of(name.begin(), name.end(), [](char c) {
    return c == '/' || static_cast<unsigned char>(c) < 0x20;
  });
  if (name.empty() || !plain)
    fail(node->place, key, "must be words without / and control characters");
  return name;
}

std::filesystem::path read_base(const Node& table, const std::string& key,
                                const std::filesystem::path& file) {
  const Node* node = table.find("base");
  if (node == nullptr) fail(table.place, key, "is missing: the scenario that the family varies");
  std::filesystem::path path = path_from(node->place, read_text_value(*node, key), file);
  if (!path.has_extension()) path += ".toml";
  std::error_code ignored;
  if (!std::filesystem::exists(path, ignored))
    fail(node->place, key, "no such file: `" + path.string() + "`");
  return path.lexically_normal();
}

void read_family_axes(Node& table, Family& family) {
  flatten_axes(table);
  const Node* axes = table.find("axes");
  if (axes == nullptr) return;
  for (const auto& [key, node] : axes->entries) {
    family.axes.push_back(read_axis(node, key));
    family.values.push_back(&node);
    if (family.axes.back().draw.shape != DrawShape::kNone)
      fail(node.place, family.prefix + "axes." + key,
           "draws its values: a suite lists them, so that its cases keep their names");
  }
}

std::vector<std::uint64_t> read_keys(const Node& list, const std::string& key) {
  if (list.kind != NodeKind::kArray || list.items.empty())
    fail(list.place, key, "must be a list of whole numbers, at least one");
  std::vector<std::uint64_t> keys;
  for (const Node& item : list.items) {
    keys.push_back(static_cast<std::uint64_t>(read_whole(item, key, 0, INT64_MAX)));
    if (std::count(keys.begin(), keys.end(), keys.back()) > 1)
      fail(item.place, key, std::to_string(keys.back()) + " stands twice");
  }
  return keys;
}

Family read_family(Node& table, std::size_t index, const std::filesystem::path& file) {
  Family family;
  family.prefix = "family[" + std::to_string(index) + "].";
  family.place = table.place;
  if (table.kind != NodeKind::kTable)
    fail(table.place, family.prefix, "must be a table: [[family]]");
  refuse_other_keys(table, family.prefix, kFamilyKeys);
  family.name = read_name(table, family.prefix + "name");
  family.base = read_base(table, family.prefix + "base", file);
  if (const Node* mandatory = table.find("mandatory")) {
    if (mandatory->kind != NodeKind::kFlag)
      fail(mandatory->place, family.prefix + "mandatory", "must be true or false");
    family.mandatory = mandatory->flag;
  }
  if (const Node* keys = table.find("rng_keys"))
    family.keys = read_keys(*keys, family.prefix + "rng_keys");
  family.common = read_layers(family.base);
  if (const Node* set = table.find("set")) {
    for (const auto& [key, node] : dotted_leaves(*set, family.prefix + "set")) {
      family.sets.push_back(key + "=" + toml_text(*node));
      set_dotted(family.common, key, *node);
    }
  }
  if (const Node* list = table.find("require")) {
    if (list->kind != NodeKind::kArray)
      fail(list->place, family.prefix + "require", "must be a list of tables: [[family.require]]");
    for (const Node& item : list->items) family.requirements.push_back(&item);
  }
  read_family_axes(table, family);
  return family;
}

/// The family's requirements behind those that the document has.
void add_requirements(const Family& family, Node& document, SuiteCase& one) {
  const Node* there = document.find("require");
  std::size_t index = there == nullptr ? 0 : there->items.size();
  for (const Node* requirement : family.requirements) {
    const std::string key = "require[" + std::to_string(index++) + "]";
    one.sets.push_back(key + "=" + toml_text(*requirement));
    set_dotted(document, key, *requirement);
  }
}

/// One cell of the family's grid: `cell` counts its last axis fastest.
void add_cell(const Family& family, std::size_t cell, Suite& suite) {
  Node document = family.common;
  SuiteCase one{.id = family.name, .family = family.name, .mandatory = family.mandatory};
  one.base = family.base;
  one.sets = family.sets;
  one.place = family.place.text();
  std::string values;
  std::size_t rest = cell;
  std::vector<std::size_t> at(family.axes.size());
  for (std::size_t axis = family.axes.size(); axis-- > 0;) {
    at[axis] = rest % family.axes[axis].values.size();
    rest /= family.axes[axis].values.size();
  }
  for (std::size_t axis = 0; axis < family.axes.size(); ++axis) {
    const StudyAxis& read = family.axes[axis];
    const Node& written = *family.values[axis];
    Node value = written.kind == NodeKind::kArray
                     ? written.items[at[axis]]
                     : parse_value(read.values[at[axis]], written.place);
    one.sets.push_back(read.key + "=" + toml_text(value));
    values += (values.empty() ? "" : ", ") + read.values[at[axis]];
    set_dotted(document, read.key, std::move(value));
  }
  if (!values.empty()) one.id += "/" + values;
  add_requirements(family, document, one);
  one.scenario = scenario_of(document, family.base);
  if (family.keys.empty()) {
    suite.cases.push_back(std::move(one));
    return;
  }
  for (const std::uint64_t key : family.keys) {
    SuiteCase keyed = one;
    if (family.keys.size() > 1) keyed.id += "/key " + std::to_string(key);
    set_rng_key(keyed, key);
    suite.cases.push_back(std::move(keyed));
  }
}

void add_family(const Family& family, Suite& suite) {
  std::size_t cells = 1;
  for (const StudyAxis& axis : family.axes) cells *= axis.values.size();
  if (suite.cases.size() + cells * std::max<std::size_t>(1, family.keys.size()) > kMostCases)
    fail(family.place, family.prefix + "axes", "more than 10000 cases in one suite");
  for (std::size_t cell = 0; cell < cells; ++cell) add_cell(family, cell, suite);
}

void read_margins(const Node& table, Suite& suite) {
  if (table.kind != NodeKind::kTable) fail(table.place, "margin", "must be a section");
  for (const auto& [name, node] : table.entries) {
    const std::string key = "margin." + name;
    const MetricName& metric = read_metric(text_node(name, node.place), key);
    suite.margins.push_back(
        {name, read_quantity_si(node, key, kind_of_metric(metric.unit), {0.0, 1e30})});
  }
}

}  // namespace

void set_rng_key(SuiteCase& one, std::uint64_t rng_key) {
  one.scenario.rng_key = rng_key;
  std::erase_if(one.sets, [](const std::string& set) { return set.starts_with("rng_key="); });
  one.sets.push_back("rng_key=" + std::to_string(rng_key));
}

Suite load_suite(const std::filesystem::path& file) {
  Node document = read_document(file);
  refuse_other_keys(document, "", kSuiteKeys);
  Suite suite;
  suite.name = file.stem().string();
  if (const Node* title = document.find("title")) suite.title = read_text_value(*title, "title");
  if (const Node* baseline = document.find("baseline"))
    suite.baseline = path_from(baseline->place, read_text_value(*baseline, "baseline"), file);
  if (const Node* margin = document.find("margin")) read_margins(*margin, suite);
  Node* families = document.find("family");
  if (families == nullptr || families->kind != NodeKind::kArray || families->items.empty())
    fail(families == nullptr ? Place{file.string(), 0, {}} : families->place, "family",
         "holds no family: nothing would run ([[family]])");
  std::vector<Family> read;
  for (Node& table : families->items) {
    Family family = read_family(table, read.size(), file);
    for (const Family& earlier : read)
      if (earlier.name == family.name)
        fail(family.place, family.prefix + "name",
             "\"" + family.name + "\" is also the family at " + earlier.place.text());
    add_family(family, suite);
    read.push_back(std::move(family));
  }
  return suite;
}

}  // namespace sim
