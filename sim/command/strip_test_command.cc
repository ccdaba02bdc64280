#include "sim/command/strip_test_command.h"

#include <fmt/format.h>

#include <array>
#include <cstdio>

#include "sim/command/exit_code.h"
#include "sim/output/shown_units.h"
#include "sim/output/write_folder.h"
#include "sim/study/delay/strip_sheet.h"
#include "sim/study/tune/tune.h"

namespace sim::command {
namespace {

void print(const std::vector<std::string>& lines, const std::filesystem::path& page) {
  for (const std::string& line : lines) std::fputs((line + "\n").c_str(), stdout);
  std::fputs(fmt::format("page: {}\n", page.string()).c_str(), stdout);
}

delay::StripRequest request_of(const scenario::Scenario& scenario,
                               const StripTestOptions& options) {
  return {.rows = scenario.row.count,
          .spacing_m = scenario.seeding.meter.spacing_m,
          .band_length_m = scenario.rate.band_length_m,
          .in_band_m3pm2 = scenario.rate.in_band_m3pm2,
          .row_width_m = scenario.row.width_m,
          .judged_mps = tune::judged_speed_mps(scenario),
          .table_slowest_mps = options.slowest_mps,
          .table_fastest_mps = options.fastest_mps,
          .scatter_m = options.scatter_m,
          .reading_m = scenario.controller.strip_test_reading_m,
          .run_sd_m = options.run_sd_m};
}

int take_readings(const scenario::Scenario& scenario, const StripTestOptions& options) {
  const delay::StripFit fit =
      delay::fit_strip(delay::read_strip_readings(options.readings),
                       {.assumed_run_sd_m = options.run_sd_m, .file = options.readings.string()});
  const std::string json = delay::strip_fit_json(fit);
  const std::array files = {
      output::ResultFile{"strip_result.html",
                         delay::strip_result_html(fit, scenario.name, options.units)},
      output::ResultFile{"strip_result.json", json}};
  output::write_folder(files, options.out);
  if (options.json) {
    std::fputs(json.c_str(), stdout);
    return kHeld;
  }
  print(delay::strip_fit_lines(fit, options.units), options.out / "strip_result.html");
  for (const delay::StripTrim& row : fit.trims)
    std::fputs(fmt::format("row {:>2}  trim {:+.2f} mm  ± {:.2f} mm\n", row.row, row.trim_m * 1e3,
                           row.half_m * 1e3)
                   .c_str(),
               stdout);
  return kHeld;
}

}  // namespace

int strip_test(const scenario::Scenario& scenario, const StripTestOptions& options) {
  if (!options.readings.empty()) return take_readings(scenario, options);
  const delay::StripPlan plan = delay::plan_strip(request_of(scenario, options));
  const std::string json = delay::strip_plan_json(plan);
  const std::array files = {
      output::ResultFile{"strip_sheet.html",
                         delay::strip_sheet_html(plan, scenario.name, options.units)},
      output::ResultFile{"strip_readings.csv",
                         delay::strip_readings_template_csv(plan, options.units)},
      output::ResultFile{"strip_plan.json", json}};
  output::write_folder(files, options.out);
  if (options.json)
    std::fputs(json.c_str(), stdout);
  else
    print(delay::strip_plan_lines(plan, options.units), options.out / "strip_sheet.html");
  return kHeld;
}

}  // namespace sim::command
