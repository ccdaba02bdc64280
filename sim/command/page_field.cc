#include "sim/command/page_field.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "sim/command/place_options.h"
#include "sim/output/json_text.h"
#include "sim/scenario/delay_file.h"
#include "sim/scenario/recorded_drive.h"
#include "sim/study/map/map_view.h"
#include "sim/text/input_error.h"
#include "sim/text/shell_word.h"

namespace sim::command {
namespace {

using Json = nlohmann::ordered_json;

constexpr double kEast_deg = 90.0;  // the first pass runs to the right, as the furrow does

}  // namespace

std::shared_ptr<const PageField::Laid> PageField::lay(int job,
                                                      const std::string& pass_length) const {
  auto laid = std::make_shared<Laid>();
  laid->job = job;
  laid->asked = pass_length;
  laid->run = map::read_kept_run(jobs_.result_of(job));
  const std::optional<scenario::NmeaDrive> drive = scenario::drive_log(base_.file, base_.sets);
  if (drive && !pass_length.empty())
    throw text::InputError("the log of this drive says where it lies: leave the length empty");
  if (drive) {
    laid->place = map::FieldPlace::logged(laid->run, *drive, "the scenario's travel.log");
    return laid;
  }
  PlaceOptions options;
  options.pass_length = pass_length;
  map::FieldLayout layout = layout_of(options);
  layout.heading_deg = kEast_deg;
  if (!pass_length.empty()) {
    laid->place = map::FieldPlace::laid(laid->run, layout);
    laid->pass_length_m = layout.pass_length_m;
    return laid;
  }
  layout.pass_length_m = laid->pass_length_m = map::usual_pass_length_m(laid->run);
  try {
    laid->place = map::FieldPlace::laid(laid->run, layout);
  } catch (const text::InputError&) {  // a pass that is not straight lies as it was driven
    layout.pass_length_m = laid->pass_length_m = 0.0;
    laid->place = map::FieldPlace::laid(laid->run, layout);
  }
  return laid;
}

std::string PageField::cells(int job, const std::string& pass_length) {
  const std::shared_ptr<const Laid> laid = lay(job, pass_length);
  {
    const std::lock_guard lock(mutex_);
    laid_ = laid;
  }
  return map::cells_json(
      laid->run, *laid->place, laid->pass_length_m,
      "sillion explain " +
          text::shell_word((jobs_.result_of(job).parent_path() / "scenario.toml").string()));
}

std::string PageField::bands(int job, const std::string& pass_length, double from_s, double until_s,
                             const std::atomic<bool>* stop) {
  std::shared_ptr<const Laid> laid;
  {
    const std::lock_guard lock(mutex_);
    laid = laid_;
  }
  if (laid == nullptr || laid->job != job || laid->asked != pass_length) {
    laid = lay(job, pass_length);  // another tab looks at another field
    const std::lock_guard lock(mutex_);
    laid_ = laid;
  }
  return map::bands_json(laid->run, *laid->place, from_s, until_s, stop);
}

std::filesystem::path PageField::table_file(int job) {
  const std::filesystem::path file = jobs_.result_of(job) / "delay.toml";
  if (!std::filesystem::exists(file))
    throw text::InputError(fmt::format("job {} has written no delay table", job));
  return std::filesystem::absolute(file);
}

std::string PageField::table(int job) {
  const scenario::DelayFile file = scenario::read_delay_file(table_file(job));
  Json json;
  json["schema"] = "sillion.page.table.1";
  json["attachment"] = file.header.empty() ? "" : file.header.front().second;
  json["delay_time_s"] = file.table.delay_time_us * 1e-6;
  json["delay_distance_m"] = file.table.delay_distance_um * 1e-6;
  json["holds_from_mps"] = file.evidence.holds_from_mps;
  json["holds_to_mps"] = file.evidence.holds_to_mps;
  json["grade"] = file.evidence.grade;
  json["speeds"] = Json::array();
  for (const scenario::DelayFileSpeed& one : file.speeds)
    json["speeds"].push_back(
        {{"speed_mps", output::number_or_null(one.speed_mps)},
         {"delay_s", output::number_or_null(one.delay_s)},
         {"on_s", output::number_or_null(one.on_s)},
         {"residual_m", output::number_or_null(one.residual_mean_m)},
         {"residual_half_m", output::number_or_null(one.residual_half_m)},
         {"within_10mm_ratio", output::number_or_null(one.within_10mm_ratio)}});
  return json.dump() + "\n";
}

}  // namespace sim::command
