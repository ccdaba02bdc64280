#include "sim/study/run/tables.h"

#include <array>
#include <nlohmann/json.hpp>

#include "shared/check.h"
#include "sim/measure/valve_life.h"
#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/output/write_folder.h"
#include "sim/study/run/applied.h"
#include "sim/study/run/first_bands.h"
#include "sim/study/run/network_fields.h"
#include "sim/study/run/seal.h"
#include "sim/study/run/summary_fields.h"
#include "sim/study/run/wear_lines.h"

namespace sim::run {
namespace {

using Json = nlohmann::ordered_json;

constexpr const char* kSeedsHeader =
    "row,seed,edge_s,rest_x_ground_m,open_s,close_s,band_start_x_ground_m,band_end_x_ground_m,band_"
    "centre_x_ground_m,"
    "band_length_m,placement_error_m,dose_m3,on_target_ratio,secondary_ratio,status\n";

}  // namespace

std::string seeds_header() { return kSeedsHeader; }

void add_seed_line(std::size_t row_index, const measure::RowRecord& row, std::size_t seed_index,
                   std::string& text) {
  const measure::SeedRecord& seed = row.seeds[seed_index];
  // A seed without a band has no band figures; not-a-number becomes an empty cell.
  measure::BandRecord band;
  const bool has_band = seed.band >= 0;
  if (has_band) {
    EXPECTS(static_cast<std::size_t>(seed.band) < row.bands.size());
    band = row.bands[static_cast<std::size_t>(seed.band)];
  }
  const auto of_band = [has_band](double value) {
    return has_band ? value : statistics::kNone_ratio;
  };
  const std::array columns = {seed.edge_s,
                              seed.rest_x_ground_m,
                              of_band(band.open_s),
                              of_band(band.close_s),
                              band.start_x_ground_m,
                              band.end_x_ground_m,
                              band.centre_x_ground_m,
                              band.end_x_ground_m - band.start_x_ground_m,
                              seed.placement_error_m,
                              of_band(band.dose_m3),
                              seed.on_target_ratio,
                              of_band(band.secondary_ratio)};
  text += std::to_string(row_index) + "," +
          std::to_string(static_cast<std::size_t>(row.first_seed) + seed_index);
  for (const double value : columns) text += "," + output::number_text(value);
  text += ",";
  text += status_word(seed.status);
  text += "\n";
}

namespace {

Json manifold_fields(const bench::PassRecord& record) {
  const model::ManifoldState& manifold = record.manifold;
  Json dry = Json::array();
  for (const measure::RowRecord& row : record.rows)
    dry.push_back(output::number_or_null(row.dry_from_s));
  return {{"pressure_pa", output::number_or_null(manifold.pressure_pa)},
          {"pump_volume_m3", output::number_or_null(manifold.pump_volume_m3)},
          {"relief_volume_m3", output::number_or_null(manifold.relief_volume_m3)},
          {"rows_volume_m3", output::number_or_null(manifold.rows_volume_m3)},
          {"stored_m3", output::number_or_null(manifold.stored_m3)},
          {"air", manifold.air},
          {"rows_dry_from_s", dry}};
}

Json run_fields(const RunResult& result, bool with_hashes) {
  Json object = Json::object();
  object["schema"] = "sillion.run.1";
  add_summary(object, result.summary);
  if (with_hashes) object["hashes"] = hash_fields(result.hashes);
  object["name"] = result.scenario.name;
  object["title"] = result.scenario.title;
  object["rng_key"] = result.scenario.rng_key;
  add_later(object, result.summary);
  object["tuned"] = tuned_fields(result.tuned);
  object["noise"] = noise_fields(result.scenario);
  if (measure::wear_stated(result.scenario)) object["wear"] = wear_fields(result);
  if (result.scenario.supply.manifold.pump_m3ps > 0.0)
    object["manifold"] = manifold_fields(result.record);
  if (network_stated(result.scenario)) object["network"] = network_fields(result);
  return object;
}

}  // namespace

const char* status_word(measure::SeedStatus status) {
  switch (status) {
    case measure::SeedStatus::kBanded: return "banded";
    case measure::SeedStatus::kMerged: return "merged";
    case measure::SeedStatus::kShared: return "shared";
    case measure::SeedStatus::kEdgeMissed: return "edge_missed";
    case measure::SeedStatus::kNoBand: return "no_band";
    case measure::SeedStatus::kWeak: return "weak";
  }
  ENSURES(false);
  return "";
}

namespace {

/// What the machine's controller said of rate and pressure.
void add_machine_events(const RunResult& result, Json& object) {
  for (const bench::TimedEvent& event : result.record.machine_events) {
    const std::uint32_t code = event.record.code;
    const bool alarm = code == SILLION_EVENT_ALARM || code == SILLION_EVENT_ALARM_OVER;
    const char* said = code == SILLION_EVENT_NEW_RATE          ? "new rate"
                       : code == SILLION_EVENT_PRESSURE_ASTRAY ? "pressure does not follow"
                       : alarm && event.record.a == SILLION_ALARM_SECOND_REGULATOR
                           ? (code == SILLION_EVENT_ALARM ? "second pressure controller"
                                                          : "second pressure controller gone")
                           : nullptr;
    if (said != nullptr)
      object["machine_events"].push_back({{"at_s", output::number_or_null(event.at.seconds())},
                                          {"event", said},
                                          {"a", event.record.a},
                                          {"b", event.record.b}});
  }
}

}  // namespace

std::string summary_json(const RunResult& result, const ReportExtras& extras) {
  Json object = run_fields(result, true);
  for (const ReportExtra& extra : extras)
    if (!extra.summary.empty()) object[extra.summary_key] = Json::parse(extra.summary);
  const std::vector<FirstBands> first = first_bands_of(result);
  for (const FirstBands& bands : first) {
    object["first_bands"].push_back(
        {{"after", bands.after},
         {"bands", bands.bands},
         {"without_band", bands.without_band},
         {"error_mean_m", output::number_or_null(bands.error_mean_m)},
         {"error_max_abs_m", output::number_or_null(bands.error_max_m)},
         {"dose_mean_m3", output::number_or_null(bands.dose_mean_m3)},
         {"dose_least_m3", output::number_or_null(bands.dose_least_m3)}});
    if (bands.after != kAfterNewRate) continue;
    Json& last = object["first_bands"].back();
    last["dose_mean_ratio"] = output::number_or_null(bands.share_mean_ratio);
    last["dose_least_ratio"] = output::number_or_null(bands.share_least_ratio);
    last["dose_most_ratio"] = output::number_or_null(bands.share_most_ratio);
  }
  add_machine_events(result, object);
  return output::json_text(object);
}

std::string unhashed_summary_json(const RunResult& result) {
  return output::json_text(run_fields(result, false));
}

std::string seeds_csv(const RunResult& result) {
  std::string text = kSeedsHeader;
  const std::vector<measure::RowRecord>& rows = result.record.rows;
  for (std::size_t row = 0; row < rows.size(); ++row)
    for (std::size_t seed = 0; seed < rows[row].seeds.size(); ++seed)
      add_seed_line(row, rows[row], seed, text);
  return text;
}

void write_run(const RunResult& result, const std::filesystem::path& out, output::Units units,
               const ReportExtras& extras, const LongTables* tables) {
  std::vector<output::ResultFile> files = {{"summary.json", summary_json(result, extras)}};
  if (tables == nullptr) {
    files.push_back({"seeds.csv", seeds_csv(result)});
    files.push_back({"applied.csv", applied_csv(result)});
  } else {
    files.push_back({"seeds.csv", seeds_header(), tables->seeds});
    files.push_back({"applied.csv", applied_header(), tables->applied});
  }
  files.push_back({"report.html", run_report_html(result, units, extras)});
  for (const ReportExtra& extra : extras)
    files.insert(files.end(), extra.files.begin(), extra.files.end());
  output::write_folder(files, out);
}

}  // namespace sim::run
