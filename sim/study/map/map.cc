#include "sim/study/map/map.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include "sim/bench/errors.h"
#include "sim/statistics/none.h"
#include "sim/study/map/geopackage.h"
#include "sim/study/map/map_csv.h"
#include "sim/study/map/map_geojson.h"
#include "sim/study/map/task_file.h"

namespace sim::map {
namespace {

constexpr double kCubicMillimetres_ratio = 1e9;  // in a cubic metre, and of mm3/m2 in m3/m2

/// The writers of one layer.
struct Layer {
  const MapLayer* layer = nullptr;
  std::vector<MapWriter*> writers;

  void put(const MapFeature& feature) const {
    for (MapWriter* writer : writers) writer->put(*layer, feature);
  }
};

class Files {
 public:
  Files(const KeptRun& run, const FieldPlace& place, const MapChoice& choice,
        const output::StreamedFolder& folder, MapTotals& totals) {
    const std::string about = about_map(run, place);
    std::vector<const MapLayer*> layers;
    if (choice.bands) layers.push_back(&bands_layer());
    if (choice.seconds) layers.push_back(&seconds_layer());
    const auto path = [&](const std::string& name) {
      totals.files.push_back(name);
      return folder.path_of(name);
    };
    if (choice.geopackage && !layers.empty())
      package_ = std::make_unique<GeoPackage>(path("map.gpkg"), layers, about,
                                              instant_text(place.clock(), 0.0));
    for (const MapLayer* layer : layers) {
      Layer& one = layer == &bands_layer() ? bands_ : seconds_;
      one.layer = layer;
      if (package_) one.writers.push_back(package_.get());
      const std::string name(layer->name);
      if (choice.geojson)
        files_.push_back(std::make_unique<MapGeoJson>(path(name + ".geojson"), *layer, about));
      if (choice.geojson) one.writers.push_back(files_.back().get());
      if (choice.csv) files_.push_back(std::make_unique<MapCsv>(path(name + ".csv"), *layer));
      if (choice.csv) one.writers.push_back(files_.back().get());
    }
  }

  const Layer& bands() const { return bands_; }
  const Layer& seconds() const { return seconds_; }
  void finish() {
    if (package_) package_->finish();
    for (const auto& file : files_) file->finish();
  }

