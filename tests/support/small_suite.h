// A suite that takes a moment: two rows without noise, a ramp, and one with valve and column. Its
// limits are those of scenarios/pull_request.toml, for the reasons given there.
#pragma once

#include <filesystem>
#include <fstream>
#include <string>

namespace support {

inline std::string small_suite_text() {
  const std::string scenarios = std::string(SILLION_SOURCE_DIR) + "/scenarios/";
  const std::string require = R"(
[[family.require]]
metric = "placement_error_mean"
at_most = "0.45 mm"
[[family.require]]
metric = "placement_error_mean"
at_least = "-0.45 mm"
[[family.require]]
metric = "no_band"
at_most = 0
[[family.require]]
metric = "placement_error_abs_p95"
at_most = "4.5 mm"
)";
  return R"(title = "Small suite"
baseline = "small.baseline.tsv"

[[family]]
name = "still"
base = ")" +
         scenarios + R"(pull_request_still.toml"
axes."travel.speed" = ["10 km/h", "16 km/h"]
set.duration = "7 s"
set."row.count" = 2
set.require = [])" +
         require + R"(
[[family]]
name = "ramp"
base = ")" +
         scenarios + R"(pull_request_still.toml"
set.duration = "9 s"
set."row.count" = 1
set."travel.profile" = [
  { time = "0 s", speed = "8 km/h" },
  { time = "4.4444444444 s", speed = "16 km/h" },
  { time = "8.8888888889 s", speed = "8 km/h" },
]
set.require = []
[[family.require]]
metric = "placement_error_abs_p95"
at_most = "8 mm"

[[family]]
name = "row"
base = ")" +
         scenarios + R"(pull_request_row.toml"
set.duration = "5 s"
set."row.count" = 2
mandatory = false
set.require = []
[[family.require]]
metric = "dose_within_10_percent_sensed"
at_least = "95 %"
)";
}

inline std::filesystem::path write_small_suite(const std::filesystem::path& folder,
                                               const std::string& text = small_suite_text()) {
  std::filesystem::create_directories(folder);
  const std::filesystem::path file = folder / "small.toml";
  std::ofstream(file, std::ios::binary) << text;
  return file;
}

}  // namespace support
