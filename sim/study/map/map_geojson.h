// A layer of a map as GeoJSON: a FeatureCollection with a feature per line of the file.
//
//   Coordinates are longitude, then latitude, of WGS 84. That the map is simulated stands in a
//   member of the collection and in every feature.
//
// Errors   OutputError
// Source   RFC 7946: sections 3.1 (geometry), 3.3 (collection), 4 (WGS 84), 6.1 (other members)
// Checked  tests/sim/study/map/map_formats_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/output/streamed_folder.h"
#include "sim/study/map/map_writer.h"

namespace sim::map {

class MapGeoJson : public MapWriter {
 public:
  /// `about`: what the map is of, in words.
  MapGeoJson(const std::filesystem::path& file, const MapLayer& layer, const std::string& about);
  void put(const MapLayer& layer, const MapFeature& feature) override;
  void finish() override;

 private:
  output::StreamedFile file_;
  std::string text_;
  bool first_ = true;
};

}  // namespace sim::map
