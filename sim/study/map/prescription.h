// A prescription map: polygons on the earth, each with the rate that is to be met in the band.
//
//   GeoJSON     features of Polygon or MultiPolygon (RFC 7946); others are refused
//   GeoPackage  every table of features whose geometry is a polygon or multipolygon in WGS 84
//               (reference system 4326)
//   in_band_rate        text with its unit ("6 gal/ac"), or a number, whose unit then stands in
//   in_band_rate_unit   ("l/ha")
//   Rates are in-band rates, as rate.in_band: a map of field-average rates has to say another name,
//   and is refused here instead of being read as something else.
//
// Errors   InputError with file, feature and property, and the nearest name: no such file or kind
//          of file, no polygon, a property that is missing, without a unit or out of range, places
//          that are no degrees, rings that are open or too short
// Checked  tests/sim/study/map/prescription_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/study/map/local_plane.h"

namespace sim::map {

using GeoRing = std::vector<GeoPoint>;  // closed: the last point is the first
/// The outer ring, then its holes.
using GeoPolygon = std::vector<GeoRing>;

struct RatePolygon {
  std::string name;  // "field.geojson: feature 3"
  std::vector<GeoPolygon> parts;
  double in_band_m3pm2 = 0.0;
};

/// By the file's ending: .geojson, .json or .gpkg.
std::vector<RatePolygon> read_prescription(const std::filesystem::path& file);

std::vector<RatePolygon> read_geojson_polygons(const std::filesystem::path& file);
std::vector<RatePolygon> read_geopackage_polygons(const std::filesystem::path& file);

/// A property as a file has it, for the two readers.
struct RateProperty {
  std::vector<std::string> names;  // of all properties, for the nearest one
  bool stated = false;
  bool is_number = false;
  double number_si = 0.0;  // tidy: unit is that of `unit`
  std::string text;
  std::string unit;
};
inline constexpr const char* kRateProperty = "in_band_rate";
inline constexpr const char* kUnitProperty = "in_band_rate_unit";
double in_band_m3pm2(const RateProperty& property, const std::string& name);
/// Throws where the ring is no ring of degrees.
void require_ring(const GeoRing& ring, const std::string& name);

}  // namespace sim::map
