#include "sim/study/map/track_zones.h"

#include <algorithm>
#include <boost/geometry.hpp>
#include <boost/geometry/geometries/geometries.hpp>
#include <cmath>

#include "sim/text/input_error.h"
#include "sim/text/quantity.h"

namespace sim::map {
namespace {

namespace bg = boost::geometry;
using Point = bg::model::d2::point_xy<double>;  // longitude, latitude
using Polygon = bg::model::polygon<Point>;
using MultiPolygon = bg::model::multi_polygon<Polygon>;
using Line = bg::model::linestring<Point>;
using Box = bg::model::box<Point>;

struct Area {
  const RatePolygon* polygon = nullptr;
  MultiPolygon shape;
  std::vector<Line> edges;  // every ring
  Box box;
};

Point point_of(const GeoPoint& point) { return {point.lon_deg, point.lat_deg}; }

Area area_of(const RatePolygon& polygon) {
  Area area{.polygon = &polygon};
  for (const GeoPolygon& rings : polygon.parts) {
    Polygon part;
    part.inners().resize(rings.size() - 1);
    for (std::size_t k = 0; k < rings.size(); ++k) {
      auto& ring = k == 0 ? part.outer() : part.inners()[k - 1];
      Line line;
      for (const GeoPoint& point : rings[k]) {
        ring.push_back(point_of(point));
        line.push_back(point_of(point));
      }
      area.edges.push_back(std::move(line));
    }
    area.shape.push_back(std::move(part));
  }
  bg::correct(area.shape);  // files differ in the sense of their rings
  std::string why;
  if (!bg::is_valid(area.shape, why))
    throw text::InputError(polygon.name +
                           ": geometry: is no sound polygon, as where rings cross "
                           "themselves or each other (" +
                           why + ")");
  bg::envelope(area.shape, area.box);
  return area;
}

/// Where the piece crosses an edge of the area, as shares of its length.
void add_cuts(const WayPiece& piece, const Area& area, std::vector<double>& cuts_ratio) {
  const Point from = point_of(piece.from), until = point_of(piece.until);
  const Line way = {from, until};
  const double x_deg = until.x() - from.x(), y_deg = until.y() - from.y();
  for (const Line& edges : area.edges) {
    bg::model::multi_point<Point> crossings;
    bg::intersection(way, edges, crossings);
    for (const Point& at : crossings)
      cuts_ratio.push_back(std::fabs(x_deg) > std::fabs(y_deg) ? (at.x() - from.x()) / x_deg
                                                               : (at.y() - from.y()) / y_deg);
  }
}

const RatePolygon* polygon_at(const Point& point, const std::vector<Area>& areas) {
  const RatePolygon* found = nullptr;
  for (const Area& area : areas) {
    if (!bg::covered_by(point, area.box) || !bg::covered_by(point, area.shape)) continue;
    if (found != nullptr && found->in_band_m3pm2 != area.polygon->in_band_m3pm2)
      throw text::InputError(area.polygon->name + ": overlaps " + found->name +
                             ", and they have different rates: two rates at one place of the way");
    found = area.polygon;
  }
  return found;
}

class Zones {
 public:
  void add(double from_s, double until_s, const RatePolygon* polygon) {
    if (!(until_s > from_s)) return;
    const bool same = open_ && polygon == polygon_ && from_s == zones_.back().until_s;
    open_ = polygon != nullptr;
    polygon_ = polygon;
    if (polygon == nullptr) return;
    if (same)
      zones_.back().until_s = until_s;
    else
      zones_.push_back({from_s, until_s, polygon->in_band_m3pm2});
  }
  std::vector<scenario::RateZone> take() { return std::move(zones_); }

 private:
  std::vector<scenario::RateZone> zones_;
  const RatePolygon* polygon_ = nullptr;
  bool open_ = false;
};

double microseconds_s(double at_s) { return std::round(at_s * 1e6) / 1e6; }

}  // namespace

std::vector<scenario::RateZone> zones_along(std::span<const RatePolygon> polygons,
                                            std::span<const WayPiece> way) {
  std::vector<Area> areas;
  for (const RatePolygon& polygon : polygons) areas.push_back(area_of(polygon));
  Zones zones;
  std::vector<double> cuts_ratio;
  for (const WayPiece& piece : way) {
    cuts_ratio = {0.0, 1.0};
    Box box;
    bg::envelope(Line{point_of(piece.from), point_of(piece.until)}, box);
    for (const Area& area : areas)
      if (bg::intersects(box, area.box)) add_cuts(piece, area, cuts_ratio);
    for (double& cut_ratio : cuts_ratio) cut_ratio = std::clamp(cut_ratio, 0.0, 1.0);
    std::sort(cuts_ratio.begin(), cuts_ratio.end());
    for (std::size_t k = 0; k + 1 < cuts_ratio.size(); ++k) {
      const auto at_s = [&](double cut_ratio) {
        return microseconds_s(piece.from_s + cut_ratio * (piece.until_s - piece.from_s));
      };
      const double middle_ratio = 0.5 * (cuts_ratio[k] + cuts_ratio[k + 1]);
      const Point middle(
          piece.from.lon_deg + middle_ratio * (piece.until.lon_deg - piece.from.lon_deg),
          piece.from.lat_deg + middle_ratio * (piece.until.lat_deg - piece.from.lat_deg));
      if (at_s(cuts_ratio[k + 1]) > at_s(cuts_ratio[k]))
        zones.add(at_s(cuts_ratio[k]), at_s(cuts_ratio[k + 1]), polygon_at(middle, areas));
    }
  }
  return zones.take();
}

std::string zones_set(std::span<const scenario::RateZone> zones) {
  std::string set = "rate.zone=[";
  for (const scenario::RateZone& zone : zones) {
    if (&zone != &zones.front()) set += ", ";
    set += "{from = \"" + text::shortest_text(zone.from_s) + " s\", until = \"" +
           text::shortest_text(zone.until_s) + " s\", in_band = \"" +
           text::shortest_text(zone.in_band_m3pm2) + " m3/m2\"}";
  }
  return set + "]";
}

}  // namespace sim::map
