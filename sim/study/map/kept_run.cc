#include "sim/study/map/kept_run.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <set>

#include "sim/bench/errors.h"
#include "sim/statistics/none.h"
#include "sim/study/map/table_lines.h"
#include "sim/text/document.h"
#include "sim/text/input_error.h"

namespace sim::map {
namespace fs = std::filesystem;
namespace {

constexpr const char* kSchema = "sillion.run.1";
constexpr std::size_t kMostSummaryBytes = 64 << 20;

void require_file(const fs::path& folder, const char* name) {
  std::error_code error;
  if (!fs::is_directory(folder, error))
    throw text::InputError(folder.string() +
                           ": is no folder; name one that `sillion run` has written");
  if (!fs::is_regular_file(folder / name, error))
    throw text::InputError(folder.string() + ": holds no " + name +
                           ", so it is no result of `sillion run`");
}

void read_summary(KeptRun& run) {
  const fs::path file = run.folder / "summary.json";
  try {
    const auto fields = nlohmann::json::parse(text::read_text(file, kMostSummaryBytes));
    const auto schema = fields.at("schema").get<std::string>();
    if (schema != kSchema)
      throw text::InputError(file.string() + ": schema: is `" + schema + "` where `" + kSchema +
                             "` is needed: the result of one pass, as `run` and `score` write it");
    run.name = fields.at("name").get<std::string>();
    run.title = fields.at("title").get<std::string>();
    run.result_hash = fields.at("hashes").at("result").get<std::string>();
    run.applied_volume_m3 = fields.at("applied_volume_m3").get<double>();
    run.simulated_s = fields.at("simulated_s").get<double>();
  } catch (const nlohmann::json::exception& error) {
    throw text::InputError(file.string() + ": is no summary of `sillion run`: " + error.what());
  }
}

void read_applied(KeptRun& run) {
  enum { kRow, kFrom, kUntil, kEast, kNorth, kWay, kInSet, kIn, kFieldSet, kField, kVolume };
  enum { kSeeds = kVolume + 1, kMissed, kBands, kEvents };
  TableLines lines(run.folder / "applied.csv",
                   {"row", "from_s", "until_s", "east_m", "north_m", "way_m", "in_band_set_m3pm2",
                    "in_band_m3pm2", "field_set_m3pm2", "field_m3pm2", "volume_m3", "seeds",
                    "missed", "bands", "events"});
  while (lines.next()) {
    run::AppliedSecond one;
    one.row = static_cast<int>(lines.whole(kRow));
    one.from_s = lines.number_si(kFrom);
    one.until_s = lines.number_si(kUntil);
    one.east_m = lines.number_si(kEast);
    one.north_m = lines.number_si(kNorth);
    one.way_m = lines.number_si(kWay);
    one.in_band_set_m3pm2 = lines.number_si(kInSet);
    one.in_band_m3pm2 = lines.number_si(kIn);
    one.field_set_m3pm2 = lines.number_si(kFieldSet);
    one.field_m3pm2 = lines.number_si(kField);
    one.volume_m3 = lines.number_si(kVolume);
    one.seeds = static_cast<int>(lines.whole(kSeeds));
    one.missed = static_cast<int>(lines.whole(kMissed));
    one.bands = static_cast<int>(lines.whole(kBands));
    one.events = static_cast<int>(lines.whole(kEvents));
    const auto row = static_cast<std::size_t>(one.row);
    if (row == run.rows) ++run.rows;
    if (row + 1 != run.rows) lines.fail(kRow, "rows do not follow each other");
    if (row == 0) ++run.seconds;
    const std::size_t second = run.applied.size() - (row == 0 ? 0 : row * run.seconds);
    if (one.from_s != static_cast<double>(second) || !(one.until_s >= one.from_s))
      lines.fail(kFrom, "seconds do not follow each other");
    for (const std::size_t column : {kEast, kNorth, kWay, kVolume})
      if (!std::isfinite(lines.number_si(column))) lines.fail(column, "is empty");
    run.applied.push_back(one);
  }
  if (run.applied.empty() || run.applied.size() != run.rows * run.seconds)
    throw text::InputError((run.folder / "applied.csv").string() +
                           ": not every row has a line for every second: the file was cut off");
}

/// The second that laid most is the one whose figures have most digits.
void find_width(KeptRun& run) {
  const run::AppliedSecond* most = &run.applied.front();
  for (const run::AppliedSecond& one : run.applied)
    if (one.volume_m3 > most->volume_m3 && one.way_m > 0.0) most = &one;
  run.width_m = most->volume_m3 / (most->way_m * most->field_m3pm2);
  run.band_area_m2 = most->volume_m3 / (most->bands * most->in_band_m3pm2);
  if (!(run.width_m > 0.0)) run.width_m = statistics::kNone_ratio;
  if (!(run.band_area_m2 > 0.0)) run.band_area_m2 = statistics::kNone_ratio;
}

}  // namespace

double worked_area_m2(const KeptRun& run, const run::AppliedSecond& one) {
  const bool worked = one.seeds > 0 || one.bands > 0;
  return worked && std::isfinite(run.width_m) ? one.way_m * run.width_m : 0.0;
}

KeptRun read_kept_run(const fs::path& folder) {
  for (const char* name : {"summary.json", "seeds.csv", "applied.csv"}) require_file(folder, name);
  KeptRun run;
  run.folder = folder;
  read_summary(run);
  read_applied(run);
  find_width(run);
  return run;
}

void for_each_band(const KeptRun& run, const std::function<void(const KeptBand&)>& take,
                   const std::atomic<bool>* stop) {
  enum { kRow, kSeed, kOpen, kCentre, kLength, kError, kDose, kStatus };
  TableLines lines(run.folder / "seeds.csv",
                   {"row", "seed", "open_s", "band_centre_x_ground_m", "band_length_m",
                    "placement_error_m", "dose_m3", "status"});
  std::set<double> merged_s;  // openings of merged bands of this row that have come
  int row = 0;
  while (lines.next()) {
    if (stop != nullptr && *stop) throw bench::Interrupted("interrupted");
    KeptBand band;
    band.row = static_cast<int>(lines.whole(kRow));
    if (band.row >= static_cast<int>(run.rows))
      lines.fail(kRow, "applied.csv has no such row: the two are not of one run");
    if (band.row != row) merged_s.clear();
    row = band.row;
    band.open_s = lines.number_si(kOpen);
    if (!std::isfinite(band.open_s)) continue;  // a seed without a band
    const std::string_view status = lines.text(kStatus);
    band.merged = status == "merged";
    band.weak = status == "weak";
    if (band.merged && !merged_s.insert(band.open_s).second) continue;
    band.seed = lines.whole(kSeed);
    band.centre_x_ground_m = lines.number_si(kCentre);
    band.length_m = lines.number_si(kLength);
    band.placement_error_m = lines.number_si(kError);
    band.dose_m3 = lines.number_si(kDose);
    if (!std::isfinite(band.centre_x_ground_m)) lines.fail(kCentre, "is empty beside a band");
    if (!std::isfinite(band.dose_m3)) lines.fail(kDose, "is empty beside a band");
    take(band);
  }
}

}  // namespace sim::map
