// A layer of a map as a table: CSV with one head line, latitude and longitude of WGS 84 ahead of
// the layer's columns, and `simulated` at the end of every line.
//
//   A point has lat_deg and lon_deg; a line has those of its start, and until_lat_deg and
//   until_lon_deg besides.
//
// Errors   OutputError
// Source   RFC 4180
// Checked  tests/sim/study/map/map_formats_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/output/streamed_folder.h"
#include "sim/study/map/map_writer.h"

namespace sim::map {

class MapCsv : public MapWriter {
 public:
  MapCsv(const std::filesystem::path& file, const MapLayer& layer);
  void put(const MapLayer& layer, const MapFeature& feature) override;
  void finish() override;

 private:
  output::StreamedFile file_;
  std::string text_;
};

}  // namespace sim::map
