// The two layers of a map, and one feature of each; every format writes the same columns with the
// same digits.
//
//   bands     a point per band: its dose, its rate in the band, where it lies against its seed
//   seconds   a line per row and second: volume, rates in the band and as the field's average
//
// The rate in the band is that of the strip on which the band lies. Whoever multiplies it by the
// field's area gets a volume that never left the tank: the field-average rate is for that.
//
// Shapes   values in the order of the columns; not-a-number: there is none
// Errors   none
// Checked  tests/sim/study/map/map_formats_test.cc
#pragma once

#include <array>
#include <span>
#include <string>
#include <string_view>

#include "sim/study/map/local_plane.h"

namespace sim::map {

/// Stands in every feature, so that no line of a map passes for a record of what was applied.
inline constexpr std::string_view kSimulated = "simulated";
inline constexpr std::string_view kNoRecord =
    "SIMULATED: computed by a model of the machine; not a record of what was applied";

inline constexpr std::size_t kMostColumns = 14;
inline constexpr int kDegreeDecimals = 9;  // 0.1 mm

struct MapColumn {
  std::string_view name;  // its unit stands in it
  int decimals = 0;       // 0: a whole number
};

struct MapLayer {
  std::string_view name;
  std::string_view description;
  bool lines = false;  // else points
  bool kinds = false;  // features have a kind
  std::span<const MapColumn> columns;
};

struct MapFeature {
  std::array<GeoPoint, 2> at;                    // of a point the first alone
  std::array<double, kMostColumns> values_si{};  // tidy: unit is that of the column
  std::string_view kind;
};

const MapLayer& bands_layer();
const MapLayer& seconds_layer();

/// Places of the columns of each layer.
enum BandColumn {
  kBandRow,
  kBandSeed,
  kBandAt,
  kBandDose,
  kBandRate,
  kBandLength,
  kBandError,
  kBandCount
};
enum SecondColumn {
  kSecondRow,
  kSecondFrom,
  kSecondUntil,
  kSecondWay,
  kSecondArea,
  kSecondInSet,
  kSecondIn,
  kSecondFieldSet,
  kSecondField,
  kSecondVolume,
  kSecondSeeds,
  kSecondMissed,
  kSecondBands,
  kSecondEvents
};

/// Adds the number, rounded to the nearest with these decimals (ties away from zero), nothing for
/// not-a-number. Faster than fixed_text of sim/output/number_text.h, by a table of powers of ten:
/// a map has tens of millions of numbers. Up to 9e18 in the last decimal.
void put_number(double value_si, int decimals, std::string& text);
/// The same rounding, as a number.
double rounded_si(double value_si, int decimals);

}  // namespace sim::map
