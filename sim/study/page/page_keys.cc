#include "sim/study/page/page_keys.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <nlohmann/json.hpp>
#include <string_view>

#include "sim/output/json_text.h"
#include "sim/scenario/catalog.h"
#include "sim/scenario/sections.h"
#include "sim/text/selective_fields.h"

namespace sim::page {
namespace {

struct PageSlider {
  std::string_view key;
  std::string_view label;
  std::string_view from, to;  // the field beside the slider takes the key's whole range
};

// From end to end a slider covers what the project's own scenarios use, and some more.
constexpr PageSlider kPageSliders[] = {
    {"travel.speed", "ground speed", "4 km/h", "20 km/h"},
    {"seeding.spacing", "spacing of the seeds", "50 mm", "400 mm"},
    {"rate.in_band", "rate inside the band", "20 l/ha", "200 l/ha"},
    {"rate.band_length", "length of a band", "20 mm", "150 mm"},
    {"supply.pressure", "highest supply pressure", "1 bar", "8 bar"},
    {"liquid.temperature", "temperature of the liquid", "0 C", "40 C"},
    {"supply.voltage", "supply voltage", "9 V", "16 V"},
    {"attachment.outlet.bore", "bore of the outlet", "0.8 mm", "4 mm"},
    {"attachment.tube.length", "length of the tube", "50 mm", "1500 mm"},
    {"attachment.tube.bore", "bore of the tube", "3 mm", "12 mm"},
    {"attachment.hose.length", "length of the hose", "50 mm", "2000 mm"},
    {"attachment.outlet_offset", "outlet behind the seed's place", "0 mm", "250 mm"},
    {"attachment.jet.drop_height", "height of the outlet", "10 mm", "200 mm"},
    {"controller.delay_time_error", "added to a of the delay table", "-5 ms", "5 ms"},
    {"controller.delay_distance_error", "added to b of the delay table", "-30 mm", "30 mm"},
};

// Sections that say how much is computed and how, not what is on the field.
constexpr std::string_view kPageLeavesOut[] = {"duration", "seeds",   "row.count",
                                               "solver.",  "tuning.", "controller.strip_test_bands",
                                               "title",    "rng_key"};
// Texts that are names of the catalogs. Every other text is a path or a note.
constexpr std::string_view kPageNames[] = {"attachment.name", "liquid.name"};

bool left_out(std::string_view key) {
  return std::any_of(
      std::begin(kPageLeavesOut), std::end(kPageLeavesOut),
      [&](std::string_view out) { return out.ends_with('.') ? key.starts_with(out) : key == out; });
}

class PageLister : public text::SelectiveFields {
 public:
  explicit PageLister(output::Units units) : units_(units) {}
  std::vector<PageKey> keys;

  void quantity(std::string_view key, double& value_si, text::Kind kind, text::Range range,
                std::string_view help) override {
    PageKey* added = add(key, KeyForm::kQuantity, help);
    if (added == nullptr) return;
    added->kind = kind;
    added->unit = unit_for_people(kind, units_);
    added->value_si = value_si;
    added->value = text::format_quantity(value_si, kind, added->unit);
    if (range.low_si > -1e29 || range.high_si < 1e29)
      added->range = (range.above ? "above " : "") +
                     text::format_quantity(range.low_si, kind, added->unit) + " to " +
                     text::format_quantity(range.high_si, kind, added->unit);
  }
  void whole_number(std::string_view key, std::int64_t& value, std::int64_t low, std::int64_t high,
                    std::string_view help) override {
    if (PageKey* added = add(key, KeyForm::kWhole, help)) {
      added->value = std::to_string(value);
      added->range = std::to_string(low) + " to " + std::to_string(high);
    }
  }
  void flag(std::string_view key, bool& value, std::string_view help) override {
    if (PageKey* added = add(key, KeyForm::kFlag, help)) {
      added->value = value ? "true" : "false";
      added->words = {"true", "false"};
    }
  }
  void text(std::string_view key, std::string& value, std::string_view help) override {
    const std::string whole = dotted(key);
    if (std::find(std::begin(kPageNames), std::end(kPageNames), whole) == std::end(kPageNames))
      return;
    if (PageKey* added = add(key, KeyForm::kName, help)) added->value = value;
  }
  void word(std::string_view key, int& index, std::span<const std::string_view> words,
            std::string_view help) override {
    if (PageKey* added = add(key, KeyForm::kWord, help)) {
      added->value = std::string(words[static_cast<std::size_t>(index)]);
      added->words.assign(words.begin(), words.end());
    }
  }

 private:
  /// Null where the page does not set the key; valid until the next key is added.
  PageKey* add(std::string_view key, KeyForm form, std::string_view help) {
    const std::string whole = dotted(key);
    if (left_out(whole)) return nullptr;
    keys.push_back({.key = whole, .help = std::string(help), .form = form});
    return &keys.back();
  }

