#include "sim/study/rate/rate_plan.h"

#include <algorithm>
#include <charconv>

#include "shared/units.h"
#include "sim/scenario/layers.h"
#include "sim/scenario/loader.h"
#include "sim/scenario/overlay.h"
#include "sim/text/nearest.h"
#include "sim/text/reader.h"

namespace sim::rate {
namespace {

constexpr std::string_view kKinds[] = {"fertiliser", "biological", "pesticide"};
constexpr std::string_view kCrops[] = {"corn",    "sorghum",  "small grain",
                                       "soybean", "oil seed", "other"};
constexpr std::string_view kSoils[] = {"medium-fine", "sandy"};
const std::string kPlanSections[] = {"plan", "field", "zone", "product", "crop"};
const std::string kPlanKeys[] = {"field_average", "former", "concentrate", "tank", "season"};
const std::string kFieldKeys[] = {"area", "pass_length"};
const std::string kZoneKeys[] = {"name", "area", "in_band"};
const std::string kProductKeys[] = {"name",      "kind",       "density", "grade",
                                    "urea",      "salt_index", "price",   "label_rate",
                                    "tank_life", "coldest",    "warmest"};
const std::string kCropKeys[] = {"name", "soil"};

constexpr text::Range kAbove{0.0, 1e12, true};

const text::Node* section(const text::Node& document, const std::string& name,
                          std::span<const std::string> known) {
  const text::Node* node = document.find(name);
  if (node == nullptr) return nullptr;
  if (node->kind != text::NodeKind::kTable) text::fail(node->place, name, "must be a section");
  text::refuse_other_keys(*node, name + ".", known);
  return node;
}

/// Reads one of the words; the error for a wrong one names all of them and the nearest.
template <class Word>
void read_word(const text::Node& table, const std::string& prefix, const std::string& key,
               std::span<const std::string_view> words, Word& value) {
  const text::Node* node = table.find(key);
  if (node == nullptr) return;
  const std::string& text = text::read_text_value(*node, prefix + key);
  std::vector<std::string> names;
  for (std::size_t k = 0; k < words.size(); ++k) {
    if (words[k] == text) value = static_cast<Word>(k);
    names.emplace_back(words[k]);
  }
  if (std::find(names.begin(), names.end(), text) != names.end()) return;
  std::string all;
  for (const std::string& name : names) all += (all.empty() ? "" : ", ") + name;
  text::fail(node->place, prefix + key,
             "\"" + text + "\" is not known; known are " + all +
                 (prefix == "crop." ? "; `sillion list crops` shows the limits known of each" : ""),
             text::nearest_name(text, names));
}

void read_si(const text::Node* table, const std::string& prefix, const std::string& key,
             text::Kind kind, const text::Range& range, double& value_si) {
  if (table == nullptr) return;
  if (const text::Node* node = table->find(key))
    value_si = text::read_quantity_si(*node, prefix + key, kind, range);
}

/// "10-34-0": N, P2O5 and K2O in percent by mass.
std::array<double, 3> read_grade(const text::Node& node) {
  const std::string& text = text::read_text_value(node, "product.grade");
  std::array<double, 3> grade_ratio{};
  const char* at = text.data();
  const char* end = at + text.size();
  for (std::size_t part = 0; part < 3; ++part) {
    double percent = 0.0;  // tidy: unit percent
    const auto [next, error] = std::from_chars(at, end, percent);
    const bool last = part == 2;
    if (error != std::errc() || percent < 0.0 || percent > 100.0 ||
        (last ? next != end : next == end || *next != '-'))
      text::fail(
          node.place, "product.grade",
          "\"" + text + "\" must be percent of N, P2O5 and K2O by mass, such as \"10-34-0\"");
    grade_ratio[part] = percent * 0.01;
    at = next + 1;
  }
  if (grade_ratio[0] + grade_ratio[1] + grade_ratio[2] > 1.0)
    text::fail(node.place, "product.grade", "\"" + text + "\" adds up to more than 100 %");
  return grade_ratio;
}

/// "3.50 USD/gal", "640 USD/t": an amount, a currency word, and a unit of volume or of mass.
void read_price(const text::Node& node, Product& product) {
  const std::string& text = text::read_text_value(node, "product.price");
  const auto bad = [&](const std::string& why) {
    text::fail(node.place, "product.price",
               "\"" + text + "\" " + why +
                   ": write an amount, a currency and a unit, such as \"3.50 "
                   "USD/gal\" or \"640 EUR/t\"");
  };
  double amount = 0.0;  // tidy: unit is the currency
  const auto [next, error] = std::from_chars(text.data(), text.data() + text.size(), amount);
  if (error != std::errc()) bad("does not begin with a number");
  if (!(amount > 0.0)) bad("must be above 0");
  std::string rest(next, text.data() + text.size());
  rest.erase(0, rest.find_first_not_of(' '));
  const std::size_t slash = rest.find('/');
  if (slash == std::string::npos || slash == 0) bad("has no unit such as USD/gal");
  product.currency = rest.substr(0, slash);
  std::string unit = rest.substr(slash + 1);
  double tons_ratio = 1.0;
  if (unit == "t") {
    unit = "kg";
    tons_ratio = 1000.0;
  } else if (unit == "short ton") {
    unit = "lb";
    tons_ratio = 2000.0;
  }
  const text::Quantity volume = text::parse_quantity("1 " + unit, text::Kind::kVolume);
  const text::Quantity mass = text::parse_quantity("1 " + unit, text::Kind::kMass);
  if (volume.error.empty())
    product.price_perm3 = amount / volume.value_si;
  else if (mass.error.empty())
    product.price_perm3 = amount / (mass.value_si * tons_ratio) * product.density_kgpm3;
  else
    bad("is not per a unit of volume or mass");
}

void read_label(const text::Node& node, double width_m, Product& product) {
  const std::string& text = text::read_text_value(node, "product.label_rate");
  const text::Quantity per_area = text::parse_quantity(text, text::Kind::kVolumePerArea);
  product.label_m3pm2 =
      per_area.error.empty()
          ? text::read_quantity_si(node, "product.label_rate", text::Kind::kVolumePerArea, kAbove)
          : text::read_quantity_si(node, "product.label_rate", text::Kind::kVolumePerLength,
                                   kAbove) /
                width_m;
}

void read_product(const text::Node& document, const text::Place& file, RatePlan& plan) {
  const text::Node* table = section(document, "product", kProductKeys);
  if (table == nullptr)
    text::fail(file, "product", "is missing: state at least its density ([product])");
  Product& product = plan.product;
  if (const text::Node* name = table->find("name"))
    product.name = text::read_text_value(*name, "product.name");
  read_word(*table, "product.", "kind", kKinds, product.kind);
  if (table->find("density") == nullptr)
    text::fail(
        table->place, "product.density",
        "is missing: printed densities of one product differ by 2 %, so there is no default");
  read_si(table, "product.", "density", text::Kind::kDensity, {500.0, 3000.0},
          product.density_kgpm3);
  if (const text::Node* grade = table->find("grade")) {
    product.graded = true;
    product.grade_ratio = read_grade(*grade);
  }
  if (const text::Node* urea = table->find("urea")) {
    if (urea->kind != text::NodeKind::kFlag)
      text::fail(urea->place, "product.urea", "must be true or false");
    product.urea = urea->flag;
  }
  read_si(table, "product.", "salt_index", text::Kind::kRatio, {0.0, 500.0},
          product.salt_index_ratio);
  if (const text::Node* price = table->find("price")) read_price(*price, product);
  if (const text::Node* label = table->find("label_rate"))
    read_label(*label, plan.scenario.row.width_m, product);
  else if (product.kind == ProductKind::kPesticide)
    text::fail(table->place, "product.label_rate",
               "is missing: the label's row rate is an upper limit in the band");
  read_si(table, "product.", "tank_life", text::Kind::kTime, kAbove, product.tank_life_s);
  read_si(table, "product.", "coldest", text::Kind::kTemperature, {200.0, 400.0},
          product.coldest_k);
  read_si(table, "product.", "warmest", text::Kind::kTemperature, {200.0, 400.0},
          product.warmest_k);
}

void read_zones(const text::Node& list, RatePlan& plan) {
  if (list.kind != text::NodeKind::kArray)
    text::fail(list.place, "zone", "must be a list: [[zone]]");
  for (const text::Node& table : list.items) {
    const std::string prefix = "zone[" + std::to_string(plan.zones.size()) + "].";
    text::refuse_other_keys(table, prefix, kZoneKeys);
    for (const char* key : {"name", "area", "in_band"})
      if (table.find(key) == nullptr) text::fail(table.place, prefix + key, "is missing");
    Zone zone;
    zone.name = text::read_text_value(*table.find("name"), prefix + "name");
    for (const Zone& earlier : plan.zones)
      if (earlier.name == zone.name)
        text::fail(table.find("name")->place, prefix + "name",
                   "\"" + zone.name + "\" appears twice");
    read_si(&table, prefix, "area", text::Kind::kArea, kAbove, zone.area_m2);
    read_si(&table, prefix, "in_band", text::Kind::kVolumePerArea, {0.0, 1.0, true},
            zone.in_band_m3pm2);
    plan.area_m2 += zone.area_m2;
    plan.zones.push_back(std::move(zone));
  }
}

void read_field(const text::Node& document, const text::Place& file, RatePlan& plan) {
  const text::Node* field = section(document, "field", kFieldKeys);
  const text::Node* area = field == nullptr ? nullptr : field->find("area");
  read_si(field, "field.", "pass_length", text::Kind::kLength, kAbove, plan.pass_length_m);
  if (const text::Node* zones = document.find("zone")) {
    read_zones(*zones, plan);
    if (area != nullptr)
      text::fail(area->place, "field.area", "contradicts [[zone]]: the zones' areas add up to it");
    return;
  }
  if (area == nullptr)
    text::fail(field == nullptr ? file : field->place, "field.area",
               "is missing, or state [[zone]]");
  plan.area_m2 = text::read_quantity_si(*area, "field.area", text::Kind::kArea, kAbove);
}

void read_rates(const text::Node& own, const text::Node& document, RatePlan& plan) {
  if (const text::Node* old = text::find_dotted(document, "plan.invest"))
    text::fail(
        old->place, "plan.invest",
        "is now called plan.concentrate: 0 keeps the strength beside the seed, 1 keeps the volume "
        "per area");
  const text::Node* table = section(document, "plan", kPlanKeys);
  const text::Node* average = table == nullptr ? nullptr : table->find("field_average");
  const text::Node* former = table == nullptr ? nullptr : table->find("former");
  const text::Node* concentrate = table == nullptr ? nullptr : table->find("concentrate");
  const text::Node* in_band = text::find_dotted(own, "rate.in_band");
  read_si(table, "plan.", "field_average", text::Kind::kVolumePerArea, {0.0, 1.0, true},
          plan.field_average_m3pm2);
  read_si(table, "plan.", "former", text::Kind::kVolumePerArea, {0.0, 1.0, true},
          plan.former_m3pm2);
  read_si(table, "plan.", "concentrate", text::Kind::kRatio, {0.0, 1.0}, plan.concentrate_ratio);
  read_si(table, "plan.", "tank", text::Kind::kVolume, kAbove, plan.tank_m3);
  read_si(table, "plan.", "season", text::Kind::kArea, kAbove, plan.season_m2);
  if (concentrate != nullptr && former == nullptr)
    text::fail(concentrate->place, "plan.concentrate",
               "needs plan.former: it states how the volume of that stream is laid into the bands");
  const bool concentrates = plan.concentrate_ratio > 0.0;
  if (average != nullptr && concentrates)
    text::fail(average->place, "plan.field_average",
               "contradicts plan.concentrate: state one of them");
  if (in_band != nullptr && (average != nullptr || concentrates))
    text::fail(in_band->place, "rate.in_band",
               average != nullptr ? "contradicts plan.field_average: state one of them"
                                  : "contradicts plan.concentrate: state one of them");
  if (document.find("zone") != nullptr && (average != nullptr || concentrates))
    text::fail(average != nullptr ? average->place : concentrate->place, "plan",
               "contradicts [[zone]]: each zone states its own in_band");
  // A former rate beside an in-band or field-average one only serves as a comparison.
  if (average != nullptr) {
    plan.given = RateGiven::kFieldAverage;
  } else if (former != nullptr && in_band == nullptr && document.find("zone") == nullptr) {
    plan.given = RateGiven::kFormer;
  }
  if (plan.product.kind == ProductKind::kPesticide && concentrates)
    text::fail(
        concentrate->place, "plan.concentrate",
        "must be 0 for a pesticide: the label's row rate is an upper limit in the band, so the "
        "band "
        "is never made stronger than the stream was");
}

}  // namespace

RatePlan load_rate_plan(const std::filesystem::path& file, const std::vector<std::string>& sets) {
  text::Node own = text::read_document(file);
  text::Node document = scenario::read_layers(file);
  for (const std::string& set : sets) {
    scenario::lay_set_over(own, set);
    scenario::lay_set_over(document, set);
  }
  text::Node machine = document;
  for (const std::string& name : kPlanSections) machine.drop(name);
  // The plan determines the rate, but a scenario does not load without one.
  if (text::find_dotted(machine, "rate.in_band") == nullptr)
    scenario::set_dotted(machine, "rate.in_band",
                         text::text_node("1 l/ha", {file.string(), 0, {}}));
  const text::Place place{file.string(), 0, {}};
  RatePlan plan;
  plan.scenario = scenario::scenario_of(machine, file);
  plan.name = file.stem().string();
  plan.folder = file.parent_path();
  plan.title = plan.scenario.title;
  read_product(document, place, plan);
  read_field(document, place, plan);
  read_rates(own, document, plan);
  const text::Node* crop = section(document, "crop", kCropKeys);
  if (crop == nullptr || crop->find("name") == nullptr)
    text::fail(crop == nullptr ? place : crop->place, "crop.name",
               "is missing: what the seed tolerates depends on it");
  read_word(*crop, "crop.", "name", kCrops, plan.crop);
  read_word(*crop, "crop.", "soil", kSoils, plan.soil);
  return plan;
}

std::span<const std::string_view> crop_words() { return kCrops; }
const char* crop_word(Crop crop) { return kCrops[static_cast<std::size_t>(crop)].data(); }
const char* soil_word(SoilTexture soil) { return kSoils[static_cast<std::size_t>(soil)].data(); }

}  // namespace sim::rate
