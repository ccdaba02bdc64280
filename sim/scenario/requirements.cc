#include "sim/scenario/requirements.h"

#include <algorithm>
#include <string>

#include "sim/scenario/fault_severity.h"
#include "sim/scenario/faults/catalog.h"
#include "sim/scenario/temporal_rule.h"
#include "sim/text/nearest.h"
#include "sim/text/reader.h"

namespace sim::scenario {
namespace {

const std::vector<text::Node>& tables_of(const text::Node& list, std::string_view key) {
  if (list.kind != text::NodeKind::kArray)
    text::fail(list.place, key, "must be a list of tables: [[" + std::string(key) + "]]");
  for (const text::Node& item : list.items) {
    if (item.kind != text::NodeKind::kTable)
      text::fail(item.place, key, "must be a table: [[" + std::string(key) + "]]");
  }
  return list.items;
}

std::string item_prefix(std::string_view key, std::size_t index) {
  return std::string(key) + "[" + std::to_string(index) + "].";
}

const text::Node& must_have(const text::Node& table, const std::string& prefix,
                            const std::string& key) {
  const text::Node* node = table.find(key);
  if (node == nullptr) text::fail(table.place, prefix + key, "is missing");
  return *node;
}

/// The range of values that a pass can give for a metric.
text::Range range_of_metric(const MetricName& metric) {
  const std::string_view name = metric.name;
  const bool share = name.starts_with("within_") || name.ends_with("_sensed") ||
                     name.starts_with("on_target") || name == "gap_ratio" ||
                     name == "secondary_ratio" || name == "may_move_seed" ||
                     (name.starts_with("spacing_") && !name.starts_with("spacing_precision") &&
                      metric.unit == "ratio");
  if (share) return {0.0, 1.0};
  const bool size = metric.unit == "m3" || metric.unit == "m3/m2" || name.ends_with("_sd") ||
                    name.find("abs") != std::string_view::npos;
  const bool count = metric.unit == "1" && name != "lag_seeds";
  return {size || count || metric.unit == "ratio" ? 0.0 : text::kAnyValue.low_si,
          text::kAnyValue.high_si};
}

/// Refuses a bound that no pass can violate, which says nothing, and one that no pass can meet,
/// which is a mistake.
void refuse_idle_bound(const Requirement& requirement, const MetricName& metric,
                       const text::Node& bound, const std::string& key) {
  const text::Range range = range_of_metric(metric);
  const bool least = requirement.sense == BoundSense::kAtLeast;
  if (least ? requirement.bound <= range.low_si : requirement.bound >= range.high_si)
    text::fail(bound.place, key, "every pass meets this: the requirement can never be violated");
  if (least ? requirement.bound <= range.high_si : requirement.bound >= range.low_si) return;
  if (range.high_si == 1.0) {
    const std::string percent =
        requirement.bound <= 100.0
            ? "; did you mean \"" + text::shortest_text(requirement.bound) + " %\"?"
            : "";
    text::fail(bound.place, key,
               "no pass can meet this: " + std::string(metric.name) +
                   " is a share, from 0 to 1 or \"0 %\" to \"100 %\"" + (least ? percent : ""));
  }
  text::fail(bound.place, key,
             "no pass can meet this: " + std::string(metric.name) + " is never below 0");
}

/// Refuses two bounds on one metric that no value can meet together.
void refuse_contradiction(const std::vector<Requirement>& earlier, const Requirement& one,
                          const text::Node& table, const std::string& prefix) {
  for (std::size_t k = 0; k < earlier.size(); ++k) {
    const Requirement& other = earlier[k];
    if (other.metric != one.metric || other.sense == one.sense) continue;
    const bool least = one.sense == BoundSense::kAtLeast;
    if (least ? one.bound <= other.bound : one.bound >= other.bound) continue;
    text::fail(table.place, prefix + (least ? "at_least" : "at_most"),
               "no pass can meet this and require[" + std::to_string(k) + "] (" + other.place +
                   "), which bounds " + one.metric + " on the other side");
  }
}

Requirement read_requirement(const text::Node& table, const std::string& prefix) {
  static const std::string kKnown[] = {"metric", "at_most", "at_least"};
  text::refuse_other_keys(table, prefix, kKnown);
  const MetricName& metric = read_metric(must_have(table, prefix, "metric"), prefix + "metric");
  const text::Node* most = table.find("at_most");
  const text::Node* least = table.find("at_least");
  if ((most == nullptr) == (least == nullptr)) {
    text::fail(table.place, prefix + "at_most", "state one of at_most and at_least");
  }
  const text::Node& bound = most != nullptr ? *most : *least;
  const std::string key = prefix + (most != nullptr ? "at_most" : "at_least");
  Requirement requirement;
  requirement.metric = metric.name;
  requirement.sense = most != nullptr ? BoundSense::kAtMost : BoundSense::kAtLeast;
  requirement.bound =
      text::read_quantity_si(bound, key, kind_of_metric(metric.unit), text::kAnyValue);
  refuse_idle_bound(requirement, metric, bound, key);
  return requirement;
}

const FaultKind& kind_of_fault(const text::Node& node, const std::string& prefix) {
  const std::string& name = text::read_text_value(node, prefix + "kind");
  std::vector<std::string> names;
  for (const FaultKind& kind : fault_kinds()) {
    if (kind.name == name) return kind;
    names.push_back(kind.name);
  }
  text::fail(node.place, prefix + "kind", "no fault \"" + name + "\" (`list faults` names them)",
             text::nearest_name(name, names));
}

int& number_of(FaultEntry& entry, std::string_view key) {
  if (key == "write") return entry.write;
  if (key == "bytes") return entry.bytes;
  return key == "page" ? entry.page : entry.bits;
}

FaultEntry read_fault(const text::Node& table, const std::string& prefix, int rows) {
  const FaultKind& kind = kind_of_fault(must_have(table, prefix, "kind"), prefix);
  std::vector<std::string> known = {"kind", "severity"};
  if (!kind.of_machine) known.emplace_back("row");
  if (!kind.of_storage) known.emplace_back("from");
  if (!kind.once && !kind.of_storage) known.emplace_back("until");
  for (const FaultKey& key : kind.keys) known.push_back(key.name);
  text::refuse_other_keys(table, prefix, known);
  FaultEntry entry;
  entry.kind = kind.name;
  entry.place = table.place.text();
  if (const text::Node* row = table.find("row"))
    entry.row = static_cast<int>(text::read_whole(*row, prefix + "row", -1, rows - 1));
  if (const text::Node* from = table.find("from"))
    entry.from_s = text::read_quantity_si(*from, prefix + "from", text::Kind::kTime, {0.0, 1e9});
  if (const text::Node* until = table.find("until"))
    entry.until_s = text::read_quantity_si(*until, prefix + "until", text::Kind::kTime, {0.0, 1e9});
  const text::Node* severity = table.find("severity");
  if (severity != nullptr) {
    const double until_s = entry.until_s;
    take_severity(
        entry, static_cast<Severity>(text::read_word(*severity, prefix + "severity", kSeverities)));
    if (table.find("until") != nullptr) entry.until_s = until_s;
  }
  if (entry.until_s <= entry.from_s)
    text::fail(table.place, prefix + "until", "is not after `from`, so the fault is never on");
  for (const FaultKey& key : kind.keys) {
    if (severity != nullptr && table.find(key.name) == nullptr) continue;
    const text::Node& value = must_have(table, prefix, key.name);
    const std::string dotted = prefix + key.name;
    if (key.whole.high > 0)
      number_of(entry, key.name) =
          static_cast<int>(text::read_whole(value, dotted, key.whole.low, key.whole.high));
    else if (key.name == "by")
      entry.by_s = text::read_quantity_si(value, dotted, text::Kind::kTime, {0.0, 10.0});
    else if (key.name == "amount")
      entry.amount_ratio = text::read_quantity_si(value, dotted, text::Kind::kRatio, {0.0, 1.0});
    else
      (key.name == "cause" ? entry.cause : entry.retained) =
          text::read_word(value, dotted, key.words);
  }
  return entry;
}

}  // namespace

// A count has the unit "1" and is written as a plain number, like a ratio.
text::Kind kind_of_metric(std::string_view unit) {
  for (const text::KindWord& word : text::kind_words()) {
    if (!word.si_unit.empty() && word.si_unit == unit) return word.kind;
  }
  return text::Kind::kRatio;
}

const MetricName& read_metric(const text::Node& node, const std::string& key) {
  const std::string& name = text::read_text_value(node, key);
  if (const MetricName* metric = find_metric_name(name)) return *metric;
  std::vector<std::string> names;
  for (const MetricName& each : metric_names()) names.emplace_back(each.name);
  text::fail(node.place, key, "no metric \"" + name + "\" (`list metrics` names them)",
             text::nearest_name(name, names));
}

std::vector<Requirement> read_requirements(const text::Node& list, const Scenario& scenario) {
  std::vector<Requirement> requirements;
  for (const text::Node& table : tables_of(list, "require")) {
    const std::string prefix = item_prefix("require", requirements.size());
    const bool temporal = is_temporal(table);
    Requirement one = temporal ? read_temporal(table, prefix) : read_requirement(table, prefix);
    if (temporal)
      refuse_idle(one, scenario, table, prefix);
    else
      refuse_contradiction(requirements, one, table, prefix);
    one.place = table.place.text();
    requirements.push_back(std::move(one));
  }
  return requirements;
}

std::vector<FaultEntry> read_faults(const text::Node& list, int rows) {
  std::vector<FaultEntry> faults;
  for (const text::Node& table : tables_of(list, "fault")) {
    faults.push_back(read_fault(table, item_prefix("fault", faults.size()), rows));
  }
  return faults;
}

}  // namespace sim::scenario
