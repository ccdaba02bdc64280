// `map`: what a run applied, as files that other programs open: every band as a point, every second
// of every row as a line, and the machine data of the pass.
//
//   Bands beside which seeds.csv names no seed are in applied.csv alone, by number and volume: they
//   become one point per row and second, in the middle of that second's way and of kind `stray`, so
//   that the doses of the bands layer add up to all that was applied.
//
// In       the folder that `run` left (kept_run.h) and where it lies (field_place.h)
// Out      files in the folder `out`, written as they grow: memory does not grow with the bands
// Errors   InputError, OutputError; bench::Interrupted where `stop` is set
// Checked  tests/sim/study/map/map_test.cc
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "sim/output/streamed_folder.h"
#include "sim/study/map/field_place.h"
#include "sim/study/map/kept_run.h"

namespace sim::map {

/// What is written; all of it where nothing is said.
struct MapChoice {
  bool geopackage = true, geojson = true, csv = true, task = true;
  bool bands = true, seconds = true;
};

struct MapTotals {
  long long bands = 0;  // with stray ones
  long long stray = 0;
  long long lines = 0;                         // of the seconds layer
  double bands_volume_m3 = 0.0;                // sum of the points' doses
  double seconds_volume_m3 = 0.0;              // sum of the lines' volumes
  double area_m2 = 0.0;                        // of the lines, where seeds or bands fell
  GeoPoint least{1e3, 1e3}, most{-1e3, -1e3};  // around all bands and lines
  std::vector<std::string> files;              // names in the folder
};

MapTotals write_map(const KeptRun& run, const FieldPlace& place, const MapChoice& choice,
                    const output::StreamedFolder& folder, const std::atomic<bool>* stop = nullptr,
                    const std::function<void(double done_ratio)>& on_progress = {});
/// Removes from a finished folder the files of an earlier map that this one does not have, so that
/// no layer of another run stays beside it.
void remove_others(const MapTotals& totals, const std::filesystem::path& out);
/// What the map is of and where it lies, in words; stands in the files.
std::string about_map(const KeptRun& run, const FieldPlace& place);

}  // namespace sim::map
