// Polygons of a GeoPackage. The geometry's blob is a header (8 bytes and an envelope of 0, 32, 48
// or 64) and then well-known binary, in either order of bytes.
//
// Source   OGC 12-128r18, clause 2.1.3; OGC 06-103r4, clause 8.2 (well-known binary); from memory,
//          held by files that GDAL writes (tests/sim/study/map/prescription_test.cc)
#include <cstdint>
#include <cstring>
#include <optional>
#include <string_view>

#include "sim/output/sqlite.h"
#include "sim/study/map/prescription.h"
#include "sim/text/input_error.h"

namespace sim::map {
namespace {

constexpr std::uint32_t kMostPoints = 10'000'000;

[[noreturn]] void fail(const std::string& name, const std::string& what) {
  throw text::InputError(name + ": " + what);
}

/// Reads a blob from its front.
class Bytes {
 public:
  Bytes(std::string_view bytes, const std::string& name) : bytes_(bytes), name_(name) {}

  std::string_view take(std::size_t count) {
    if (bytes_.size() < count) fail(name_, "geometry: the blob is cut off");
    const std::string_view taken = bytes_.substr(0, count);
    bytes_.remove_prefix(count);
    return taken;
  }
  std::uint8_t byte() { return static_cast<std::uint8_t>(take(1)[0]); }
  void set_order(std::uint8_t little) { little_ = little != 0; }
  std::uint32_t whole() { return static_cast<std::uint32_t>(bits(4)); }
  double real_deg() {
    const std::uint64_t bits_of = bits(8);
    double value_deg = 0.0;
    std::memcpy(&value_deg, &bits_of, sizeof value_deg);
    return value_deg;
  }

 private:
  std::uint64_t bits(std::size_t count) {
    const std::string_view taken = take(count);
    std::uint64_t value = 0;
    for (std::size_t k = 0; k < count; ++k)
      value = value << 8 | static_cast<std::uint8_t>(taken[little_ ? count - 1 - k : k]);
    return value;
  }

