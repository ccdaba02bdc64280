#include "sim/study/map/map_words.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "shared/units.h"
#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/study/map/task_file.h"

namespace sim::map {
namespace {

std::string shown_area(double area_m2, output::Units units) {
  return units == output::Units::kUs ? output::fixed_text(area_m2 / shared::kAcre_m2, 3) + " ac"
                                     : output::fixed_text(area_m2 / shared::kHectare_m2, 3) + " ha";
}

std::string shown_point(const GeoPoint& point) {
  std::string text;
  put_number(point.lat_deg, 6, text);
  text += ", ";
  put_number(point.lon_deg, 6, text);
  return text;
}

}  // namespace

std::string map_json(const KeptRun& run, const FieldPlace& place, const MapTotals& totals) {
  nlohmann::ordered_json object;
  object["schema"] = "sillion.map.1";
  object["status"] = kSimulated;
  object["note"] = kNoRecord;
  object["about"] = about_map(run, place);
  object["name"] = run.name;
  object["result"] = run.result_hash;
  object["place"] = place.invented() ? "invented" : "recorded drive";
  object["begins"] = instant_text(place.clock(), 0.0);
  object["rows"] = run.rows;
  object["seconds"] = run.seconds;
  object["bands"] = totals.bands;
  object["stray_bands"] = totals.stray;
  object["lines"] = totals.lines;
  object["bands_volume_m3"] = output::number_or_null(totals.bands_volume_m3);
  object["seconds_volume_m3"] = output::number_or_null(totals.seconds_volume_m3);
  object["applied_volume_m3"] = output::number_or_null(run.applied_volume_m3);
  object["area_m2"] = output::number_or_null(totals.area_m2);
  object["south_deg"] = output::number_or_null(totals.least.lat_deg);
  object["west_deg"] = output::number_or_null(totals.least.lon_deg);
  object["north_deg"] = output::number_or_null(totals.most.lat_deg);
  object["east_deg"] = output::number_or_null(totals.most.lon_deg);
  object["files"] = totals.files;
  return output::json_text(object);
}

std::vector<std::string> map_lines(const KeptRun& run, const FieldPlace& place,
                                   const MapTotals& totals, output::Units units) {
  const auto volume = [&](double volume_m3) {
    return output::shown(volume_m3, output::Measure::kVolume, units, 4);
  };
  long long bands = 0;  // also where the map leaves the bands out
  for (const run::AppliedSecond& one : run.applied) bands += one.bands;
  std::vector<std::string> lines = {fmt::format("{} simulated bands of {} rows, {}", bands,
                                                run.rows, volume(run.applied_volume_m3))};
  if (totals.lines > 0)
    lines.push_back(fmt::format("  seconds     {} lines, {} on {}", totals.lines,
                                volume(totals.seconds_volume_m3),
                                shown_area(totals.area_m2, units)));
  if (totals.bands > 0)
    lines.push_back(fmt::format(
        "  bands       {}{}", volume(totals.bands_volume_m3),
        totals.stray > 0 ? fmt::format(", {} of them beside no seed", totals.stray) : ""));
  lines.push_back(fmt::format("  place       {}", place.invented()
                                                      ? "invented: straight passes that were laid"
                                                      : "that of the recorded drive"));
  if (totals.least.lat_deg <= totals.most.lat_deg)
    lines.push_back(fmt::format("  lies        from {} to {} (latitude, longitude)",
                                shown_point(totals.least), shown_point(totals.most)));
  lines.push_back("  " + std::string(kNoRecord));
  return lines;
}

}  // namespace sim::map
