// Converts quantities as people write them ("16 km/h", "6 in", "10 gal/ac") to SI and back. One
// table holds every unit.
//
//   SI = (number * 10^exponent10 + before) * multiplier / divisor
//
// The decimal exponent is moved into the digits before they are read, so "0.3 ms" is the double
// nearest to 0.0003 and "12 %" the one nearest to 0.12: a value that a person writes and the same
// default in the code have the same bits.
//
// Errors   never throws: `error` says what is wrong, `nearest` names the nearest valid unit, if
//          there is one
// Source   shared/units.h for the inexact factors; prefixes by definition. Independent of the
//          locale (std::from_chars)
// Checked  tests/sim/text/quantity_test.cc
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace sim::text {

enum class Kind : std::uint8_t {
  kLength,
  kTime,
  kSpeed,
  kPressure,
  kVolumePerArea,
  kRatio,
  kMass,
  kTemperature,
  kViscosity,
  kDensity,
  kSurfaceTension,
  kSpringRate,
  kDamping,
  kVoltage,
  kCurrent,
  kResistance,
  kInductance,
  kFluxLinkage,
  kForce,
  kForceConstant,
  kFrequency,
  kAngle,
  kTurnRate,
  kCountPerArea,
  kVolume,
  kFlow,
  kLineResistance,
  kCompliance,
  kThermalResistance,
  kArea,
  kVolumePerLength,
  kBitRate,
};

struct Unit {
  std::string_view name;
  Kind kind;
  int exponent10 = 0;
  double multiplier_ratio = 1.0;
  double divisor_ratio = 1.0;
  double before_si = 0.0;  // temperatures: the zero of the scale, in its own degrees
};

struct KindWord {
  Kind kind;
  std::string_view name;     // "speed"
  std::string_view si_unit;  // "m/s"; empty for a ratio
  std::string_view example;  // "16 km/h"
};

struct Quantity {
  double value_si = 0.0;
  std::string unit;     // as in the table; empty for a plain ratio
  std::string error;    // empty: the quantity is good
  std::string nearest;  // nearest valid unit, or empty
};

/// Every unit, in the order in which `list units` prints them.
std::span<const Unit> units();
const KindWord& kind_word(Kind kind);
std::span<const KindWord> kind_words();
/// "m/s, km/h, mph, kn": the units of one kind.
std::string unit_names(Kind kind);

Quantity parse_quantity(std::string_view text, Kind kind);

/// The shortest text that reads back as the same double.
std::string shortest_text(double value_si);
/// The value in the given unit with at most `digits` significant digits: "16 km/h". A unit that
/// does not belong to the kind is replaced by the SI unit.
std::string format_quantity(double value_si, Kind kind, std::string_view unit, int digits = 6);

}  // namespace sim::text
