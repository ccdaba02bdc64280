#include "sim/study/check/suite.h"

#include <algorithm>

#include "sim/scenario/layers.h"
#include "sim/scenario/loader.h"
#include "sim/scenario/overlay.h"
#include "sim/scenario/requirements.h"
#include "sim/scenario/study_axes.h"
#include "sim/text/reader.h"

namespace sim::check {
namespace {

constexpr std::size_t kMostCases = 10'000;
const std::string kSuiteKeys[] = {"title", "baseline", "margin", "family"};
const std::string kFamilyKeys[] = {"name",    "base",     "set",      "axes",
                                   "require", "rng_keys", "mandatory"};

struct Family {
  std::string name;
  std::string prefix;  // "family[2]."
  text::Place place;
  bool mandatory = true;
  std::filesystem::path base;
  text::Node common;              // base scenario with set
  std::vector<std::string> sets;  // the same as KEY=VALUE
  std::vector<scenario::StudyAxis> axes;
  std::vector<const text::Node*> values;  // the node in which each axis was written
  std::vector<const text::Node*> requirements;
  std::vector<std::uint64_t> keys;  // empty: the scenario's own key
};

std::string read_name(const text::Node& table, const std::string& key) {
  const text::Node* node = table.find("name");
  if (node == nullptr) text::fail(table.place, key, "is missing");
  const std::string& name = text::read_text_value(*node, key);
  const bool plain = std::none_of(name.begin(), name.end(), [](char c) {
    return c == '/' || static_cast<unsigned char>(c) < 0x20;
  });
  if (name.empty() || !plain)
    text::fail(node->place, key, "must be words without / and control characters");
  return name;
}

std::filesystem::path read_base(const text::Node& table, const std::string& key,
                                const std::filesystem::path& file) {
  const text::Node* node = table.find("base");
  if (node == nullptr)
    text::fail(table.place, key, "is missing: the scenario that the family varies");
  std::filesystem::path path =
      scenario::path_from(node->place, text::read_text_value(*node, key), file);
  if (!path.has_extension()) path += ".toml";
  std::error_code ignored;
  if (!std::filesystem::exists(path, ignored))
    text::fail(node->place, key, "no such file: `" + path.string() + "`");
  return path.lexically_normal();
}

void read_family_axes(text::Node& table, Family& family) {
  scenario::flatten_axes(table);
  const text::Node* axes = table.find("axes");
  if (axes == nullptr) return;
  for (const auto& [key, node] : axes->entries) {
    family.axes.push_back(scenario::read_axis(node, key));
    family.values.push_back(&node);
    if (family.axes.back().draw.shape != scenario::DrawShape::kNone)
      text::fail(
          node.place, family.prefix + "axes." + key,
          "draws its values at random: a suite lists values, so that its cases keep their names");
  }
}

std::vector<std::uint64_t> read_keys(const text::Node& list, const std::string& key) {
  if (list.kind != text::NodeKind::kArray || list.items.empty())
    text::fail(list.place, key, "must be a list of whole numbers, at least one");
  std::vector<std::uint64_t> keys;
  for (const text::Node& item : list.items) {
    keys.push_back(static_cast<std::uint64_t>(text::read_whole(item, key, 0, INT64_MAX)));
    if (std::count(keys.begin(), keys.end(), keys.back()) > 1)
      text::fail(item.place, key, std::to_string(keys.back()) + " appears twice");
  }
  return keys;
}

Family read_family(text::Node& table, std::size_t index, const std::filesystem::path& file) {
  Family family;
  family.prefix = "family[" + std::to_string(index) + "].";
  family.place = table.place;
  if (table.kind != text::NodeKind::kTable)
    text::fail(table.place, family.prefix, "must be a table: [[family]]");
  text::refuse_other_keys(table, family.prefix, kFamilyKeys);
  family.name = read_name(table, family.prefix + "name");
  family.base = read_base(table, family.prefix + "base", file);
  if (const text::Node* mandatory = table.find("mandatory")) {
    if (mandatory->kind != text::NodeKind::kFlag)
      text::fail(mandatory->place, family.prefix + "mandatory", "must be true or false");
    family.mandatory = mandatory->flag;
  }
  if (const text::Node* keys = table.find("rng_keys"))
    family.keys = read_keys(*keys, family.prefix + "rng_keys");
  family.common = scenario::read_layers(family.base);
  if (const text::Node* set = table.find("set")) {
    for (const auto& [key, node] : scenario::dotted_leaves(*set, family.prefix + "set")) {
      family.sets.push_back(key + "=" + text::toml_text(*node));
      scenario::set_dotted(family.common, key, *node);
    }
  }
  if (const text::Node* list = table.find("require")) {
    if (list->kind != text::NodeKind::kArray)
      text::fail(list->place, family.prefix + "require",
                 "must be a list of tables: [[family.require]]");
    for (const text::Node& item : list->items) family.requirements.push_back(&item);
  }
  read_family_axes(table, family);
  return family;
}

/// Appends the family's requirements to those of the document.
void add_requirements(const Family& family, text::Node& document, SuiteCase& one) {
  const text::Node* there = document.find("require");
  std::size_t index = there == nullptr ? 0 : there->items.size();
  for (const text::Node* requirement : family.requirements) {
    const std::string key = "require[" + std::to_string(index++) + "]";
    one.sets.push_back(key + "=" + text::toml_text(*requirement));
    scenario::set_dotted(document, key, *requirement);
  }
}

/// One cell of the family's grid; in `cell` the last axis counts fastest.
void add_cell(const Family& family, std::size_t cell, Suite& suite) {
  text::Node document = family.common;
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
    const scenario::StudyAxis& read = family.axes[axis];
    const text::Node& written = *family.values[axis];
    text::Node value = written.kind == text::NodeKind::kArray
                           ? written.items[at[axis]]
                           : text::parse_value(read.values[at[axis]], written.place);
    one.sets.push_back(read.key + "=" + text::toml_text(value));
    values += (values.empty() ? "" : ", ") + read.values[at[axis]];
    scenario::set_dotted(document, read.key, std::move(value));
  }
  if (!values.empty()) one.id += "/" + values;
  add_requirements(family, document, one);
  one.scenario = scenario::scenario_of(document, family.base);
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
  for (const scenario::StudyAxis& axis : family.axes) cells *= axis.values.size();
  if (suite.cases.size() + cells * std::max<std::size_t>(1, family.keys.size()) > kMostCases)
    text::fail(family.place, family.prefix + "axes", "more than 10000 cases in one suite");
  for (std::size_t cell = 0; cell < cells; ++cell) add_cell(family, cell, suite);
}

void read_margins(const text::Node& table, Suite& suite) {
  if (table.kind != text::NodeKind::kTable) text::fail(table.place, "margin", "must be a section");
  for (const auto& [name, node] : table.entries) {
    const std::string key = "margin." + name;
    const scenario::MetricName& metric =
        scenario::read_metric(text::text_node(name, node.place), key);
    suite.margins.push_back(
        {name,
         text::read_quantity_si(node, key, scenario::kind_of_metric(metric.unit), {0.0, 1e30})});
  }
}

}  // namespace

