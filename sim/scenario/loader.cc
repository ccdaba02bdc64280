#include "sim/scenario/loader.h"

#include <algorithm>
#include <fstream>
#include <iterator>

#include "sim/scenario/catalog.h"
#include "sim/scenario/checks.h"
#include "sim/scenario/delay_file.h"
#include "sim/scenario/layers.h"
#include "sim/scenario/line_keys.h"
#include "sim/scenario/linkage_table_file.h"
#include "sim/scenario/network_keys.h"
#include "sim/scenario/outlet_keys.h"
#include "sim/scenario/overlay.h"
#include "sim/scenario/rate_zones.h"
#include "sim/scenario/recorded_drive.h"
#include "sim/scenario/requirements.h"
#include "sim/scenario/sections.h"
#include "sim/scenario/spacings_csv.h"
#include "sim/scenario/valve_file.h"
#include "sim/scenario/work_keys.h"

namespace sim::scenario {
namespace {

constexpr double kGravityTimeScatter_s = 5e-3;
constexpr std::size_t kMostBases = 8;

text::Place whole_file(const std::filesystem::path& file) { return {file.string(), 0, {}}; }

text::Node read_over_bases(const std::filesystem::path& file,
                           std::vector<std::filesystem::path>& chain) {
  text::Node document = text::read_document(file);
  refuse_both(document);
  const text::Node* base = document.find("base");
  if (base == nullptr) return document;
  const text::Place stated = base->place;
  std::filesystem::path below = path_from(stated, text::read_text_value(*base, "base"), file);
  std::error_code ignored;
  if (!below.has_extension()) below += ".toml";
  for (const std::filesystem::path& earlier : chain) {
    if (std::filesystem::equivalent(earlier, below, ignored))
      text::fail(stated, "base", "the bases form a circle: `" + below.string() + "`");
  }
  if (chain.size() >= kMostBases)
    text::fail(stated, "base",
               "more than " + std::to_string(kMostBases) + " files in a chain of bases");
  if (!std::filesystem::exists(below, ignored))
    text::fail(stated, "base", "no such file: `" + below.string() + "`");
  chain.push_back(below);
  text::Node merged = read_over_bases(below, chain);
  document.drop("base");
  lay_over(merged, document);
  return merged;
}

// Reads a key on which the defaults of other keys depend, before those are read.
const text::Node* text_at(const text::Node& document, std::string_view key) {
  const text::Node* node = text::find_dotted(document, key);
  if (node != nullptr) text::read_text_value(*node, key);
  return node;
}

void fill_from_catalogs(const text::Node& document, const std::filesystem::path& folder,
                        const text::Place& file, PartFrom part, Scenario& scenario,
                        text::Places& places) {
  fill_liquid(document, folder, file, scenario.liquid);
  const text::Node* name = text_at(document, "attachment.name");
  if (name != nullptr && part == PartFrom::kCatalog) {
    apply_attachment(name->text, folder, name->place, scenario.attachment, places);
  }
  const text::Node* delivery = text_at(document, "delivery.kind");
  if (delivery != nullptr && delivery->text == "gravity")
    scenario.delivery.time_scatter_s = kGravityTimeScatter_s;
}

std::vector<model::TravelKnot> read_profile(const text::Node& list, bool turn_radius_stated) {
  static const std::string kKnown[] = {"time", "speed", "yaw_rate"};
  if (list.kind != text::NodeKind::kArray || list.items.empty())
    text::fail(list.place, "travel.profile", "must be a list of knots, at least one");
  std::vector<model::TravelKnot> knots;
  for (const text::Node& item : list.items) {
    const std::string prefix = "travel.profile[" + std::to_string(knots.size()) + "].";
    if (item.kind != text::NodeKind::kTable)
      text::fail(item.place, "travel.profile", "each knot is a table {time = ..., speed = ...}");
    text::refuse_other_keys(item, prefix, kKnown);
    const text::Node* time = item.find("time");
    const text::Node* speed = item.find("speed");
    const text::Node* yaw_rate = item.find("yaw_rate");
    if (time == nullptr || speed == nullptr)
      text::fail(item.place, prefix + (time == nullptr ? "time" : "speed"), "is missing");
    if (yaw_rate != nullptr && turn_radius_stated)
      text::fail(yaw_rate->place, prefix + "yaw_rate",
                 "contradicts travel.turn_radius: state one of them");
    model::TravelKnot knot;
    knot.time_s = text::read_quantity_si(*time, prefix + "time", text::Kind::kTime, {0.0, 1e6});
    knot.speed_mps =
        text::read_quantity_si(*speed, prefix + "speed", text::Kind::kSpeed, {-20.0, 20.0});
    if (yaw_rate != nullptr)
      knot.yaw_rate_radps = text::read_quantity_si(*yaw_rate, prefix + "yaw_rate",
                                                   text::Kind::kTurnRate, {-2.0, 2.0});
    if (!knots.empty() && knot.time_s < knots.back().time_s)
      text::fail(time->place, prefix + "time", "is earlier than the knot before it");
    knots.push_back(knot);
  }
  return knots;
}

void read_travel(const text::Node& document, const std::filesystem::path& file,
                 TravelSection& travel) {
  const text::Node* profile = text::find_dotted(document, "travel.profile");
  const text::Node* log = text::find_dotted(document, "travel.log");
  const bool turns = travel.turn_radius_m != 0.0;
  if (log != nullptr && turns)
    text::fail(log->place, "travel.log",
               "contradicts travel.turn_radius: the log has its own turns");
  if (profile != nullptr) travel.profile = read_profile(*profile, turns);
  if (log != nullptr) {
    travel.log = text::read_text_value(*log, "travel.log");
    travel.profile = read_drive_log(*log, file).knots;
  }
  if (travel.profile.empty()) return;
  // The speed for which valve and delay are judged: the fastest, because time is shortest there.
  travel.speed_mps = 0.0;
  for (const model::TravelKnot& knot : travel.profile) {
    travel.speed_mps = std::max(travel.speed_mps, knot.speed_mps);
  }
  if (travel.speed_mps <= 0.0)
    text::fail(profile != nullptr ? profile->place : log->place, "travel",
               "the machine never moves");
}

void read_seeding(const text::Node& document, const std::filesystem::path& file,
                  Scenario& scenario) {
  if (const text::Node* population = text::find_dotted(document, "seeding.population")) {
    const double per_m2 = text::read_quantity_si(*population, "seeding.population",
                                                 text::Kind::kCountPerArea, {0.1, 1000.0});
    const double spacing_m = 1.0 / (per_m2 * scenario.row.width_m);
    if (spacing_m < 0.005 || spacing_m > 2.0) {
      text::fail(population->place, "seeding.population",
                 "gives a spacing of " +
                     text::format_quantity(spacing_m, text::Kind::kLength, "mm") +
                     " at this row.width: must be 5 mm to 2000 mm");
    }
    scenario.seeding.meter.spacing_m = spacing_m;
  }
  const text::Node* spacings = text::find_dotted(document, "seeding.spacings");
  if (spacings == nullptr) return;
  if (text::find_dotted(document, "seeding.spacing") == nullptr &&
      text::find_dotted(document, "seeding.population") == nullptr) {
    text::fail(
        spacings->place, "seeding.spacings",
        "needs seeding.spacing or seeding.population beside it, for the theoretical spacing");
  }
  const std::string& written = text::read_text_value(*spacings, "seeding.spacings");
  scenario.seeding.spacings_m = read_spacings_m(path_from(spacings->place, written, file));
}

void read_delay_table(const text::Node& document, const std::filesystem::path& file,
                      Scenario& scenario) {
  ControllerSection& controller = scenario.controller;
  const text::Node* table = text::find_dotted(document, "controller.table");
  if (controller.delay != DelaySource::kTable) {
    if (table != nullptr)
      text::fail(table->place, "controller.table", "needs controller.delay = \"table\" beside it");
    return;
  }
  if (table == nullptr)
    text::fail(text::find_dotted(document, "controller.delay")->place, "controller.delay",
               "\"table\" needs controller.table: a file that `sillion delay` wrote");
  controller.table = path_from(table->place, table->text, file).string();
  controller.given = read_delay_file(controller.table).table;
}

/// The bytes of a storage image; whether their number fits is known once a controller says what it
/// has.
void read_storage_image(const text::Node& document, const std::filesystem::path& file,
                        ControllerSection& controller) {
  const text::Node* image = text::find_dotted(document, "controller.storage");
  if (image == nullptr || controller.storage.empty()) return;
  controller.storage = path_from(image->place, image->text, file).string();
  std::ifstream stream(controller.storage, std::ios::binary);
  controller.storage_image.assign(std::istreambuf_iterator<char>(stream), {});
  if (!stream.good() && !stream.eof())
    text::fail(image->place, "controller.storage", "cannot read `" + controller.storage + "`");
  if (controller.storage_image.empty())
    text::fail(image->place, "controller.storage",
               "`" + controller.storage + "` is empty or no file");
}

}  // namespace

void fill_liquid(const text::Node& document, const std::filesystem::path& folder,
                 const text::Place& file, LiquidSection& liquid) {
  const text::Node* temperature = text::find_dotted(document, "liquid.temperature");
  if (temperature != nullptr) {
    liquid.temperature_k = text::read_quantity_si(*temperature, "liquid.temperature",
                                                  text::Kind::kTemperature, {200.0, 400.0});
  }
  const text::Node* name = text_at(document, "liquid.name");
  if (name != nullptr) liquid.name = name->text;
  liquid.liquid = catalog_liquid(liquid.name, folder, liquid.temperature_k,
                                 name == nullptr ? file : name->place,
                                 temperature == nullptr ? file : temperature->place);
}

std::filesystem::path path_from(const text::Place& stated, const std::string& written,
                                const std::filesystem::path& fallback) {
  const std::filesystem::path file =
      stated.file.empty() ? fallback : std::filesystem::path(stated.file);
  return file.parent_path() / written;  // an absolute `written` replaces the folder
}

text::Node read_layers(const std::filesystem::path& file) {
  std::vector<std::filesystem::path> chain{file};
  return read_over_bases(file, chain);
}

Scenario scenario_of(const text::Node& given, const std::filesystem::path& file, PartFrom part) {
  text::Node document = given;
  lay_valve_file(document, "attachment.valve", file);
  refuse_both(document);
  const text::Place place = whole_file(file);
  Scenario scenario;
  text::Places places;
  scenario.name = file.stem().string();
  fill_from_catalogs(document, file.parent_path(), place, part, scenario, places);
  text::Reader reader(document, "", places);
  reader.name_keys_of(scenario_keys);
  describe(scenario, reader);
  reader.finish();
  if (const text::Node* attachment = document.find("attachment")) {
    read_creep(*attachment, scenario.attachment);
    take_linkage_table(*attachment, "attachment.", file, scenario.attachment.valve.coil);
  }
  if (const text::Node* base = document.find("base"))
    text::fail(base->place, "base", "cannot be changed by an override");
  if (!scenario.controller.library.empty()) {
    const text::Node* library = text::find_dotted(document, "controller.library");
    scenario.controller.library = path_from(library->place, library->text, file).string();
  }
  read_delay_table(document, file, scenario);
  read_storage_image(document, file, scenario.controller);
  settle_outlet(text::find_dotted(document, "attachment"), scenario.attachment.outlet, places,
                place);
  read_travel(document, file, scenario.travel);
  read_seeding(document, file, scenario);
  scenario.work.row_off = read_row_off(document, scenario.row.count);
  scenario.rate.zones = read_rate_zones(document);
  scenario.network.cab.load_ids = read_load_ids(document);
  if (const text::Node* faults = document.find("fault"))
    scenario.faults = read_faults(*faults, scenario.row.count);
  if (const text::Node* list = document.find("require"))
    scenario.requirements = read_requirements(*list, scenario);
  finish_lines(document, places, place, scenario);
  check_scenario(scenario, places, place);
  return scenario;
}

Scenario load_scenario(const std::filesystem::path& file, const std::vector<std::string>& sets) {
  text::Node document = read_layers(file);
  for (const std::string& set : sets) lay_set_over(document, set);
  return scenario_of(document, file);
}

}  // namespace sim::scenario
