#include "sim/scenario/catalog.h"

#include <algorithm>

#include "model/reproducible_math.h"
#include "sim/scenario/line_keys.h"
#include "sim/scenario/linkage_table_file.h"
#include "sim/scenario/outlet_keys.h"
#include "sim/scenario/overlay.h"
#include "sim/scenario/sections.h"
#include "sim/scenario/valve_file.h"
#include "sim/text/nearest.h"

namespace sim::scenario {
namespace {

std::vector<std::filesystem::path> catalog_folders(const std::filesystem::path& folder) {
  std::vector<std::filesystem::path> folders;
  const auto offer = [&](const std::filesystem::path& one) {
    std::error_code ignored;
    if (!std::filesystem::is_directory(one, ignored)) return;
    for (const std::filesystem::path& known : folders) {
      if (std::filesystem::equivalent(known, one, ignored)) return;
    }
    folders.push_back(one);
  };
  std::error_code ignored;
  std::filesystem::path at = folder.empty() ? "." : folder;
  // The written path comes first, so that messages name files as the person did; the folders above
  // it are searched by the absolute path.
  offer(at / "catalog");
  at = std::filesystem::absolute(at, ignored).lexically_normal();
  for (;; at = at.parent_path()) {
    offer(at / "catalog");
    offer(at / "scenarios" / "catalog");
    if (!at.has_parent_path() || at == at.parent_path()) break;
  }
#ifdef SILLION_CATALOG
  offer(std::filesystem::path(SILLION_CATALOG));
#endif
  return folders;
}

bool is_delay_file(const std::filesystem::path& file) {
  return file.stem().extension() == ".delay";
}

/// The list's file, then the files of its folder in order of name, with one attachment each.
std::vector<std::filesystem::path> catalog_files(const std::filesystem::path& folder,
                                                 const std::string& list) {
  std::vector<std::filesystem::path> files;
  for (const std::filesystem::path& catalog : catalog_folders(folder)) {
    std::error_code ignored;
    if (std::filesystem::is_regular_file(catalog / (list + ".toml"), ignored))
      files.push_back(catalog / (list + ".toml"));
    std::vector<std::filesystem::path> own;
    if (std::filesystem::is_directory(catalog / list, ignored))
      for (const auto& item : std::filesystem::directory_iterator(catalog / list))
        if (item.path().extension() == ".toml" && !is_delay_file(item.path()))
          own.push_back(item.path());
    std::sort(own.begin(), own.end());
    files.insert(files.end(), own.begin(), own.end());
  }
  return files;
}

struct Found {
  std::vector<text::Node> entries;  // each with a text `name`; the first entry of a name counts
  std::string files;                // files that were searched, for messages
};

void add_entries(const text::Node& document, std::string_view list, Found& found) {
  if (document.find("name") != nullptr) {  // a file with one entry
    text::read_text_value(*document.find("name"), std::string(list) + ".name");
    found.entries.push_back(document);
    return;
  }
  static const std::string kKnown[] = {std::string("attachment"), std::string("liquid")};
  text::refuse_other_keys(document, "", kKnown);
  const text::Node* items = document.find(list);
  if (items == nullptr || items->kind != text::NodeKind::kArray) {
    text::fail(document.place, list,
               "a catalog is a list of tables: [[" + std::string(list) + "]]");
  }
  const std::size_t before = found.entries.size();
  for (const text::Node& item : items->items) {
    const text::Node* name = item.kind == text::NodeKind::kTable ? item.find("name") : nullptr;
    if (name == nullptr) text::fail(item.place, list, "each entry needs a name");
    const std::string& text = text::read_text_value(*name, std::string(list) + ".name");
    for (std::size_t i = before; i < found.entries.size(); ++i) {
      if (found.entries[i].find("name")->text == text)
        text::fail(name->place, list, "the name `" + text + "` appears twice");
    }
    found.entries.push_back(item);
  }
}

Found read_catalog(const std::filesystem::path& folder, std::string_view list) {
  Found found;
  for (const std::filesystem::path& file : catalog_files(folder, std::string(list) + "s"))
    add_entries(text::read_document(file), list, found);
  return found;
}

const text::Node& entry_of(const Found& found, const std::string& name, std::string_view what,
                           const text::Place& stated) {
  std::vector<std::string> names;
  for (const text::Node& entry : found.entries) {
    const std::string& known = entry.find("name")->text;
    if (known == name) return entry;
    // Two catalogs may hold the same name: the message lists each name once.
    if (std::find(names.begin(), names.end(), known) == names.end()) names.push_back(known);
  }
  std::string all;
  for (const std::string& each : names) all += (all.empty() ? "" : ", ") + each;
  if (all.empty()) all = "none: no catalog found";
  text::fail(stated, std::string(what) + ".name",
             "no " + std::string(what) + " \"" + name + "\" in the catalog (" + all + ")",
             text::nearest_name(name, names));
}

// The text that `list` prints for an entry: its note, then the source of each number.
std::string note_of(const text::Node& entry, std::string_view what) {
  const text::Node* note = entry.find("note");
  std::string text =
      note == nullptr ? "" : text::read_text_value(*note, std::string(what) + ".note");
  const text::Node* sources = entry.find("sources");
  if (sources == nullptr || sources->kind != text::NodeKind::kTable) return text;
  for (const auto& [key, source] : sources->entries)
    text +=
        "; " + key + ": " + text::read_text_value(source, std::string(what) + ".sources." + key);
  return text;
}

std::vector<CatalogEntry> list_of(const Found& found, std::string_view what) {
  std::vector<CatalogEntry> list;
  for (const text::Node& entry : found.entries) {
    const std::string& name = entry.find("name")->text;
    const bool known = std::any_of(list.begin(), list.end(),
                                   [&](const CatalogEntry& e) { return e.name == name; });
    if (!known) list.push_back({name, note_of(entry, what)});
  }
  return list;
}

struct LiquidRow {
  double temperature_k = 0.0;
  model::Liquid liquid;
};

// A row must state every value, because the defaults are those of water.
LiquidRow read_row(const text::Node& node) {
  LiquidRow row;
  text::Places places;
  text::Reader reader(node, "liquid.points.", places);
  reader.name_keys_of(scenario_keys);
  reader.quantity("temperature", row.temperature_k, text::Kind::kTemperature, {200.0, 400.0}, "");
  describe(row.liquid, reader);
  reader.finish();
  for (const char* key : {"temperature", "density", "viscosity", "bulk_modulus", "vapour_pressure",
                          "surface_tension"}) {
    if (node.find(key) == nullptr)
      text::fail(node.place, std::string("liquid.points.") + key, "is missing");
  }
  return row;
}

constexpr const char* kValues[] = {"density", "viscosity", "bulk_modulus", "vapour_pressure",
                                   "surface_tension"};

// The source of each value as text: a file that states some sources must state all.
void check_sources(const text::Node& entry) {
  const text::Node* sources = entry.find("sources");
  if (sources == nullptr) return;
  if (sources->kind != text::NodeKind::kTable)
    text::fail(sources->place, "liquid.sources", "is a table: {density = \"where from\", ...}");
  text::refuse_other_keys(*sources, "liquid.sources.",
                          std::vector<std::string>(std::begin(kValues), std::end(kValues)));
  for (const char* key : kValues) {
    const text::Node* source = sources->find(key);
    if (source == nullptr)
      text::fail(sources->place, std::string("liquid.sources.") + key, "is missing");
    text::read_text_value(*source, std::string("liquid.sources.") + key);
  }
}

std::vector<LiquidRow> read_rows(const text::Node& entry) {
  static const std::string kKnown[] = {"name", "note", "points", "sources", "salt_out"};
  text::refuse_other_keys(entry, "liquid.", kKnown);
  check_sources(entry);
  const text::Node* points = entry.find("points");
  if (points == nullptr || points->kind != text::NodeKind::kArray || points->items.empty()) {
    text::fail(entry.place, "liquid.points",
               "a liquid needs at least one row: {temperature = \"20 C\", density = ...}");
  }
  std::vector<LiquidRow> rows;
  for (const text::Node& node : points->items) {
    if (node.kind != text::NodeKind::kTable)
      text::fail(node.place, "liquid.points", "each row is a table");
    const LiquidRow row = read_row(node);
    if (!rows.empty() && row.temperature_k <= rows.back().temperature_k) {
      text::fail(node.place, "liquid.points.temperature",
                 "rows must be in order of rising temperature");
    }
    rows.push_back(row);
  }
  return rows;
}

struct Pair {
  double below;  // tidy: unit is the caller's
  double above;  // tidy: unit is the caller's
};

double between(Pair pair, double share_ratio) {
  return pair.below + (pair.above - pair.below) * share_ratio;
}

// ln(value) linear over 1/T: exact for the laws of Arrhenius (viscosity) and of Clausius and
// Clapeyron with constant heat of evaporation (vapour pressure). Zero has no logarithm, so a pair
// with a zero is interpolated linearly.
double between_logs(Pair pair, double share_ratio, double inverse_share_ratio) {
  if (!(pair.below > 0.0 && pair.above > 0.0)) return between(pair, share_ratio);
  return pair.below * model::exp_of(model::log_of(pair.above / pair.below) * inverse_share_ratio);
}

model::Liquid blend(const LiquidRow& below, const LiquidRow& above, double temperature_k) {
  const model::Liquid& a = below.liquid;
  const model::Liquid& b = above.liquid;
  const double share_ratio =
      (temperature_k - below.temperature_k) / (above.temperature_k - below.temperature_k);
  // (1/T - 1/T_a)/(1/T_b - 1/T_a), without differences of nearly equal reciprocals
  const double inverse_share_ratio = share_ratio * above.temperature_k / temperature_k;
  return {
      .density_kgpm3 = between({a.density_kgpm3, b.density_kgpm3}, share_ratio),
      .viscosity_pas =
          between_logs({a.viscosity_pas, b.viscosity_pas}, share_ratio, inverse_share_ratio),
      .bulk_modulus_pa = between({a.bulk_modulus_pa, b.bulk_modulus_pa}, share_ratio),
      .vapour_pressure_abs_pa = between_logs({a.vapour_pressure_abs_pa, b.vapour_pressure_abs_pa},
                                             share_ratio, inverse_share_ratio),
      .surface_tension_npm = between({a.surface_tension_npm, b.surface_tension_npm}, share_ratio)};
}

// The model does not describe a liquid that forms crystals: its table may not reach below salt_out.
void check_salt_out(const text::Node& entry, const std::string& name, const LiquidRow& first,
                    double temperature_k, const text::Place& stated) {
  const text::Node* node = entry.find("salt_out");
  if (node == nullptr) return;
  const double salt_out_k =
      text::read_quantity_si(*node, "liquid.salt_out", text::Kind::kTemperature, {200.0, 400.0});
  const auto celsius = [](double at_k) {
    return text::format_quantity(at_k, text::Kind::kTemperature, "C");
  };
  if (first.temperature_k < salt_out_k) {
    text::fail(node->place, "liquid.salt_out",
               "\"" + celsius(salt_out_k) + "\" lies above the first row at " +
                   celsius(first.temperature_k));
  }
  if (temperature_k < salt_out_k) {
    text::fail(stated, "liquid.temperature",
               "\"" + celsius(temperature_k) + "\" is too cold: `" + name + "` salts out at " +
                   celsius(salt_out_k) +
                   ", and its crystals plug the outlet; nearest workable: \"" +
                   celsius(std::max(salt_out_k, first.temperature_k)) + "\"");
  }
}

}  // namespace

std::vector<CatalogEntry> attachment_catalog(const std::filesystem::path& folder) {
  return list_of(read_catalog(folder, "attachment"), "attachment");
}

std::filesystem::path delay_file_of(const std::string& name, const std::filesystem::path& folder) {
  const Found found = read_catalog(folder, "attachment");
  for (const text::Node& entry : found.entries) {
    if (entry.find("name")->text != name) continue;
    std::filesystem::path file = entry.place.file;
    std::string words = name;
    std::replace(words.begin(), words.end(), ' ', '_');
    const std::filesystem::path own = file.parent_path() / "attachments" / (words + ".delay.toml");
    file.replace_extension(".delay.toml");
    std::error_code ignored;
    for (const std::filesystem::path& one : {file, own})
      if (std::filesystem::is_regular_file(one, ignored)) return one;
    return {};
  }
  return {};
}

std::vector<CatalogEntry> liquid_catalog(const std::filesystem::path& folder) {
  return list_of(read_catalog(folder, "liquid"), "liquid");
}

void apply_attachment(const std::string& name, const std::filesystem::path& folder,
                      const text::Place& stated, AttachmentSection& section, text::Places& places) {
  const Found found = read_catalog(folder, "attachment");
  text::Node entry = entry_of(found, name, "attachment", stated);
  lay_valve_file(entry, "valve", entry.place.file);
  refuse_both_outlet(entry);
  text::Node whole;  // as if it were in a scenario
  whole.put("attachment", entry);
  refuse_both(whole);
  text::Reader reader(entry, "attachment.", places);
  reader.name_keys_of(scenario_keys);
  describe(section, reader);
  reader.finish();
  read_creep(entry, section);
  take_linkage_table(entry, "attachment.", entry.place.file, section.valve.coil);
}

model::Liquid catalog_liquid(const std::string& name, const std::filesystem::path& folder,
                             double temperature_k, const text::Place& stated,
                             const text::Place& temperature_stated) {
  const Found found = read_catalog(folder, "liquid");
  const text::Node& entry = entry_of(found, name, "liquid", stated);
  const std::vector<LiquidRow> rows = read_rows(entry);
  const LiquidRow& first = rows.front();
  const LiquidRow& last = rows.back();
  check_salt_out(entry, name, first, temperature_k, temperature_stated);
  if (temperature_k < first.temperature_k || temperature_k > last.temperature_k) {
    const auto celsius = [](double at_k) {
      return text::format_quantity(at_k, text::Kind::kTemperature, "C");
    };
    const bool colder = temperature_k < first.temperature_k;
    text::fail(temperature_stated, "liquid.temperature",
               "\"" + celsius(temperature_k) + "\" is out of range: the viscosity of `" + name +
                   "` is known from " + celsius(first.temperature_k) + " to " +
                   celsius(last.temperature_k) + " only; nearest workable: \"" +
                   celsius(colder ? first.temperature_k : last.temperature_k) + "\"");
  }
  std::size_t above = 0;
  while (rows[above].temperature_k < temperature_k) ++above;
  if (rows[above].temperature_k == temperature_k) return rows[above].liquid;
  return blend(rows[above - 1], rows[above], temperature_k);
}

}  // namespace sim::scenario