  output::Units units_;
};

double quantity_si(std::string_view written, text::Kind kind) {
  return text::parse_quantity(written, kind).value_si;
}

/// The keys with a slider stand first, in the order of kPageSliders. A slider reaches to the value
/// that the scenario states, wherever that is.
void give_sliders(std::vector<PageKey>& keys) {
  auto next = keys.begin();
  for (const PageSlider& slider : kPageSliders) {
    const auto found =
        std::find_if(next, keys.end(), [&](const PageKey& one) { return one.key == slider.key; });
    if (found == keys.end()) continue;
    found->label = slider.label;
    found->from_si = std::min(quantity_si(slider.from, found->kind), found->value_si);
    found->to_si = std::max(quantity_si(slider.to, found->kind), found->value_si);
    std::rotate(next, found, found + 1);
    ++next;
  }
}

/// Names that stand in the catalog, and the scenario's own if that stands elsewhere.
std::vector<std::string> catalog_names(const PageKey& key, const std::filesystem::path& folder) {
  std::vector<std::string> names;
  for (const scenario::CatalogEntry& entry : key.key == "liquid.name"
                                                 ? scenario::liquid_catalog(folder)
                                                 : scenario::attachment_catalog(folder))
    names.push_back(entry.name);
  if (std::find(names.begin(), names.end(), key.value) == names.end()) names.push_back(key.value);
  return names;
}

/// The step of a slider: 1, 2 or 5 times a power of ten, about a hundredth of its way.
double round_step_si(double way_si) {
  double step_si = 1e-6;
  for (double power_si = 1e-6; power_si <= way_si / 50.0; power_si *= 10.0)
    for (const double times_ratio : {1.0, 2.0, 5.0})
      if (times_ratio * power_si <= way_si / 50.0) step_si = times_ratio * power_si;
  return step_si;
}

}  // namespace

std::string unit_for_people(text::Kind kind, output::Units units) {
  const bool us = units == output::Units::kUs;
  switch (kind) {
    case text::Kind::kLength: return us ? "in" : "mm";
    case text::Kind::kTime: return "ms";
    case text::Kind::kSpeed: return us ? "mph" : "km/h";
    case text::Kind::kPressure: return us ? "psi" : "bar";
    case text::Kind::kVolumePerArea: return us ? "gal/ac" : "l/ha";
    case text::Kind::kRatio: return "%";
    case text::Kind::kMass: return "g";
    case text::Kind::kTemperature: return us ? "F" : "C";
    case text::Kind::kViscosity: return "mPa s";
    case text::Kind::kAngle: return "deg";
    case text::Kind::kInductance: return "mH";
    case text::Kind::kSpringRate: return "N/mm";
    default: return std::string(text::kind_word(kind).si_unit);
  }
}

double number_in_unit_si(double value_si, text::Kind kind, const std::string& unit) {
  const std::string written = text::format_quantity(value_si, kind, unit);
  double number_si = 0.0;
  std::from_chars(written.data(), written.data() + written.size(), number_si);
  return number_si;
}

std::vector<PageKey> page_keys(const scenario::Scenario& scenario, output::Units units) {
  PageLister lister(units);
  scenario::Scenario copy = scenario;
  describe(copy, lister);
  give_sliders(lister.keys);
  return lister.keys;
}

std::string page_keys_json(const scenario::Scenario& scenario, output::Units units,
                           const std::filesystem::path& folder) {
  nlohmann::ordered_json json;
  json["schema"] = "sillion.page.keys.1";
  json["keys"] = nlohmann::ordered_json::array();
  for (const PageKey& key : page_keys(scenario, units)) {
    nlohmann::ordered_json one;
    one["key"] = key.key;
    one["help"] = key.help;
    one["value"] = key.value;
    one["range"] = key.range;
    if (key.form == KeyForm::kName) {
      one["words"] = catalog_names(key, folder);
      one["catalog"] = key.key.substr(0, key.key.find('.'));
    }
    if (!key.words.empty()) one["words"] = key.words;
    if (key.form == KeyForm::kQuantity) one["unit"] = key.unit;
    if (!key.label.empty()) {
      const auto shown = [&](double value_si) {
        return number_in_unit_si(value_si, key.kind, key.unit);
      };
      const double from_si = shown(key.from_si), to_si = shown(key.to_si);
      one["slider"] = {{"label", key.label},
                       {"from", from_si},
                       {"to", to_si},
                       {"step", round_step_si(to_si - from_si)},
                       {"number", shown(key.value_si)}};
    }
    json["keys"].push_back(std::move(one));
  }
  return output::json_text(json);
}

}  // namespace sim::page
