#include "sim/study/search/search.h"

#include <algorithm>

#include "sim/scenario/faults/catalog.h"
#include "sim/scenario/layers.h"
#include "sim/scenario/overlay.h"
#include "sim/scenario/study_axes.h"
#include "sim/study/search/held_table.h"
#include "sim/text/nearest.h"
#include "sim/text/reader.h"

namespace sim::search {
namespace {

const std::string kSearchKeys[] = {"passes", "rng_key", "hold_table", "ranges", "fault"};
const std::string kFaultKeys[] = {"kinds", "severities", "from", "lasts"};
constexpr std::int64_t kMostPasses = 1'000'000;

const std::vector<text::Node>& list_of(const text::Node& node, const std::string& key) {
  if (node.kind != text::NodeKind::kArray || node.items.empty())
    text::fail(node.place, key, "must be a list with at least one item");
  return node.items;
}

const text::Node& part_of(const text::Node& table, const std::string& prefix, const char* key) {
  if (const text::Node* node = table.find(key)) return *node;
  text::fail(table.place, prefix + key, "is missing");
}

void read_times(const text::Node& node, const std::string& key, double& low_s, double& high_s) {
  if (node.kind != text::NodeKind::kArray || node.items.size() != 2)
    text::fail(node.place, key, "must be two times: [from, to]");
  low_s = text::read_quantity_si(node.items[0], key + "[0]", text::Kind::kTime, {0.0, 1e6});
  high_s = text::read_quantity_si(node.items[1], key + "[1]", text::Kind::kTime, {0.0, 1e6});
  if (low_s > high_s) text::fail(node.place, key, "the second time is before the first");
}

FaultRange read_fault_range(const text::Node& table, const std::string& prefix) {
  text::refuse_other_keys(table, prefix, kFaultKeys);
  FaultRange range;
  std::vector<std::string> known;
  for (const scenario::FaultKind& kind : scenario::fault_kinds()) known.push_back(kind.name);
  const std::string kinds = prefix + "kinds";
  for (const text::Node& item : list_of(part_of(table, prefix, "kinds"), kinds)) {
    const std::string& name = text::read_text_value(item, kinds);
    if (std::find(known.begin(), known.end(), name) == known.end())
      text::fail(item.place, kinds, "no fault \"" + name + "\" (`list faults` names them)",
                 text::nearest_name(name, known));
    range.kinds.push_back(name);
  }
  range.severities = {scenario::Severity::kMild, scenario::Severity::kMedium,
                      scenario::Severity::kSevere};
  if (const text::Node* words = table.find("severities")) {
    range.severities.clear();
    for (const text::Node& item : list_of(*words, prefix + "severities"))
      range.severities.push_back(static_cast<scenario::Severity>(
          text::read_word(item, prefix + "severities", scenario::kSeverities)));
    std::sort(range.severities.begin(), range.severities.end());
  }
  read_times(part_of(table, prefix, "from"), prefix + "from", range.first_s, range.last_s);
  read_times(part_of(table, prefix, "lasts"), prefix + "lasts", range.shortest_s, range.longest_s);
  if (!(range.shortest_s > 0.0)) text::fail(table.place, prefix + "lasts", "must be longer than 0");
  return range;
}

/// Loads the scenario with one change, and tells a mistake at the line of the range.
void try_changes(const Search& search, const Changes& changes, const text::Node& node,
                 const std::string& key) {
  try {
    scenario_with(search, changes);
  } catch (const text::InputError& error) {
    text::fail(node.place, key, std::string("the scenario does not take this: ") + error.what());
  }
}

void read_range(const text::Node& node, const std::string& key, Search& search) {
  const std::string name = "search.ranges." + key;
  if (key == "search" || key.starts_with("search."))
    text::fail(node.place, name, "a pass does not read this section: nothing would be varied");
  search.ranges.push_back(scenario::read_axis(node, key, "search.ranges"));
  const scenario::StudyAxis& range = search.ranges.back();
  if (range.draw.shape == scenario::DrawShape::kNormal)
    text::fail(node.place, name,
               "a range has two ends: write {uniform = [from, to]} or {log_uniform = [from, to]}");
  std::vector<std::string> tried = range.values;
  if (tried.empty())
    tried = {written_value(range, range.draw.first_si), written_value(range, range.draw.second_si)};
  for (const std::string& value : tried) {
    Changes changes = no_changes(search);
    changes.values.back() = value;
    try_changes(search, changes, node, name);
  }
}

void read_fault(const text::Node& table, Search& search) {
  const std::string prefix = "search.fault[" + std::to_string(search.faults.size()) + "].";
  if (table.kind != text::NodeKind::kTable)
    text::fail(table.place, "search.fault", "must be a table: [[search.fault]]");
  search.faults.push_back(read_fault_range(table, prefix));
  const FaultRange& range = search.faults.back();
  for (const std::string& kind : range.kinds) {
    Changes changes = no_changes(search);
    changes.faults.back() = {kind, range.severities.front(), range.first_s, range.longest_s};
    try_changes(search, changes, table, prefix + "kinds");
  }
}

void read_section(const text::Node& section, Search& search) {
  text::refuse_other_keys(section, "search.", kSearchKeys);
  if (const text::Node* passes = section.find("passes"))
    search.passes = static_cast<int>(text::read_whole(*passes, "search.passes", 1, kMostPasses));
  if (const text::Node* key = section.find("rng_key"))
    search.rng_key = static_cast<std::uint64_t>(
        text::read_whole(*key, "search.rng_key", 0, std::int64_t{1} << 32));
  if (const text::Node* hold = section.find("hold_table")) {
    if (hold->kind != text::NodeKind::kFlag)
      text::fail(hold->place, "search.hold_table", "must be true or false");
    search.hold_table = hold->flag;
  }
  // Before ranges and faults are tried, so that each try is a case as it will run.
  if (search.hold_table) search.held = held_table_of(search.base);
  if (const text::Node* ranges = section.find("ranges")) {
    if (ranges->kind != text::NodeKind::kTable)
      text::fail(ranges->place, "search.ranges", "must be a section: [search.ranges]");
    text::Node holder;  // where dotted keys and sections of ranges become one list
    holder.put("axes", *ranges);
    scenario::flatten_axes(holder);
    for (const auto& [key, node] : holder.find("axes")->entries) read_range(node, key, search);
  }
  if (const text::Node* faults = section.find("fault"))
    for (const text::Node& table : list_of(*faults, "search.fault")) read_fault(table, search);
  if (search.dimensions() == 0)
    text::fail(section.place, "search", "has no range and no fault: nothing would be varied");
}

}  // namespace

Search load_search(const std::filesystem::path& file, const std::vector<std::string>& sets,
                   const std::filesystem::path& controller) {
  Search search{.name = file.stem().string(), .file = file, .sets = {}, .document = {}, .base = {}};
  search.document = scenario::read_layers(file);
  for (const std::string& set : sets) {
    scenario::lay_set_over(search.document, set);
    if (!set.starts_with("search.")) search.sets.push_back(set);
  }
  if (!controller.empty())
    scenario::set_dotted(search.document, "controller.library",
                         text::text_node(std::filesystem::absolute(controller).string(),
                                         {{}, 0, "controller.library"}));
  const text::Node* section = search.document.find("search");
  const text::Place whole{file.string(), 0, {}};
  if (section == nullptr)
    text::fail(whole, "search", "is missing: [search.ranges] states what is varied, and how far");
  if (section->kind != text::NodeKind::kTable)
    text::fail(section->place, "search", "must be a section: [search]");
  const text::Node stated = *section;
  search.document.drop("search");
  search.base = scenario::scenario_of(search.document, file);
  if (search.base.requirements.empty())
    text::fail(whole, "require", "is missing: without a requirement there is no margin to look at");
  read_section(stated, search);
  return search;
}

}  // namespace sim::search
