#include "sim/study/map/map_geojson.h"

#include <cmath>
#include <nlohmann/json.hpp>

namespace sim::map {
namespace {

constexpr std::size_t kPieceBytes = 1 << 18;

void put_coordinates(const GeoPoint& point, std::string& text) {
  text += '[';
  put_number(point.lon_deg, kDegreeDecimals, text);
  text += ',';
  put_number(point.lat_deg, kDegreeDecimals, text);
  text += ']';
}

}  // namespace

MapGeoJson::MapGeoJson(const std::filesystem::path& file, const MapLayer& layer,
                       const std::string& about)
    : file_(file) {
  const auto quoted = [](std::string_view words) { return nlohmann::json(words).dump(); };
  text_ = "{\"type\":\"FeatureCollection\",\"name\":" + quoted(layer.name) +
          ",\"status\":" + quoted(kSimulated) + ",\"description\":" + quoted(layer.description) +
          ",\"about\":" + quoted(about) + ",\"features\":[\n";
}

void MapGeoJson::put(const MapLayer& layer, const MapFeature& feature) {
  if (!first_) text_ += ",\n";
  first_ = false;
  text_ += "{\"type\":\"Feature\",\"geometry\":{\"type\":";
  text_ += layer.lines ? "\"LineString\",\"coordinates\":[" : "\"Point\",\"coordinates\":";
  put_coordinates(feature.at[0], text_);
  if (layer.lines) {
    text_ += ',';
    put_coordinates(feature.at[1], text_);
    text_ += ']';
  }
  text_ += "},\"properties\":{";
  for (std::size_t k = 0; k < layer.columns.size(); ++k) {
    ((text_ += '"') += layer.columns[k].name) += "\":";
    if (std::isfinite(feature.values_si[k]))
      put_number(feature.values_si[k], layer.columns[k].decimals, text_);
    else
      text_ += "null";
    text_ += ',';
  }
  if (layer.kinds) ((text_ += "\"kind\":\"") += feature.kind) += "\",";
  ((text_ += "\"status\":\"") += kSimulated) += "\"}}";
  if (text_.size() < kPieceBytes) return;
  file_.put(text_);
  text_.clear();
}

void MapGeoJson::finish() {
  text_ += "\n]}\n";
  file_.put(text_);
  file_.close();
}

}  // namespace sim::map
