#include "sim/study/map/map_layers.h"

#include <charconv>
#include <cmath>

#include "shared/check.h"

namespace sim::map {
namespace {

constexpr std::array kBands = {
    MapColumn{"row", 0},
    MapColumn{"seed", 0},
    MapColumn{"t_s", 6},
    MapColumn{"dose_mm3", 3},
    MapColumn{"in_band_rate_mm3_per_m2", 2},
    MapColumn{"length_mm", 2},
    MapColumn{"error_mm", 3},
    MapColumn{"bands", 0},
};
constexpr std::array kSeconds = {
    MapColumn{"row", 0},
    MapColumn{"from_s", 6},
    MapColumn{"until_s", 6},
    MapColumn{"way_m", 4},
    MapColumn{"area_m2", 4},
    MapColumn{"in_band_set_mm3_per_m2", 2},
    MapColumn{"in_band_rate_mm3_per_m2", 2},
    MapColumn{"field_set_mm3_per_m2", 2},
    MapColumn{"field_rate_mm3_per_m2", 2},
    MapColumn{"volume_mm3", 3},
    MapColumn{"seeds", 0},
    MapColumn{"missed", 0},
    MapColumn{"bands", 0},
    MapColumn{"events", 0},
};
static_assert(kBands.size() == kBandCount + 1 && kSeconds.size() == kSecondEvents + 1 &&
              kSeconds.size() <= kMostColumns);

constexpr std::array kPowers_ratio = {1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9};

}  // namespace

const MapLayer& bands_layer() {
  static constexpr MapLayer kLayer{
      "bands",
      "SIMULATED, not a record of what was applied. A point per band; in_band_rate holds on the "
      "band's own strip alone: total = sum of dose_mm3, never rate times area of the field",
      false, true, kBands};
  return kLayer;
}

const MapLayer& seconds_layer() {
  static constexpr MapLayer kLayer{
      "seconds",
      "SIMULATED, not a record of what was applied. A line per row and second; field_rate times "
      "area_m2 is volume_mm3, in_band_rate holds on the bands' own strips alone",
      true, false, kSeconds};
  return kLayer;
}

void put_number(double value_si, int decimals, std::string& text) {
  if (!std::isfinite(value_si)) return;
  const double scaled_ratio =
      std::round(value_si * kPowers_ratio[static_cast<std::size_t>(decimals)]);
  EXPECTS(std::fabs(scaled_ratio) < 9e18);
  const auto whole = static_cast<long long>(scaled_ratio);
  char digits[24];
  const auto [end, error] =
      std::to_chars(digits, digits + sizeof digits, whole < 0 ? -whole : whole);
  ENSURES(error == std::errc{});
  const auto count = static_cast<int>(end - digits);
  if (whole < 0) text += '-';
  if (decimals == 0) {
    text.append(digits, end);
  } else if (count <= decimals) {
    text += "0.";
    text.append(static_cast<std::size_t>(decimals - count), '0');
    text.append(digits, end);
  } else {
    text.append(digits, end - decimals);
    text += '.';
    text.append(end - decimals, end);
  }
}

double rounded_si(double value_si, int decimals) {
  const double power_ratio = kPowers_ratio[static_cast<std::size_t>(decimals)];
  return std::round(value_si * power_ratio) / power_ratio + 0.0;  // no minus zero
}

}  // namespace sim::map
