#include "sim/study/delay/strip_readings_csv.h"

#include <array>
#include <cmath>
#include <map>
#include <string>
#include <tuple>

#include "sim/text/csv_table.h"
#include "sim/text/document.h"

namespace sim::delay {

std::vector<StripReading> read_strip_readings(const std::filesystem::path& file) {
  const std::array columns = {
      text::CsvColumn{
          .name = "speed", .kind = text::Kind::kSpeed, .least_si = 0.1, .most_si = 20.0},
      text::CsvColumn{.name = "row", .least_si = 0.0, .most_si = 1000.0},
      text::CsvColumn{.name = "band", .least_si = 0.0, .most_si = 1e6},
      text::CsvColumn{.name = "offset",
                      .kind = text::Kind::kLength,
                      .may_be_empty = true,
                      .least_si = -1.0,
                      .most_si = 1.0},
      text::CsvColumn{.name = "run", .required = false, .least_si = 0.0, .most_si = 1000.0}};
  std::vector<StripReading> readings;
  std::map<std::tuple<double, int, int, int>, int> line_of;
  for (const text::CsvLine& line : text::read_csv(file, columns)) {
    StripReading reading{.speed_mps = line.values_si[0],
                         .row = static_cast<int>(line.values_si[1]),
                         .band = static_cast<int>(line.values_si[2]),
                         .offset_m = line.values_si[3],
                         .line = line.line};
    if (std::isfinite(line.values_si[4])) reading.run = static_cast<int>(line.values_si[4]);
    const auto [other, fresh] = line_of.emplace(
        std::tuple{reading.speed_mps, reading.run, reading.row, reading.band}, line.line);
    if (!fresh)
      text::fail({file.string(), line.line, {}}, "band",
                 "this band is already in line " + std::to_string(other->second) +
                     "; a column `run` distinguishes two runs at one speed");
    if (std::isfinite(reading.offset_m)) readings.push_back(reading);
  }
  if (readings.empty()) text::fail({file.string(), 0, {}}, "offset", "no band was read");
  return readings;
}

}  // namespace sim::delay
