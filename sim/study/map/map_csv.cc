#include "sim/study/map/map_csv.h"

namespace sim::map {
namespace {

constexpr std::size_t kPieceBytes = 1 << 18;

}  // namespace

MapCsv::MapCsv(const std::filesystem::path& file, const MapLayer& layer) : file_(file) {
  text_ = layer.lines ? "lat_deg,lon_deg,until_lat_deg,until_lon_deg" : "lat_deg,lon_deg";
  for (const MapColumn& column : layer.columns) (text_ += ',') += column.name;
  if (layer.kinds) text_ += ",kind";
  text_ += ",status\n";
}

void MapCsv::put(const MapLayer& layer, const MapFeature& feature) {
  for (std::size_t k = 0; k < (layer.lines ? 2u : 1u); ++k) {
    if (k > 0) text_ += ',';
    put_number(feature.at[k].lat_deg, kDegreeDecimals, text_);
    text_ += ',';
    put_number(feature.at[k].lon_deg, kDegreeDecimals, text_);
  }
  for (std::size_t k = 0; k < layer.columns.size(); ++k) {
    text_ += ',';
    put_number(feature.values_si[k], layer.columns[k].decimals, text_);
  }
  if (layer.kinds) (text_ += ',') += feature.kind;
  ((text_ += ',') += kSimulated) += '\n';
  if (text_.size() < kPieceBytes) return;
  file_.put(text_);
  text_.clear();
}

void MapCsv::finish() {
  file_.put(text_);
  file_.close();
}

}  // namespace sim::map