 private:
  std::unique_ptr<GeoPackage> package_;
  std::vector<std::unique_ptr<MapWriter>> files_;
  Layer bands_, seconds_;
};

void stretch(const GeoPoint& point, MapTotals& totals) {
  totals.least = {std::min(totals.least.lat_deg, point.lat_deg),
                  std::min(totals.least.lon_deg, point.lon_deg)};
  totals.most = {std::max(totals.most.lat_deg, point.lat_deg),
                 std::max(totals.most.lon_deg, point.lon_deg)};
}

/// What of a row's second has been told as bands beside seeds.
struct Told {
  int bands = 0;
  double volume_m3 = 0.0;
};

void put_band(const Layer& layer, const MapFeature& feature, double dose_m3, double bands_ratio,
              MapTotals& totals) {
  totals.bands += static_cast<long long>(bands_ratio);
  totals.bands_volume_m3 += dose_m3;
  stretch(feature.at[0], totals);
  layer.put(feature);
}

void put_bands(const KeptRun& run, const FieldPlace& place, const Layer& layer, MapTotals& totals,
               const std::atomic<bool>* stop, const std::function<void(double)>& on_progress) {
  std::vector<Told> told(run.applied.size());
  long long all = 0;
  for (const run::AppliedSecond& one : run.applied) all += one.bands;
  for_each_band(
      run,
      [&](const KeptBand& band) {
        const auto row = static_cast<std::size_t>(band.row);
        const std::size_t second =
            std::min(run.seconds - 1, static_cast<std::size_t>(std::max(0.0, band.open_s)));
        Told& one = told[row * run.seconds + second];
        ++one.bands;
        one.volume_m3 += band.dose_m3;
        MapFeature feature;
        feature.at[0] = place.of_band(row, band.centre_x_ground_m, second);
        feature.kind = band.merged ? "merged" : band.weak ? "weak" : "banded";
        auto& values_si = feature.values_si;
        values_si[kBandRow] = band.row;
        values_si[kBandSeed] = static_cast<double>(band.seed);
        values_si[kBandAt] = band.open_s;
        values_si[kBandDose] = band.dose_m3 * kCubicMillimetres_ratio;
        // A merged band is longer than the commanded length of one.
        values_si[kBandRate] = band.merged
                                   ? statistics::kNone_ratio
                                   : band.dose_m3 / run.band_area_m2 * kCubicMillimetres_ratio;
        values_si[kBandLength] = band.length_m * 1e3;
        values_si[kBandError] = band.placement_error_m * 1e3;
        values_si[kBandCount] = 1;
        put_band(layer, feature, band.dose_m3, 1, totals);
        if (on_progress && totals.bands % 10'000 == 0)
          on_progress(static_cast<double>(totals.bands) / static_cast<double>(all));
      },
      stop);
  for (std::size_t k = 0; k < told.size(); ++k) {
    const run::AppliedSecond& one = run.applied[k];
    const int stray = one.bands - told[k].bands;
    if (stray <= 0) continue;
    const double dose_m3 = one.volume_m3 - told[k].volume_m3;
    const std::size_t row = k / run.seconds, second = k % run.seconds;
    const GeoPoint from = place.from(row, second), until = place.until(row, second);
    MapFeature feature;
    feature.at[0] = {0.5 * (from.lat_deg + until.lat_deg), 0.5 * (from.lon_deg + until.lon_deg)};
    feature.kind = "stray";
    feature.values_si.fill(statistics::kNone_ratio);
    feature.values_si[kBandRow] = one.row;
    feature.values_si[kBandAt] = one.from_s;
    feature.values_si[kBandDose] = dose_m3 * kCubicMillimetres_ratio;
    feature.values_si[kBandCount] = stray;
    totals.stray += stray;
    put_band(layer, feature, dose_m3, stray, totals);
  }
}

void put_seconds(const KeptRun& run, const FieldPlace& place, const Layer& layer,
                 MapTotals& totals) {
  for (std::size_t k = 0; k < run.applied.size(); ++k) {
    const run::AppliedSecond& one = run.applied[k];
    const std::size_t row = k / run.seconds, second = k % run.seconds;
    MapFeature feature;
    feature.at = {place.from(row, second), place.until(row, second)};
    auto& values_si = feature.values_si;
    values_si = {static_cast<double>(one.row),
                 one.from_s,
                 one.until_s,
                 one.way_m,
                 one.way_m * run.width_m,
                 one.in_band_set_m3pm2 * kCubicMillimetres_ratio,
                 one.in_band_m3pm2 * kCubicMillimetres_ratio,
                 one.field_set_m3pm2 * kCubicMillimetres_ratio,
                 one.field_m3pm2 * kCubicMillimetres_ratio,
                 one.volume_m3 * kCubicMillimetres_ratio,
                 static_cast<double>(one.seeds),
                 static_cast<double>(one.missed),
                 static_cast<double>(one.bands),
                 static_cast<double>(one.events)};
    ++totals.lines;
    totals.seconds_volume_m3 += one.volume_m3;
    totals.area_m2 += worked_area_m2(run, one);
    for (const GeoPoint& point : feature.at) stretch(point, totals);
    layer.put(feature);
  }
}

}  // namespace

std::string about_map(const KeptRun& run, const FieldPlace& place) {
  std::string about = "Run `" + run.name + "`, result " + run.result_hash + ". ";
  if (!run.title.empty()) about += run.title + ". ";
  return about + (place.invented()
                      ? "The place is INVENTED: a field of straight passes laid where no log says "
                        "where it was driven; the clock starts at the zero of ISO 11783-10"
                      : "The drive is that of a recorded log; what was applied along it is "
                        "simulated");
}

void remove_others(const MapTotals& totals, const std::filesystem::path& out) {
  for (const char* name :
       {"map.gpkg", "bands.geojson", "bands.csv", "seconds.geojson", "seconds.csv",
        "TASKDATA/TASKDATA.XML", "TASKDATA/TLG00001.XML", "TASKDATA/TLG00001.BIN", "TASKDATA"}) {
    std::error_code ignored;  // a folder that holds something else stays
    if (std::find(totals.files.begin(), totals.files.end(), name) == totals.files.end())
      std::filesystem::remove(out / name, ignored);
  }
}

MapTotals write_map(const KeptRun& run, const FieldPlace& place, const MapChoice& choice,
                    const output::StreamedFolder& folder, const std::atomic<bool>* stop,
                    const std::function<void(double)>& on_progress) {
  MapTotals totals;
  Files files(run, place, choice, folder, totals);
  if (choice.seconds) put_seconds(run, place, files.seconds(), totals);
  if (choice.bands) put_bands(run, place, files.bands(), totals, stop, on_progress);
  if (stop != nullptr && *stop) throw bench::Interrupted("interrupted");
  files.finish();
  if (choice.task) {
    write_task_file(run, place, folder);
    for (const char* name :
         {"TASKDATA/TASKDATA.XML", "TASKDATA/TLG00001.XML", "TASKDATA/TLG00001.BIN"})
      totals.files.push_back(name);
  }
  return totals;
}

}  // namespace sim::map
