#include "sim/study/delay/delay_points_csv.h"

#include <array>
#include <cmath>

#include "sim/text/csv_table.h"

namespace sim::delay {

std::vector<DelayPoint> read_delay_points(const std::filesystem::path& file) {
  const std::array columns = {
      text::CsvColumn{
          .name = "speed", .kind = text::Kind::kSpeed, .least_si = 0.1, .most_si = 20.0},
      text::CsvColumn{.name = "delay", .kind = text::Kind::kTime, .least_si = 0.0, .most_si = 10.0},
      text::CsvColumn{
          .name = "offset", .kind = text::Kind::kLength, .least_si = -10.0, .most_si = 10.0},
      text::CsvColumn{.name = "uncertainty",
                      .kind = text::Kind::kLength,
                      .least_si = 0.0,
                      .most_si = 1.0,
                      .above_least = true},
      text::CsvColumn{.name = "row", .required = false, .least_si = 0.0, .most_si = 1000.0}};
  std::vector<DelayPoint> points;
  for (const text::CsvLine& line : text::read_csv(file, columns)) {
    DelayPoint point{line.values_si[0], line.values_si[1], line.values_si[2], line.values_si[3]};
    if (std::isfinite(line.values_si[4])) point.row = static_cast<int>(line.values_si[4]);
    point.line = line.line;
    points.push_back(point);
  }
  return points;
}

}  // namespace sim::delay