  std::string_view bytes_;
  const std::string& name_;
  bool little_ = true;
};

constexpr std::uint32_t kPolygon = 3, kMultiPolygon = 6;

struct Shape {
  std::uint32_t kind = 0;
  int dimensions = 2;
};

/// Two dimensions, or with height (1000, or the flag of older writers), measure (2000) or both.
Shape shape_of(Bytes& bytes) {
  bytes.set_order(bytes.byte());
  const std::uint32_t type = bytes.whole();
  const bool height = (type & 0x80000000u) != 0 || (type & 0xffffu) / 1000 % 2 == 1;
  const bool measure = (type & 0x40000000u) != 0 || (type & 0xffffu) / 1000 >= 2;
  return {(type & 0xffffu) % 1000, 2 + (height ? 1 : 0) + (measure ? 1 : 0)};
}

GeoPolygon polygon_of(Bytes& bytes, int dimensions, const std::string& name) {
  GeoPolygon polygon;
  for (std::uint32_t rings = bytes.whole(); rings > 0; --rings) {
    GeoRing ring;
    const std::uint32_t points = bytes.whole();
    if (points > kMostPoints) fail(name, "geometry: a ring of more than ten million places");
    for (std::uint32_t k = 0; k < points; ++k) {
      const double lon_deg = bytes.real_deg();
      const double lat_deg = bytes.real_deg();
      for (int more = 2; more < dimensions; ++more) bytes.real_deg();
      ring.push_back({lat_deg, lon_deg});
    }
    require_ring(ring, name);
    polygon.push_back(std::move(ring));
  }
  if (polygon.empty()) fail(name, "geometry: a polygon without a ring");
  return polygon;
}

std::vector<GeoPolygon> parts_of(const std::string& blob, const std::string& name) {
  Bytes bytes(blob, name);
  if (bytes.take(2) != "GP") fail(name, "geometry: is no blob of a GeoPackage");
  bytes.byte();  // version
  const std::uint8_t flags = bytes.byte();
  bytes.take(4);  // reference system, checked by the table's own
  constexpr std::size_t kEnvelopes[] = {0, 32, 48, 48, 64};
  const unsigned envelope = flags >> 1 & 7u;
  if (envelope > 4) fail(name, "geometry: an envelope of an unknown kind");
  bytes.take(kEnvelopes[envelope]);
  const Shape shape = shape_of(bytes);
  std::vector<GeoPolygon> parts;
  if (shape.kind == kPolygon) {
    parts.push_back(polygon_of(bytes, shape.dimensions, name));
  } else if (shape.kind == kMultiPolygon) {
    for (std::uint32_t count = bytes.whole(); count > 0; --count) {
      const Shape part = shape_of(bytes);
      if (part.kind != kPolygon) fail(name, "geometry: a part that is no polygon");
      parts.push_back(polygon_of(bytes, part.dimensions, name));
    }
  }
  if (parts.empty())
    fail(name, "geometry: is no polygon or multipolygon; a prescription has these alone");
  return parts;
}

std::string quoted(const std::string& name) {
  std::string text = "\"";
  for (const char c : name) text += c == '"' ? std::string("\"\"") : std::string(1, c);
  return text + "\"";
}

RateProperty property_of(output::Database& database, const std::string& table) {
  RateProperty property;
  output::Statement columns(database, "SELECT name FROM pragma_table_info(?1)");
  columns.text(1, table);
  while (columns.step()) property.names.push_back(columns.text_at(0));
  return property;
}

bool has(const RateProperty& property, const char* name) {
  for (const std::string& one : property.names)
    if (one == name) return true;
  return false;
}

void read_table(output::Database& database, const std::string& table, const std::string& geometry,
                const std::string& file, std::vector<RatePolygon>& polygons) {
  const RateProperty head = property_of(database, table);
  if (!has(head, kRateProperty)) in_band_m3pm2(head, file + ": table " + table);  // throws
  const std::string unit = has(head, kUnitProperty) ? quoted(kUnitProperty) : "NULL";
  output::Statement rows(database, "SELECT " + quoted(geometry) + ", " + quoted(kRateProperty) +
                                       ", " + unit + ", " + quoted(kRateProperty) +
                                       " IS NULL FROM " + quoted(table));
  while (rows.step()) {
    RatePolygon one;
    one.name = file + ": feature " + std::to_string(polygons.size() + 1);
    RateProperty property = head;
    property.stated = rows.number_at(3) == 0;
    property.is_number = !rows.is_text_at(1);
    property.number_si = property.is_number ? rows.real_at_si(1) : 0.0;
    property.text = rows.text_at(1);
    property.unit = rows.text_at(2);
    one.in_band_m3pm2 = in_band_m3pm2(property, one.name);
    one.parts = parts_of(rows.text_at(0), one.name);
    polygons.push_back(std::move(one));
  }
}

}  // namespace

std::vector<RatePolygon> read_geopackage_polygons(const std::filesystem::path& file) {
  std::error_code error;
  if (!std::filesystem::is_regular_file(file, error))
    fail(file.string(), "cannot read: no such file");
  output::Database database(file, output::Access::kRead, output::Holds::kMap);
  output::Statement tables(database,
                           "SELECT table_name, column_name, srs_id, geometry_type_name FROM "
                           "gpkg_geometry_columns ORDER BY table_name");
  std::vector<RatePolygon> polygons;
  while (tables.step()) {
    const std::string type = tables.text_at(3);
    if (type.find("POINT") != std::string::npos || type.find("LINE") != std::string::npos) continue;
    const std::string table = tables.text_at(0);
    if (tables.number_at(2) != 4326)
      fail(file.string(), "table " + table + ": reference system " +
                              std::to_string(tables.number_at(2)) +
                              " where 4326 (WGS 84) is needed; convert it");
    read_table(database, table, tables.text_at(1), file.string(), polygons);
  }
  if (polygons.empty()) fail(file.string(), "holds no polygon");
  return polygons;
}

}  // namespace sim::map
