#include "sim/study/map/prescription.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "sim/text/document.h"
#include "sim/text/input_error.h"
#include "sim/text/nearest.h"
#include "sim/text/quantity.h"

namespace sim::map {
namespace {

using Json = nlohmann::json;

constexpr std::size_t kMostBytes = 256'000'000;
constexpr double kMostRate_m3pm2 = 1e-4;  // as [[rate.zone]]

[[noreturn]] void fail(const std::string& name, const std::string& what) {
  throw text::InputError(name + ": " + what);
}

GeoRing ring_of(const Json& points, const std::string& name) {
  GeoRing ring;
  if (!points.is_array()) fail(name, "a ring is no list of places");
  for (const Json& point : points) {
    if (!point.is_array() || point.size() < 2 || !point[0].is_number() || !point[1].is_number())
      fail(name, "a place is not [longitude, latitude]");
    ring.push_back({point[1].get<double>(), point[0].get<double>()});
  }
  require_ring(ring, name);
  return ring;
}

GeoPolygon polygon_of(const Json& rings, const std::string& name) {
  GeoPolygon polygon;
  if (!rings.is_array() || rings.empty()) fail(name, "a polygon without a ring");
  for (const Json& ring : rings) polygon.push_back(ring_of(ring, name));
  return polygon;
}

std::vector<GeoPolygon> parts_of(const Json& geometry, const std::string& name) {
  const bool typed =
      geometry.is_object() && geometry.contains("type") && geometry["type"].is_string();
  const std::string type = typed ? geometry["type"].get<std::string>() : std::string();
  if (type != "Polygon" && type != "MultiPolygon")
    fail(name, "geometry: is " + (type.empty() ? "missing" : "a " + type) +
                   "; a prescription has Polygon or MultiPolygon");
  if (!geometry.contains("coordinates")) fail(name, "geometry: coordinates are missing");
  const Json& coordinates = geometry["coordinates"];
  std::vector<GeoPolygon> parts;
  if (type == "Polygon") {
    parts.push_back(polygon_of(coordinates, name));
  } else {
    if (!coordinates.is_array() || coordinates.empty()) fail(name, "geometry: has no polygon");
    for (const Json& one : coordinates) parts.push_back(polygon_of(one, name));
  }
  return parts;
}

RateProperty property_of(const Json& feature) {
  RateProperty property;
  const auto found = feature.find("properties");
  if (found == feature.end() || !found->is_object()) return property;
  for (const auto& [key, value] : found->items()) {
    property.names.push_back(key);
    if (key == kUnitProperty && value.is_string()) property.unit = value.get<std::string>();
    if (key != kRateProperty || value.is_null()) continue;
    property.stated = true;
    property.is_number = value.is_number();
    if (value.is_number()) property.number_si = value.get<double>();
    property.text = value.is_string() ? value.get<std::string>() : value.dump();
  }
  return property;
}

/// Before RFC 7946 a file could name another reference system.
void require_wgs84(const Json& document, const std::string& file) {
  if (!document.contains("crs")) return;
  const std::string crs = document["crs"].dump();
  if (crs.find("CRS84") == std::string::npos && crs.find("4326") == std::string::npos)
    fail(file,
         "crs: is not WGS 84, as RFC 7946 has it; convert the file to longitude and latitude");
}

}  // namespace

void require_ring(const GeoRing& ring, const std::string& name) {
  if (ring.size() < 4) fail(name, "a ring has fewer than four places");
  if (ring.front().lat_deg != ring.back().lat_deg || ring.front().lon_deg != ring.back().lon_deg)
    fail(name, "a ring is open: its last place is not its first");
  for (const GeoPoint& point : ring)
    if (!(std::fabs(point.lat_deg) <= 90.0 && std::fabs(point.lon_deg) <= 180.0))
      fail(name, "a place lies at longitude " + text::shortest_text(point.lon_deg) + ", latitude " +
                     text::shortest_text(point.lat_deg) + ": these are no degrees of WGS 84");
}

double in_band_m3pm2(const RateProperty& property, const std::string& name) {
  const auto refuse = [&](const std::string& what) {
    fail(name, std::string(kRateProperty) + ": " + what);
  };
  if (!property.stated) {
    const std::string nearest = text::nearest_name(kRateProperty, property.names);
    refuse("this property is missing" +
           (nearest.empty() ? std::string() : "; nearest name there: `" + nearest + "`"));
  }
  std::string words = property.text;
  if (property.is_number) {
    if (property.unit.empty())
      refuse("a number has no unit; state it in `" + std::string(kUnitProperty) +
             "`, or write the rate as text (\"6 gal/ac\")");
    words = text::shortest_text(property.number_si) + " " + property.unit;
  }
  const text::Quantity rate = text::parse_quantity(words, text::Kind::kVolumePerArea);
  if (!rate.error.empty())
    refuse("`" + words + "`: " + rate.error +
           (rate.nearest.empty() ? "" : "; nearest valid unit: `" + rate.nearest + "`"));
  if (!(rate.value_si >= 0.0 && rate.value_si <= kMostRate_m3pm2))
    refuse("`" + words + "` is out of range: from 0 to 1000 l/ha");
  return rate.value_si;
}

std::vector<RatePolygon> read_geojson_polygons(const std::filesystem::path& file) {
  const std::string text = text::read_text(file, kMostBytes);
  Json document;
  try {
    document = Json::parse(text);
  } catch (const Json::exception& error) {
    fail(file.string(), std::string("is no JSON: ") + error.what());
  }
  if (!document.is_object() || !document.contains("features") || !document["features"].is_array())
    fail(file.string(), "is no GeoJSON with a list of features");
  require_wgs84(document, file.string());
  std::vector<RatePolygon> polygons;
  for (const Json& feature : document["features"]) {
    RatePolygon one;
    one.name = file.string() + ": feature " + std::to_string(polygons.size() + 1);
    if (!feature.is_object()) fail(one.name, "is no feature");
    one.in_band_m3pm2 = in_band_m3pm2(property_of(feature), one.name);
    one.parts = parts_of(feature.contains("geometry") ? feature["geometry"] : Json(), one.name);
    polygons.push_back(std::move(one));
  }
  if (polygons.empty()) fail(file.string(), "holds no feature");
  return polygons;
}

std::vector<RatePolygon> read_prescription(const std::filesystem::path& file) {
  const std::string ending = file.extension().string();
  if (ending == ".geojson" || ending == ".json") return read_geojson_polygons(file);
  if (ending == ".gpkg") return read_geopackage_polygons(file);
  fail(file.string(), "a prescription ends in .geojson, .json or .gpkg");
}

}  // namespace sim::map