void set_rng_key(SuiteCase& one, std::uint64_t rng_key) {
  one.scenario.rng_key = rng_key;
  std::erase_if(one.sets, [](const std::string& set) { return set.starts_with("rng_key="); });
  one.sets.push_back("rng_key=" + std::to_string(rng_key));
}

Suite load_suite(const std::filesystem::path& file) {
  text::Node document = text::read_document(file);
  text::refuse_other_keys(document, "", kSuiteKeys);
  Suite suite;
  suite.name = file.stem().string();
  if (const text::Node* title = document.find("title"))
    suite.title = text::read_text_value(*title, "title");
  if (const text::Node* baseline = document.find("baseline"))
    suite.baseline =
        scenario::path_from(baseline->place, text::read_text_value(*baseline, "baseline"), file);
  if (const text::Node* margin = document.find("margin")) read_margins(*margin, suite);
  text::Node* families = document.find("family");
  if (families == nullptr || families->kind != text::NodeKind::kArray || families->items.empty())
    text::fail(families == nullptr ? text::Place{file.string(), 0, {}} : families->place, "family",
               "has no family: nothing would run ([[family]])");
  std::vector<Family> read;
  for (text::Node& table : families->items) {
    Family family = read_family(table, read.size(), file);
    for (const Family& earlier : read)
      if (earlier.name == family.name)
        text::fail(
            family.place, family.prefix + "name",
            "\"" + family.name + "\" is also the name of the family at " + earlier.place.text());
    add_family(family, suite);
    read.push_back(std::move(family));
  }
  return suite;
}

}  // namespace sim::check
