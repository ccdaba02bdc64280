#include "sim/scenario/outlet_keys.h"

#include <string>

#include "model/fluid/discharge.h"

namespace sim::scenario {
namespace {

constexpr const char* kCoefficients[] = {"discharge_coefficient", "laminar_coefficient"};

const text::Node* table_at(const text::Node* table, const char* key) {
  const text::Node* found = table == nullptr ? nullptr : table->find(key);
  return found != nullptr && found->kind == text::NodeKind::kTable ? found : nullptr;
}

bool states_coefficient(const text::Node& outlet) {
  return outlet.find(kCoefficients[0]) != nullptr || outlet.find(kCoefficients[1]) != nullptr;
}

}  // namespace

void drop_replaced_outlet(text::Node& below, const text::Node& above) {
  const text::Node* stated = table_at(table_at(&above, "attachment"), "outlet");
  text::Node* attachment = below.find("attachment");
  text::Node* outlet = attachment == nullptr ? nullptr : attachment->find("outlet");
  if (stated == nullptr || outlet == nullptr || outlet->kind != text::NodeKind::kTable) return;
  if (stated->find("length") != nullptr) {
    for (const char* key : kCoefficients) outlet->drop(key);
  } else if (states_coefficient(*stated)) {
    outlet->drop("length");
  }
}

void refuse_both_outlet(const text::Node& attachment, std::string_view prefix) {
  const std::string name = std::string(prefix) + "outlet.";
  const text::Node* outlet = table_at(&attachment, "outlet");
  const text::Node* length = outlet == nullptr ? nullptr : outlet->find("length");
  if (length == nullptr) return;
  for (const char* key : kCoefficients) {
    if (outlet->find(key) != nullptr)
      text::fail(length->place, name + "length",
                 "contradicts `" + name + key + "`: state one of them");
  }
}

void settle_outlet(const text::Node* attachment, model::Outlet& outlet, const text::Places& places,
                   const text::Place& file, std::string_view prefix) {
  const std::string key = std::string(prefix) + "outlet.length";
  const text::Node* stated = table_at(attachment, "outlet");
  if (attachment != nullptr) refuse_both_outlet(*attachment, prefix);
  if (stated != nullptr && states_coefficient(*stated)) outlet.length_m = 0.0;
  if (!(outlet.length_m > 0.0)) return;
  const double bores_ratio = outlet.length_m / outlet.bore_m;
  if (bores_ratio < model::kShortestTube_ratio || bores_ratio > model::kLongestTube_ratio) {
    const auto place = places.find(key);
    text::fail(place == places.end() ? file : place->second, key,
               "\"" + text::format_quantity(outlet.length_m, text::Kind::kLength, "mm") + "\" is " +
                   text::shortest_text(bores_ratio) +
                   " bores long: the law of the short tube holds from 2 to 10. State "
                   "discharge_coefficient instead");
  }
  const model::ShortTube tube = model::short_tube(bores_ratio);
  outlet.discharge_coefficient_ratio = tube.discharge_coefficient_ratio;
  outlet.laminar_coefficient_ratio = tube.laminar_coefficient_ratio;
}

}  // namespace sim::scenario
