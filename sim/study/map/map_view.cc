#include "sim/study/map/map_view.h"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "sim/output/json_text.h"
#include "sim/statistics/none.h"
#include "sim/study/map/map.h"
#include "sim/text/input_error.h"

namespace sim::map {
namespace {

using Json = nlohmann::ordered_json;

/// To 0.1 mm: what a screen can show at its closest.
double tenth_mm(double place_m) { return std::round(place_m * 1e4) / 1e4; }

class View {
 public:
  explicit View(const FieldPlace& place) : plane_(place.of_machine(0)) {}
  void put(Json& list, const GeoPoint& point) const {
    const PlanePoint place = plane_.plane_of(point);
    list.push_back(tenth_mm(place.east_m));
    list.push_back(tenth_mm(place.north_m));
  }

 private:
  LocalPlane plane_;
};

Json names(std::initializer_list<const char*> columns) {
  Json list = Json::array();
  for (const char* column : columns) list.push_back(column);
  return list;
}

void put_band(const KeptBand& band, const KeptRun& run, const FieldPlace& place, const View& view,
              Json& bands) {
  const auto row = static_cast<std::size_t>(band.row);
  const std::size_t second =
      std::min(run.seconds - 1, static_cast<std::size_t>(std::max(0.0, band.open_s)));
  const double x_m = band.centre_x_ground_m;
  const double half_m = 0.5 * std::max(0.0, band.length_m);
  Json one = Json::array({band.row, band.seed});
  view.put(one, place.of_band(row, x_m - half_m, second));
  view.put(one, place.of_band(row, x_m + half_m, second));
  // Of a merged band the place of its seed is not known by its own error.
  const bool known = std::isfinite(band.placement_error_m);
  view.put(one, place.of_band(row, known ? x_m - band.placement_error_m : x_m, second));
  const double rate_m3pm2 = band.merged ? statistics::kNone_ratio : band.dose_m3 / run.band_area_m2;
  for (const double value :
       {band.open_s, band.length_m, band.placement_error_m, band.dose_m3, rate_m3pm2})
    one.push_back(output::number_or_null(value));
  one.push_back(band.merged ? "merged" : band.weak ? "weak" : "banded");
  bands.push_back(std::move(one));
}

}  // namespace

double usual_pass_length_m(const KeptRun& run) {
  double way_m = 0.0;
  for (std::size_t second = 0; second < run.seconds; ++second) way_m += run.at(0, second).way_m;
  const double wide_m =
      std::isfinite(run.width_m) ? run.width_m * static_cast<double>(run.rows) : 0.0;
  const double length_m = std::ceil(std::sqrt(2.0 * std::max(0.0, way_m) * wide_m));
  return length_m >= 1.0 && length_m < 0.75 * way_m ? length_m : 0.0;
}

std::string cells_json(const KeptRun& run, const FieldPlace& place, double pass_length_m,
                       const std::string& explain) {
  if (run.applied.size() > kMostCells)
    throw text::InputError(
        fmt::format("this pass has {} seconds of rows, and the page draws at most {}: use `sillion "
                    "map {}` and a program for maps",
                    run.applied.size(), kMostCells, run.folder.string()));
  const View view(place);
  Json json;
  json["schema"] = "sillion.page.map.1";
  json["about"] = about_map(run, place);
  json["explain"] = explain;
  json["invented"] = place.invented();
  json["rows"] = run.rows;
  json["width_m"] = output::number_or_null(run.width_m);
  json["pass_length_m"] = pass_length_m;
  json["columns"] = names({"row", "second", "from_east_m", "from_north_m", "until_east_m",
                           "until_north_m", "from_s", "until_s", "in_band_set_m3pm2",
                           "in_band_m3pm2", "volume_m3", "seeds", "missed", "bands"});
  Json cells = Json::array();
  for (std::size_t k = 0; k < run.applied.size(); ++k) {
    const run::AppliedSecond& one = run.applied[k];
    const std::size_t row = k / run.seconds, second = k % run.seconds;
    Json cell = Json::array({row, second});
    view.put(cell, place.from(row, second));
    view.put(cell, place.until(row, second));
    for (const double value :
         {one.from_s, one.until_s, one.in_band_set_m3pm2, one.in_band_m3pm2, one.volume_m3})
      cell.push_back(output::number_or_null(value));
    for (const int count : {one.seeds, one.missed, one.bands}) cell.push_back(count);
    cells.push_back(std::move(cell));
  }
  json["cells"] = std::move(cells);
  return json.dump() + "\n";
}

std::string bands_json(const KeptRun& run, const FieldPlace& place, double from_s, double until_s,
                       const std::atomic<bool>* stop) {
  const View view(place);
  Json json;
  json["schema"] = "sillion.page.bands.1";
  json["columns"] = names({"row", "seed", "start_east_m", "start_north_m", "end_east_m",
                           "end_north_m", "seed_east_m", "seed_north_m", "open_s", "length_m",
                           "placement_error_m", "dose_m3", "in_band_m3pm2", "kind"});
  Json bands = Json::array();
  for_each_band(
      run,
      [&](const KeptBand& band) {
        if (band.open_s < from_s || band.open_s >= until_s) return;
        if (bands.size() >= kMostBands)
          throw text::InputError(fmt::format(
              "there are more than {} bands in this stretch of the field: go closer", kMostBands));
        put_band(band, run, place, view, bands);
      },
      stop);
  json["bands"] = std::move(bands);
  return json.dump() + "\n";
}

}  // namespace sim::map
