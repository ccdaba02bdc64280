#include "sim/scenario/temporal_rule.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string>
#include <utility>
#include <vector>

#include "sim/scenario/faults/catalog.h"
#include "sim/scenario/requirements.h"
#include "sim/scenario/signal_catalog.h"
#include "sim/text/nearest.h"
#include "sim/text/reader.h"

namespace sim::scenario {
namespace {

constexpr text::Range kTimes{0.0, 1e6};
constexpr std::array<std::pair<const char*, TemporalForm>, 4> kForms = {
    {{"always", TemporalForm::kAlways},
     {"never", TemporalForm::kNever},
     {"eventually", TemporalForm::kEventually},
     {"hold", TemporalForm::kHold}}};

[[noreturn]] void fail_name(const text::Node& node, const std::string& key, const std::string& name,
                            std::vector<std::string> names) {
  text::fail(node.place, key, "no signal \"" + name + "\" for this (`list signals` names them)",
             text::nearest_name(name, names));
}

std::string read_on_off(const text::Node& node, const std::string& key, bool only_gates) {
  const std::string& name = text::read_text_value(node, key);
  std::vector<std::string> names;
  for (const OnOffSignal& one : on_off_signals()) {
    if (only_gates && !one.gates_reals) continue;
    if (one.name == name) return name;
    names.emplace_back(one.name);
  }
  fail_name(node, key, name, names);
}

/// A name, "not" and a name, or "closed".
void read_signal(const text::Node& node, const std::string& key, TemporalRule& rule) {
  std::string name = text::read_text_value(node, key);
  rule.negated = name == "closed" || name.starts_with("not ");
  if (name == "closed") name = "open";
  if (name.starts_with("not ")) name = name.substr(4);
  text::Node bare = node;
  bare.text = name;
  rule.signal = read_on_off(bare, key, false);
}

void read_always(const text::Node& table, const std::string& prefix, Requirement& requirement) {
  static const std::string kKnown[] = {"always", "at_most", "at_least", "while"};
  text::refuse_other_keys(table, prefix, kKnown);
  const text::Node& signal = *table.find("always");
  const std::string& name = text::read_text_value(signal, prefix + "always");
  const RealSignalKind* kind = find_real_signal(name);
  if (kind == nullptr) {
    std::vector<std::string> names;
    for (const RealSignalKind& one : real_signals()) names.emplace_back(one.name);
    fail_name(signal, prefix + "always", name, names);
  }
  requirement.rule.signal = name;
  const text::Node* most = table.find("at_most");
  const text::Node* least = table.find("at_least");
  if ((most == nullptr) == (least == nullptr))
    text::fail(table.place, prefix + "at_most", "state one of at_most and at_least");
  requirement.sense = most != nullptr ? BoundSense::kAtMost : BoundSense::kAtLeast;
  requirement.bound = text::read_quantity_si(most != nullptr ? *most : *least,
                                             prefix + (most != nullptr ? "at_most" : "at_least"),
                                             kind_of_metric(kind->unit), text::kAnyValue);
  if (const text::Node* during = table.find("while"))
    requirement.rule.during = read_on_off(*during, prefix + "while", true);
}

void read_never(const text::Node& table, const std::string& prefix, TemporalRule& rule) {
  static const std::string kKnown[] = {"never", "while", "grace"};
  text::refuse_other_keys(table, prefix, kKnown);
  read_signal(*table.find("never"), prefix + "never", rule);
  if (const text::Node* during = table.find("while"))
    rule.during = read_on_off(*during, prefix + "while", false);
  if (const text::Node* grace = table.find("grace")) {
    if (rule.during.empty()) text::fail(grace->place, prefix + "grace", "needs `while` beside it");
    rule.grace_s = text::read_quantity_si(*grace, prefix + "grace", text::Kind::kTime, kTimes);
  }
}

void read_eventually(const text::Node& table, const std::string& prefix, TemporalRule& rule) {
  static const std::string kKnown[] = {"eventually", "when", "within", "within_seeds"};
  text::refuse_other_keys(table, prefix, kKnown);
  read_signal(*table.find("eventually"), prefix + "eventually", rule);
  if (const text::Node* when = table.find("when"))
    rule.when = read_on_off(*when, prefix + "when", false);
  const text::Node* within = table.find("within");
  const text::Node* seeds = table.find("within_seeds");
  if ((within == nullptr) == (seeds == nullptr))
    text::fail(table.place, prefix + "within", "state one of within and within_seeds");
  if (within != nullptr)
    rule.within_s = text::read_quantity_si(*within, prefix + "within", text::Kind::kTime, kTimes);
  else
    rule.within_seeds =
        static_cast<int>(text::read_whole(*seeds, prefix + "within_seeds", 1, 100'000));
}

void read_hold(const text::Node& table, const std::string& prefix, TemporalRule& rule) {
  static const std::string kKnown[] = {"hold", "when", "until"};
  text::refuse_other_keys(table, prefix, kKnown);
  read_signal(*table.find("hold"), prefix + "hold", rule);
  if (const text::Node* when = table.find("when"))
    rule.when = read_on_off(*when, prefix + "when", false);
  const text::Node* until = table.find("until");
  if (until == nullptr) text::fail(table.place, prefix + "until", "is missing");
  rule.until = read_on_off(*until, prefix + "until", false);
}

bool brings_about(const Scenario& scenario, const std::string& signal) {
  const bool loses_speed = std::any_of(scenario.faults.begin(), scenario.faults.end(), hides_speed);
  if (signal == "lifted") return !scenario.work.lowered || !scenario.work.lift_times_s.empty();
  if (signal == "speed lost") return loses_speed;
  if (signal == "in hold") return !scenario.work.run || !scenario.work.run_times_s.empty();
  if (signal == "row off") return !scenario.work.row_off.empty();
  if (signal == "controller off")
    return scenario.controller.watchdog_s > 0.0 || !restarts_of(scenario, 0).empty();
  return true;
}

std::string what_would(const std::string& signal) {
  if (signal == "lifted") return "state work.lift_times";
  if (signal == "in hold") return "state work.run_times";
  if (signal == "row off") return "state work.row_off";
  if (signal == "controller off") return "add a fault of kind restarted_row";
  return "add a fault of kind lost_speed";
}

}  // namespace

bool hides_speed(const FaultEntry& fault) {
  const bool hides =
      fault.kind == "lost_speed" || fault.kind == "lost_cab_link" || fault.kind == "bus_off";
  return hides && fault.row < 0;
}

bool is_temporal(const text::Node& table) {
  return std::any_of(kForms.begin(), kForms.end(),
                     [&](const auto& form) { return table.find(form.first) != nullptr; });
}

Requirement read_temporal(const text::Node& table, const std::string& prefix) {
  Requirement requirement;
  for (const auto& [key, form] : kForms)
    if (table.find(key) != nullptr) requirement.rule.form = form;
  switch (requirement.rule.form) {
    case TemporalForm::kAlways: read_always(table, prefix, requirement); break;
    case TemporalForm::kNever: read_never(table, prefix, requirement.rule); break;
    case TemporalForm::kEventually: read_eventually(table, prefix, requirement.rule); break;
    case TemporalForm::kHold: read_hold(table, prefix, requirement.rule); break;
    case TemporalForm::kNone: break;
  }
  requirement.metric = words_of(requirement);
  return requirement;
}

void refuse_idle(const Requirement& requirement, const Scenario& scenario, const text::Node& table,
                 const std::string& prefix) {
  const std::pair<const char*, const std::string*> waits[] = {{"while", &requirement.rule.during},
                                                              {"when", &requirement.rule.when}};
  for (const auto& [key, signal] : waits) {
    if (signal->empty() || brings_about(scenario, *signal)) continue;
    text::fail(table.place, prefix + key,
               "this scenario never brings about \"" + *signal +
                   "\": the requirement can never be violated; " + what_would(*signal));
  }
}

std::string words_of(const Requirement& requirement) {
  const TemporalRule& rule = requirement.rule;
  const std::string signal = (rule.negated ? "not " : "") + rule.signal;
  const std::string grace =
      rule.grace_s > 0.0 ? fmt::format(", from {:g} ms on", rule.grace_s * 1e3) : "";
  const std::string during = rule.during.empty() ? "" : " while " + rule.during + grace;
  const std::string from = rule.when.empty() ? "the start" : rule.when;
  switch (rule.form) {
    case TemporalForm::kAlways:
      return signal + (requirement.sense == BoundSense::kAtMost ? " at most" : " at least") +
             during;
    case TemporalForm::kNever: return "never " + signal + during;
    case TemporalForm::kEventually:
      return rule.within_seeds > 0
                 ? fmt::format("{} within {} seeds of {}", signal, rule.within_seeds, from)
                 : fmt::format("{} within {:g} ms of {}", signal, rule.within_s * 1e3, from);
    case TemporalForm::kHold: return fmt::format("{} from {} until {}", signal, from, rule.until);
    case TemporalForm::kNone: break;
  }
  return "";
}

std::string unit_of(const Requirement& requirement) {
  if (requirement.rule.form == TemporalForm::kAlways) {
    const RealSignalKind* kind = find_real_signal(requirement.rule.signal);
    return kind == nullptr ? "" : std::string(kind->unit);
  }
  return requirement.rule.within_seeds > 0 ? "1" : "s";
}

}  // namespace sim::scenario
