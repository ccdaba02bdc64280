#include "sim/study/map/geopackage.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstring>

#include "shared/check.h"

namespace sim::map {
namespace {

constexpr const char* kWgs84 =
    "GEOGCS[\"WGS 84\",DATUM[\"WGS_1984\",SPHEROID[\"WGS "
    "84\",6378137,298.257223563,AUTHORITY[\"EPSG\",\"7030\"]],AUTHORITY[\"EPSG\",\"6326\"]],"
    "PRIMEM[\"Greenwich\",0,AUTHORITY[\"EPSG\",\"8901\"]],UNIT[\"degree\",0.0174532925199433,"
    "AUTHORITY[\"EPSG\",\"9122\"]],AUTHORITY[\"EPSG\",\"4326\"]]";

// 0x47504B47 is GPKG in letters; 10300 is version 1.3.0.
constexpr const char* kFrame =
    "PRAGMA application_id = 1196444487; PRAGMA user_version = 10300; PRAGMA cache_size = -16000;"
    "BEGIN;"
    "CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT NOT NULL, srs_id INTEGER NOT NULL PRIMARY "
    "KEY, organization TEXT NOT NULL, organization_coordsys_id INTEGER NOT NULL, definition TEXT "
    "NOT NULL, description TEXT);"
    "CREATE TABLE gpkg_contents (table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, "
    "identifier TEXT UNIQUE, description TEXT DEFAULT '', last_change DATETIME NOT NULL DEFAULT "
    "(strftime('%Y-%m-%dT%H:%M:%fZ','now')), min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y "
    "DOUBLE, srs_id INTEGER, CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES "
    "gpkg_spatial_ref_sys(srs_id));"
    "CREATE TABLE gpkg_geometry_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL, "
    "geometry_type_name TEXT NOT NULL, srs_id INTEGER NOT NULL, z TINYINT NOT NULL, m TINYINT NOT "
    "NULL, CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name), CONSTRAINT "
    "uk_gc_table_name UNIQUE (table_name), CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES "
    "gpkg_contents(table_name), CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES "
    "gpkg_spatial_ref_sys (srs_id));"
    "INSERT INTO gpkg_spatial_ref_sys VALUES ('Undefined Cartesian SRS', -1, 'NONE', -1, "
    "'undefined', 'undefined Cartesian coordinate reference system'), ('Undefined geographic SRS', "
    "0, 'NONE', 0, 'undefined', 'undefined geographic coordinate reference system');";

template <typename Value>
void put_bytes(const Value& value, std::string& bytes) {
  static_assert(std::endian::native == std::endian::little);
  char raw[sizeof value];
  std::memcpy(raw, &value, sizeof value);
  bytes.append(raw, sizeof value);
}

void put_point(const GeoPoint& point, std::string& bytes) {
  put_bytes(rounded_si(point.lon_deg, kDegreeDecimals), bytes);
  put_bytes(rounded_si(point.lat_deg, kDegreeDecimals), bytes);
}

void put_geometry(const MapLayer& layer, const MapFeature& feature, std::string& bytes) {
  bytes.assign("GP\0\1", 4);
  put_bytes(std::int32_t{4326}, bytes);
  bytes += '\1';  // little endian
  put_bytes(layer.lines ? std::uint32_t{2} : std::uint32_t{1}, bytes);
  if (layer.lines) put_bytes(std::uint32_t{2}, bytes);
  put_point(feature.at[0], bytes);
  if (layer.lines) put_point(feature.at[1], bytes);
}

void stretch(const GeoPoint& point, GeoPoint& least, GeoPoint& most) {
  least = {std::min(least.lat_deg, point.lat_deg), std::min(least.lon_deg, point.lon_deg)};
  most = {std::max(most.lat_deg, point.lat_deg), std::max(most.lon_deg, point.lon_deg)};
}

}  // namespace

GeoPackage::GeoPackage(const std::filesystem::path& file, std::span<const MapLayer* const> layers,
                       const std::string& about, const std::string& changed)
    : database_(file, output::Access::kWrite, output::Holds::kMap) {
  database_.run(kFrame);
  output::Statement wgs84(database_,
                          "INSERT INTO gpkg_spatial_ref_sys VALUES ('WGS 84 geodetic', 4326, "
                          "'EPSG', 4326, ?1, 'longitude, latitude in decimal degrees')");
  wgs84.text(1, kWgs84).step();
  for (const MapLayer* layer : layers) make_table(*layer, about, changed);
}

void GeoPackage::make_table(const MapLayer& layer, const std::string& about,
                            const std::string& changed) {
  const std::string name(layer.name);
  std::string columns = "CREATE TABLE " + name + " (fid INTEGER PRIMARY KEY NOT NULL, geom " +
                        (layer.lines ? "LINESTRING" : "POINT");
  std::string places = "?1";
  for (const MapColumn& column : layer.columns)
    columns += ", " + std::string(column.name) + (column.decimals == 0 ? " INTEGER" : " DOUBLE");
  if (layer.kinds) columns += ", kind TEXT";
  columns += ", status TEXT NOT NULL)";
  for (std::size_t k = 0; k < layer.columns.size() + (layer.kinds ? 2 : 1); ++k)
    places += ", ?" + std::to_string(k + 2);
  database_.run(columns);
  output::Statement contents(database_,
                             "INSERT INTO gpkg_contents (table_name, data_type, identifier, "
                             "description, last_change, srs_id) VALUES (?1, 'features', ?2, ?3, "
                             "?4, 4326)");
  const std::string identifier = name + " (" + std::string(kSimulated) + ")";
  const std::string description = std::string(layer.description) + ". " + about;
  contents.text(1, name).text(2, identifier).text(3, description).text(4, changed).step();
  database_.run("INSERT INTO gpkg_geometry_columns VALUES ('" + name + "', 'geom', '" +
                (layer.lines ? "LINESTRING" : "POINT") + "', 4326, 0, 0)");
  std::string names = "geom";
  for (const MapColumn& column : layer.columns) (names += ", ") += column.name;
  names += layer.kinds ? ", kind, status" : ", status";
  Table table{.layer = &layer};
  table.insert = std::make_unique<output::Statement>(
      database_, "INSERT INTO " + name + " (" + names + ") VALUES (" + places + ")");
  tables_.push_back(std::move(table));
}

void GeoPackage::put(const MapLayer& layer, const MapFeature& feature) {
  const auto found = std::find_if(tables_.begin(), tables_.end(),
                                  [&](const Table& table) { return table.layer == &layer; });
  EXPECTS(found != tables_.end());
  put_geometry(layer, feature, geometry_);
  output::Statement& insert = *found->insert;
  insert.bytes(1, geometry_);
  int place = 2;
  for (std::size_t k = 0; k < layer.columns.size(); ++k, ++place) {
    const double value_si = feature.values_si[k];
    if (layer.columns[k].decimals == 0 && std::isfinite(value_si))
      insert.number(place, static_cast<std::int64_t>(value_si));
    else
      insert.real(place, rounded_si(value_si, layer.columns[k].decimals));
  }
  if (layer.kinds) insert.text(place++, feature.kind);
  insert.text(place, kSimulated);
  insert.step();
  insert.reset();
  for (std::size_t k = 0; k < (layer.lines ? 2u : 1u); ++k)
    stretch(feature.at[k], found->least, found->most);
}

void GeoPackage::finish() {
  for (Table& table : tables_) {
    table.insert.reset();
    output::Statement box(database_,
                          "UPDATE gpkg_contents SET min_x = ?1, min_y = ?2, max_x = ?3, max_y = "
                          "?4 WHERE table_name = ?5");
    if (table.least.lat_deg > table.most.lat_deg) continue;  // no feature
    box.real(1, table.least.lon_deg).real(2, table.least.lat_deg);
    box.real(3, table.most.lon_deg).real(4, table.most.lat_deg).text(5, table.layer->name).step();
  }
  database_.run("COMMIT");
}

}  // namespace sim::map
