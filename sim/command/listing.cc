#include "sim/command/listing.h"

#include <fmt/format.h>

#include <array>
#include <utility>

#include "sim/scenario/catalog.h"
#include "sim/scenario/delay_file.h"
#include "sim/scenario/fault_severity.h"
#include "sim/scenario/faults/catalog.h"
#include "sim/scenario/frame_catalog.h"
#include "sim/scenario/loader.h"
#include "sim/scenario/metric_names.h"
#include "sim/scenario/sections.h"
#include "sim/scenario/signal_catalog.h"
#include "sim/study/rate/seed_limits.h"
#include "sim/study/rig/rig_setup.h"
#include "sim/text/nearest.h"
#include "sim/text/quantity.h"

namespace sim::command {
namespace {

Listing of_catalog(const std::vector<scenario::CatalogEntry>& catalog) {
  Listing listing;
  for (const scenario::CatalogEntry& entry : catalog)
    listing.entries.push_back({entry.name, "", entry.note});
  return listing;
}

Listing liquids() { return of_catalog(scenario::liquid_catalog(std::filesystem::current_path())); }
/// What the delay table beside an attachment bears: grade, delivery, speeds; or why none.
std::string evidence_words(const std::string& name, const std::filesystem::path& folder) {
  const std::filesystem::path file = scenario::delay_file_of(name, folder);
  if (file.empty()) return "no grade: no delay table; make one with `sillion delay`";
  scenario::AttachmentSection attachment;
  text::Places places;
  scenario::apply_attachment(name, folder, {file.string(), 0, {}}, attachment, places);
  const scenario::DelayFile table = scenario::read_delay_file(file);
  const scenario::Grade grade = scenario::grade_of(table, attachment);
  if (!grade.why_not.empty()) return "no grade: " + grade.why_not;
  const std::string* delivery = table.word("delivery");
  const double from_mps = table.evidence.holds_from_mps, to_mps = table.evidence.holds_to_mps;
  const std::string speeds =
      to_mps <= 0.0        ? std::string("10 mm at no row speed")
      : from_mps == to_mps ? fmt::format("10 mm with trims at {:.1f} km/h alone", to_mps * 3.6)
                           : fmt::format("10 mm with trims from {:.1f} to {:.1f} km/h",
                                         from_mps * 3.6, to_mps * 3.6);
  return fmt::format("{}{}; {}; judged from {:.1f} to {:.1f} km/h; {}; {}", grade.grade,
                     table.evidence.date.empty() ? "" : " of " + table.evidence.date,
                     delivery == nullptr ? "" : *delivery, table.speeds.front().speed_mps * 3.6,
                     table.speeds.back().speed_mps * 3.6, speeds, table.evidence.valid_box);
}

Listing attachments() {
  const std::filesystem::path folder = std::filesystem::current_path();
  Listing listing;
  for (const scenario::CatalogEntry& entry : scenario::attachment_catalog(folder))
    listing.entries.push_back(
        {entry.name, "", entry.note + "; evidence: " + evidence_words(entry.name, folder)});
  return listing;
}

Listing faults() {
  Listing listing;
  for (const scenario::FaultKind& fault : scenario::fault_kinds()) {
    std::string keys;
    for (const scenario::FaultKey& key : fault.keys) {
      keys += fmt::format("; {}: {}", key.name, key.help);
      for (std::size_t k = 0; k < key.words.size(); ++k)
        keys += fmt::format("{}{}{}", k == 0 ? " (" : ", ", key.words[k],
                            k + 1 == key.words.size() ? ")" : "");
      if (key.whole.high > 0) keys += fmt::format(" ({} to {})", key.whole.low, key.whole.high);
    }
    listing.entries.push_back(
        {fault.name, "",
         fault.help + keys + "; mild, medium, severe: " + scenario::severity_words(fault.name)});
  }
  return listing;
}

Listing all_metrics() {
  Listing listing;
  for (const scenario::MetricName& metric : scenario::metric_names())
    listing.entries.push_back(
        {std::string(metric.name), std::string(metric.unit), std::string(metric.meaning)});
  return listing;
}

std::string bytes_words(std::string_view bytes) {
  const bool several = bytes.find('-') < bytes.find(' ');
  return fmt::format("{} {}", several ? "bytes" : "byte", bytes);
}

/// With all the digits of a 29-bit id, or the three of ours.
std::string id_words(std::uint32_t id) {
  return id > 0xfff ? fmt::format("0x{:08X}", id) : fmt::format("0x{:X}", id);
}

/// Frames of the controller's interface, byte by byte.
Listing all_frames() {
  Listing listing;
  for (const scenario::FrameKind& frame : scenario::frame_kinds()) {
    listing.entries.push_back({std::string(frame.name), fmt::format("{} bytes", frame.length_bytes),
                               fmt::format("id {}; {}", id_words(frame.id), frame.way)});
    for (const scenario::FrameField& field : frame.fields)
      listing.entries.push_back(
          {fmt::format("{}, {}: {}", frame.name, bytes_words(field.bytes), field.name),
           std::string(field.unit), std::string(field.meaning)});
  }
  return listing;
}

/// What a requirement may name, then what a controller's interface carries.
Listing all_signals() {
  Listing listing;
  for (const scenario::OnOffSignal& one : scenario::on_off_signals())
    listing.entries.push_back({std::string(one.name), one.gates_reals ? "on-off, gate" : "on-off",
                               std::string(one.meaning)});
  for (const scenario::RealSignalKind& one : scenario::real_signals())
    listing.entries.push_back(
        {std::string(one.name), std::string(one.unit), std::string(one.meaning)});
  for (const scenario::InterfaceInput& one : scenario::analog_channels())
    listing.entries.push_back(
        {fmt::format("controller, analog channel {}: {}", one.number, one.name),
         std::string(one.unit), std::string(one.meaning)});
  for (const scenario::InterfaceInput& one : scenario::digital_inputs())
    listing.entries.push_back(
        {fmt::format("controller, digital input {}: {}", one.number, one.name),
         std::string(one.unit), std::string(one.meaning)});
  for (ListEntry& entry : all_frames().entries) {
    entry.name = "frame, " + entry.name;
    listing.entries.push_back(std::move(entry));
  }
  return listing;
}

Listing all_units() {
  Listing listing;
  for (const text::Unit& unit : text::units()) {
    const text::KindWord& kind = text::kind_word(unit.kind);
    listing.entries.push_back({std::string(unit.name), std::string(kind.si_unit),
                               fmt::format("{}, as in \"{}\"", kind.name, kind.example)});
  }
  return listing;
}

Listing listing_of(const std::vector<text::KeyHelp>& all) {
  Listing listing;
  for (const text::KeyHelp& key : all) {
    std::string meaning = key.help;
    if (!key.range.empty()) meaning += fmt::format(" ({})", key.range);
    if (!key.default_value.empty()) meaning += fmt::format("; default {}", key.default_value);
    listing.entries.push_back({key.key, key.kind, meaning});
  }
  return listing;
}

Listing keys() { return listing_of(scenario::scenario_keys()); }
Listing rig() { return listing_of(rig::rig_keys()); }

Listing schemas() {
  return {
      {{"sillion run 1", "", "summary.json of run; seeds.csv has one line per seed"},
       {"sillion sweep 1", "", "summary.json of sweep; cells.csv has one line per cell"},
       {"sillion.shard.1", "", "shard.json and --json of sweep --shard"},
       {"sillion.rig.1", "",
        "rig.json and --json of rig; series.csv and pulses.csv stand beside it"},
       {"sillion.valve.1", "",
        "valve.json and --json of valve; for a trace, pulses.csv and valve.toml stand beside it"},
       {"sillion.budget.1", "", "summary.json of budget; budget.csv has one line per seed"},
       {"sillion explain 1", "", "--json of explain"},
       {"sillion.check.1", "", "--json of check; cases.jsonl has one line per scenario"},
       {"sillion.case.1", "", "runs/HASH.json of check: one finished scenario"},
       {"sillion baseline 1", "", "accepted results of a suite: text with tabs"},
       {"sillion.search.1", "",
        "summary.json and --json of search; passes.csv has one line per pass"},
       {"sillion.compare.1", "", "comparison.json and --json of compare"},
       {"sillion.rate.1", "", "rate.json and --json of rate; rate.csv is key, value, unit"},
       {"sillion.map.1", "",
        "map.json and --json of map; map.gpkg, bands and seconds, and TASKDATA/ stand beside it"},
       {"sillion.page.1", "", "--json of page: the address at which it serves"},
       {"sillion.page.file.1", "", "--json of page --standalone: the file that it wrote"},
       {"sillion list 1", "", "--json of list"}}};
}

/// What seed of each crop has been published to stand in its furrow; where nothing is, that.
Listing crops() {
  Listing listing;
  for (const rate::KnownLimit& one : rate::known_limits()) {
    std::string name = rate::crop_word(one.crop);
    if (one.limit_kgpm2 <= 0.0) {
      listing.entries.push_back({name, "", one.source});
      continue;
    }
    name += one.soil.empty() ? ", any soil" : ", " + one.soil + " soil";
    name += one.row_width_m > 0.0 ? fmt::format(", rows of {:.0f} in ({:.2f} m)",
                                                one.row_width_m / shared::kInch_m, one.row_width_m)
                                  : ", any row width";
    listing.entries.push_back({name, "lb/ac",
                               fmt::format("at most {:.0f} lb/ac ({:.1f} kg/ha) of N + K2O; {}; {}",
                                           one.limit_kgpm2 / rate::kPoundPerAcre_kgpm2,
                                           one.limit_kgpm2 / rate::kKilogramPerHectare_kgpm2,
                                           one.source, one.condition)});
  }
  return listing;
}

struct ListKind {
  const char* name;
  Listing (*list)();
};

constexpr std::array kKinds{ListKind{"liquids", liquids},     ListKind{"attachments", attachments},
                            ListKind{"faults", faults},       ListKind{"metrics", all_metrics},
                            ListKind{"signals", all_signals}, ListKind{"frames", all_frames},
                            ListKind{"units", all_units},     ListKind{"schemas", schemas},
                            ListKind{"keys", keys},           ListKind{"rig", rig},
                            ListKind{"crops", crops}};

}  // namespace

Listing list_of(const std::string& kind) {
  std::vector<std::string> names;
  for (const ListKind& one : kKinds) {
    if (kind == one.name) return one.list();
    names.emplace_back(one.name);
  }
  const std::string near = text::nearest_name(kind, names);
  throw text::InputError(fmt::format("list: unknown kind `{}`{}", kind,
                                     near.empty()
                                         ? "; one of liquids, attachments, faults, metrics, "
                                           "signals, frames, units, schemas, keys, rig, crops"
                                         : fmt::format("; nearest valid name: `{}`", near)));
}

}  // namespace sim::command
