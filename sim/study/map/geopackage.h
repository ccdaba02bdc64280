// A map as a GeoPackage: an SQLite file with a table of features per layer.
//
//   The geometry is a blob: the header GP, version 0, flags 1 (little endian, no envelope), the
//   number 4326 of the reference system, then the point or line as well-known binary. Longitude
//   comes first. There is no spatial index: a reader makes its own (an R-tree over four million
//   points would take longer than the map).
//   A feature's number is a plain INTEGER PRIMARY KEY: AUTOINCREMENT would write to a second table
//   with every feature.
//   last_change is the instant of the map's clock, not that of writing: same map, same bytes.
//
// Errors   OutputError
// Source   OGC 12-128r18, GeoPackage 1.3.1: clauses 1.1.1 (file), 1.1.2 (reference systems), 1.1.3
//          (contents), 2.1 (features); from memory, held by the reader of its test
// Checked  tests/sim/study/map/map_formats_test.cc
#pragma once

#include <filesystem>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "sim/output/sqlite.h"
#include "sim/study/map/map_writer.h"

namespace sim::map {

class GeoPackage : public MapWriter {
 public:
  /// `about`: what the map is of, in words. `changed`: an instant, as 1980-01-01T00:00:00.000Z.
  GeoPackage(const std::filesystem::path& file, std::span<const MapLayer* const> layers,
             const std::string& about, const std::string& changed);
  void put(const MapLayer& layer, const MapFeature& feature) override;
  void finish() override;

 private:
  struct Table {
    const MapLayer* layer = nullptr;
    std::unique_ptr<output::Statement> insert;
    GeoPoint least{1e3, 1e3}, most{-1e3, -1e3};
  };
  void make_table(const MapLayer& layer, const std::string& about, const std::string& changed);

  output::Database database_;
  std::vector<Table> tables_;
  std::string geometry_;
};

}  // namespace sim::map
