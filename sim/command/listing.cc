#include "sim/command/listing.h"

#include <fmt/format.h>

#include <array>

#include "sim/measure/catalog.h"
#include "sim/scenario/catalog.h"
#include "sim/scenario/faults/catalog.h"
#include "sim/scenario/loader.h"
#include "sim/scenario/nearest.h"
#include "sim/scenario/quantity.h"
#include "sim/scenario/sections.h"

namespace sim {
namespace {

Listing of_catalog(const std::vector<CatalogEntry>& catalog) {
  Listing listing;
  for (const CatalogEntry& entry : catalog) listing.entries.push_back({entry.name, "", entry.note});
  return listing;
}

Listing liquids() { return of_catalog(liquid_catalog(std::filesystem::current_path())); }
Listing attachments() { return of_catalog(attachment_catalog(std::filesystem::current_path())); }

Listing faults() {
  Listing listing;
  for (const FaultHelp& fault : fault_catalog())
    listing.entries.push_back({std::string(fault.name), "", std::string(fault.meaning)});
  return listing;
}

Listing all_metrics() {
  Listing listing;
  for (const Metric& metric : metrics())
    listing.entries.push_back({std::string(metric.name), std::string(metric.unit), std::string(metric.meaning)});
  return listing;
}

Listing all_units() {
  Listing listing;
  for (const Unit& unit : units())
    listing.entries.push_back({std::string(unit.word), std::string(kind_name(unit.kind)),
                               unit.offset == 0.0 ? fmt::format("{} SI", unit.factor)
                                                  : fmt::format("{} SI, offset {}", unit.factor, unit.offset)});
  return listing;
}

Listing keys() {
  Listing listing;
  for (const KeyHelp& key : scenario_keys()) {
    std::string meaning = key.help;
    if (!key.range.empty()) meaning += fmt::format(" ({})", key.range);
    if (!key.default_value.empty()) meaning += fmt::format("; default {}", key.default_value);
    listing.entries.push_back({key.key, key.kind, meaning});
  }
  return listing;
}

Listing schemas() {
  return {{{"sillion run 1", "", "summary.json of run; seeds.csv has one line a seed (README)"},
           {"sillion sweep 1", "", "summary.json of sweep; cells.csv has one line a cell"},
           {"sillion explain 1", "", "--json of explain"},
           {"sillion list 1", "", "--json of list"}}};
}

struct Kind {
  const char* name;
  Listing (*list)();
};

constexpr std::array kKinds{Kind{"liquids", liquids}, Kind{"attachments", attachments}, Kind{"faults", faults},
                            Kind{"metrics", all_metrics}, Kind{"units", all_units}, Kind{"schemas", schemas},
                            Kind{"keys", keys}};

}  // namespace

Listing list_of(const std::string& kind) {
  std::vector<std::string> names;
  for (const Kind& one : kKinds) {
    if (kind == one.name) return one.list();
    names.emplace_back(one.name);
  }
  const std::string near = nearest_name(kind, names);
  throw InputError(fmt::format("list: unknown kind `{}`{}", kind,
                               near.empty() ? "; one of liquids, attachments, faults, metrics, units, schemas, keys"
                                            : fmt::format("; nearest valid name: `{}`", near)));
}

}  // namespace sim
