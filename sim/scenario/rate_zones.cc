#include "sim/scenario/rate_zones.h"

#include <algorithm>
#include <string>

#include "sim/text/reader.h"

namespace sim::scenario {
namespace {

RateZone read_zone(const text::Node& item, const std::string& prefix) {
  static const std::string kKnown[] = {"from", "until", "in_band"};
  if (item.kind != text::NodeKind::kTable)
    text::fail(item.place, "rate.zone",
               "each item is a table {from = \"3 s\", in_band = \"7 gal/ac\"}");
  text::refuse_other_keys(item, prefix, kKnown);
  RateZone zone;
  if (const text::Node* from = item.find("from"))
    zone.from_s = text::read_quantity_si(*from, prefix + "from", text::Kind::kTime, {0.0, 1e9});
  if (const text::Node* until = item.find("until"))
    zone.until_s = text::read_quantity_si(*until, prefix + "until", text::Kind::kTime, {0.0, 1e9});
  if (zone.until_s <= zone.from_s)
    text::fail(item.place, prefix + "until", "is not after `from`, so the zone is empty");
  const text::Node* in_band = item.find("in_band");
  if (in_band == nullptr) text::fail(item.place, prefix + "in_band", "is missing");
  zone.in_band_m3pm2 =
      text::read_quantity_si(*in_band, prefix + "in_band", text::Kind::kVolumePerArea, {0.0, 1e-4});
  return zone;
}

}  // namespace

std::vector<RateZone> read_rate_zones(const text::Node& document) {
  std::vector<RateZone> zones;
  const text::Node* list = text::find_dotted(document, "rate.zone");
  if (list == nullptr) return zones;
  if (list->kind != text::NodeKind::kArray)
    text::fail(list->place, "rate.zone",
               "must be a list of tables {from = \"3 s\", in_band = \"7 gal/ac\"}");
  for (const text::Node& item : list->items) {
    const std::string prefix = "rate.zone[" + std::to_string(zones.size()) + "].";
    const RateZone zone = read_zone(item, prefix);
    for (std::size_t k = 0; k < zones.size(); ++k)
      if (zone.from_s < zones[k].until_s && zones[k].from_s < zone.until_s)
        text::fail(item.place, prefix + "from",
                   "overlaps rate.zone[" + std::to_string(k) + "]: two rates at one place");
    zones.push_back(zone);
  }
  return zones;
}

double in_band_rate_m3pm2(const RateSection& rate, double at_s) {
  for (const RateZone& zone : rate.zones)
    if (at_s >= zone.from_s && at_s < zone.until_s) return zone.in_band_m3pm2;
  return rate.in_band_m3pm2;
}

double in_band_share_ratio(const RateSection& rate, double at_s) {
  return rate.zones.empty() ? 1.0 : in_band_rate_m3pm2(rate, at_s) / rate.in_band_m3pm2;
}

double mean_in_band_rate_m3pm2(const RateSection& rate, double from_s, double until_s) {
  if (rate.zones.empty() || !(until_s > from_s)) return in_band_rate_m3pm2(rate, from_s);
  double sum = 0.0, outside_s = until_s - from_s;  // tidy: m3/m2 s
  for (const RateZone& zone : rate.zones) {
    const double in_s = std::min(until_s, zone.until_s) - std::max(from_s, zone.from_s);
    if (in_s <= 0.0) continue;
    sum += zone.in_band_m3pm2 * in_s;
    outside_s -= in_s;
  }
  return (sum + rate.in_band_m3pm2 * std::max(0.0, outside_s)) / (until_s - from_s);
}

std::vector<double> rate_borders_s(const RateSection& rate) {
  std::vector<double> borders_s;
  for (const RateZone& zone : rate.zones)
    borders_s.insert(borders_s.end(), {zone.from_s, zone.until_s});
  std::sort(borders_s.begin(), borders_s.end());
  borders_s.erase(std::unique(borders_s.begin(), borders_s.end()), borders_s.end());
  return borders_s;
}

double least_share_ratio(const RateSection& rate) {
  double least_ratio = 1.0;
  for (const RateZone& zone : rate.zones)
    if (zone.in_band_m3pm2 > 0.0)
      least_ratio = std::min(least_ratio, zone.in_band_m3pm2 / rate.in_band_m3pm2);
  return least_ratio;
}

double most_share_ratio(const RateSection& rate) {
  double most_ratio = 1.0;
  for (const RateZone& zone : rate.zones)
    most_ratio = std::max(most_ratio, zone.in_band_m3pm2 / rate.in_band_m3pm2);
  return most_ratio;
}

}  // namespace sim::scenario
