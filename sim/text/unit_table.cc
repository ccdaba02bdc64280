// The table of units and kinds that quantity.h describes.
#include <array>

#include "shared/check.h"
#include "shared/units.h"
#include "sim/text/quantity.h"

namespace sim::text {
namespace {

using namespace shared;

constexpr std::array kWords = {
    KindWord{Kind::kLength, "length", "m", "75 mm"},
    KindWord{Kind::kTime, "time", "s", "0.3 ms"},
    KindWord{Kind::kSpeed, "speed", "m/s", "16 km/h"},
    KindWord{Kind::kPressure, "pressure", "Pa", "2.8 bar"},
    KindWord{Kind::kVolumePerArea, "volume per area", "m3/m2", "5 gal/ac"},
    KindWord{Kind::kRatio, "ratio", "", "12 %"},
    KindWord{Kind::kMass, "mass", "kg", "3 g"},
    KindWord{Kind::kTemperature, "temperature", "K", "15 C"},
    KindWord{Kind::kViscosity, "viscosity", "Pa s", "45 mPa s"},
    KindWord{Kind::kDensity, "density", "kg/m3", "1.39 kg/l"},
    KindWord{Kind::kSurfaceTension, "surface tension", "N/m", "72 mN/m"},
    KindWord{Kind::kSpringRate, "spring rate", "N/m", "2 N/mm"},
    KindWord{Kind::kDamping, "damping", "N s/m", "0.5 N s/m"},
    KindWord{Kind::kVoltage, "voltage", "V", "12.6 V"},
    KindWord{Kind::kCurrent, "current", "A", "2 A"},
    KindWord{Kind::kResistance, "resistance", "ohm", "4 ohm"},
    KindWord{Kind::kInductance, "inductance", "H", "2 mH"},
    KindWord{Kind::kFluxLinkage, "flux linkage", "Wb", "10 mWb"},
    KindWord{Kind::kForce, "force", "N", "4 N"},
    KindWord{Kind::kForceConstant, "force constant", "N/A", "5 N/A"},
    KindWord{Kind::kFrequency, "frequency", "Hz", "20 Hz"},
    KindWord{Kind::kAngle, "angle", "rad", "45 deg"},
    KindWord{Kind::kTurnRate, "turn rate", "rad/s", "4 deg/s"},
    KindWord{Kind::kCountPerArea, "count per area", "1/m2", "80 thousand/ha"},
    KindWord{Kind::kVolume, "volume", "m3", "5 mm3"},
    KindWord{Kind::kFlow, "flow", "m3/s", "16 ml/s"},
    KindWord{Kind::kThermalResistance, "thermal resistance", "K/W", "8 K/W"},
    KindWord{Kind::kLineResistance, "resistance of a line", "Pa s/m3", "3.5e10 Pa s/m3"},
    KindWord{Kind::kCompliance, "compliance", "1/Pa", "1e-10 1/Pa"},
    KindWord{Kind::kArea, "area", "m2", "64 ha"},
    KindWord{Kind::kVolumePerLength, "volume per length of row", "m3/m", "4 fl oz/1000 ft"},
    KindWord{Kind::kBitRate, "bit rate", "bit/s", "250 kbit/s"},
};

// The first unit of each kind is the SI one.
constexpr std::array kUnits = {
    Unit{"m", Kind::kLength},
    Unit{"mm", Kind::kLength, -3},
    Unit{"cm", Kind::kLength, -2},
    Unit{"um", Kind::kLength, -6},
    Unit{"km", Kind::kLength, 3},
    Unit{"in", Kind::kLength, 0, kInch_m},
    Unit{"thou", Kind::kLength, -3, kInch_m},
    Unit{"ft", Kind::kLength, 0, kFoot_m},
    Unit{"s", Kind::kTime},
    Unit{"ms", Kind::kTime, -3},
    Unit{"us", Kind::kTime, -6},
    Unit{"ns", Kind::kTime, -9},
    Unit{"min", Kind::kTime, 0, 60.0},
    Unit{"h", Kind::kTime, 0, kHour_s},
    Unit{"m/s", Kind::kSpeed},
    Unit{"mm/s", Kind::kSpeed, -3},
    Unit{"km/h", Kind::kSpeed, 0, 10.0, 36.0},
    Unit{"mph", Kind::kSpeed, 0, kMile_m, kHour_s},
    Unit{"kn", Kind::kSpeed, 0, 1852.0, kHour_s},
    Unit{"Pa", Kind::kPressure},
    Unit{"kPa", Kind::kPressure, 3},
    Unit{"MPa", Kind::kPressure, 6},
    Unit{"GPa", Kind::kPressure, 9},
    Unit{"bar", Kind::kPressure, 5},
    Unit{"mbar", Kind::kPressure, 2},
    Unit{"psi", Kind::kPressure, 0, kPoundPerSquareInch_pa},
    Unit{"m3/m2", Kind::kVolumePerArea},
    Unit{"l/ha", Kind::kVolumePerArea, -7},
    Unit{"ml/m2", Kind::kVolumePerArea, -6},
    Unit{"gal/ac", Kind::kVolumePerArea, 0, kGallonPerAcre_m3pm2},
    Unit{"%", Kind::kRatio, -2},
    Unit{"ppm", Kind::kRatio, -6},
    Unit{"kg", Kind::kMass},
    Unit{"g", Kind::kMass, -3},
    Unit{"mg", Kind::kMass, -6},
    Unit{"lb", Kind::kMass, 0, kPound_kg},
    Unit{"K", Kind::kTemperature},
    Unit{"C", Kind::kTemperature, 0, 1.0, 1.0, kZeroCelsius_k},
    Unit{"F", Kind::kTemperature, 0, 5.0, 9.0, 459.67},
    Unit{"Pa s", Kind::kViscosity},
    Unit{"mPa s", Kind::kViscosity, -3},
    Unit{"cP", Kind::kViscosity, -3},
    Unit{"kg/m3", Kind::kDensity},
    Unit{"kg/l", Kind::kDensity, 3},
    Unit{"g/ml", Kind::kDensity, 3},
    Unit{"g/cm3", Kind::kDensity, 3},
    Unit{"lb/gal", Kind::kDensity, 0, kPound_kg, kGallon_m3},
    Unit{"N/m", Kind::kSurfaceTension},
    Unit{"mN/m", Kind::kSurfaceTension, -3},
    Unit{"N/m", Kind::kSpringRate},
    Unit{"N/mm", Kind::kSpringRate, 3},
    Unit{"kN/m", Kind::kSpringRate, 3},
    Unit{"N s/m", Kind::kDamping},
    Unit{"V", Kind::kVoltage},
    Unit{"mV", Kind::kVoltage, -3},
    Unit{"A", Kind::kCurrent},
    Unit{"mA", Kind::kCurrent, -3},
    Unit{"ohm", Kind::kResistance},
    Unit{"mohm", Kind::kResistance, -3},
    Unit{"H", Kind::kInductance},
    Unit{"mH", Kind::kInductance, -3},
    Unit{"uH", Kind::kInductance, -6},
    Unit{"Wb", Kind::kFluxLinkage},
    Unit{"mWb", Kind::kFluxLinkage, -3},
    Unit{"V s", Kind::kFluxLinkage},
    Unit{"N", Kind::kForce},
    Unit{"mN", Kind::kForce, -3},
    Unit{"kN", Kind::kForce, 3},
    Unit{"N/A", Kind::kForceConstant},
    Unit{"V s/m", Kind::kForceConstant},
    Unit{"Hz", Kind::kFrequency},
    Unit{"kHz", Kind::kFrequency, 3},
    Unit{"MHz", Kind::kFrequency, 6},
    Unit{"GHz", Kind::kFrequency, 9},
    Unit{"1/s", Kind::kFrequency},
    Unit{"1/min", Kind::kFrequency, 0, 1.0, 60.0},
    Unit{"rad", Kind::kAngle},
    Unit{"mrad", Kind::kAngle, -3},
    Unit{"deg", Kind::kAngle, 0, kPi_ratio, 180.0},
    Unit{"rad/s", Kind::kTurnRate},
    Unit{"deg/s", Kind::kTurnRate, 0, kPi_ratio, 180.0},
    Unit{"1/m2", Kind::kCountPerArea},
    Unit{"seeds/m2", Kind::kCountPerArea},
    Unit{"1/ha", Kind::kCountPerArea, -4},
    Unit{"seeds/ha", Kind::kCountPerArea, -4},
    Unit{"thousand/ha", Kind::kCountPerArea, -1},
    Unit{"thousand seeds/ha", Kind::kCountPerArea, -1},
    Unit{"seeds/ac", Kind::kCountPerArea, 0, 1.0, kAcre_m2},
    Unit{"thousand/ac", Kind::kCountPerArea, 3, 1.0, kAcre_m2},
    Unit{"thousand seeds/ac", Kind::kCountPerArea, 3, 1.0, kAcre_m2},
    Unit{"m3", Kind::kVolume},
    Unit{"l", Kind::kVolume, -3},
    Unit{"ml", Kind::kVolume, -6},
    Unit{"ul", Kind::kVolume, -9},
    Unit{"mm3", Kind::kVolume, -9},
    Unit{"gal", Kind::kVolume, 0, kGallon_m3},
    Unit{"fl oz", Kind::kVolume, 0, kFluidOunce_m3},
    Unit{"m3/s", Kind::kFlow},
    Unit{"l/s", Kind::kFlow, -3},
    Unit{"ml/s", Kind::kFlow, -6},
    Unit{"l/min", Kind::kFlow, -3, 1.0, 60.0},
    Unit{"ml/min", Kind::kFlow, -6, 1.0, 60.0},
    Unit{"gpm", Kind::kFlow, 0, kGallon_m3, 60.0},
    Unit{"Pa s/m3", Kind::kLineResistance},
    Unit{"1/Pa", Kind::kCompliance},
    Unit{"1/MPa", Kind::kCompliance, -6},
    Unit{"1/GPa", Kind::kCompliance, -9},
    Unit{"K/W", Kind::kThermalResistance},
    Unit{"m2", Kind::kArea},
    Unit{"ha", Kind::kArea, 4},
    Unit{"ac", Kind::kArea, 0, kAcre_m2},
    Unit{"m3/m", Kind::kVolumePerLength},
    Unit{"ml/m", Kind::kVolumePerLength, -6},
    Unit{"ml/100 m", Kind::kVolumePerLength, -8},
    Unit{"fl oz/1000 ft", Kind::kVolumePerLength, -3, kFluidOunce_m3, kFoot_m},
    Unit{"bit/s", Kind::kBitRate},
    Unit{"kbit/s", Kind::kBitRate, 3},
    Unit{"Mbit/s", Kind::kBitRate, 6},
};

}  // namespace

std::span<const Unit> units() { return kUnits; }
std::span<const KindWord> kind_words() { return kWords; }

const KindWord& kind_word(Kind kind) {
  for (const KindWord& word : kWords) {
    if (word.kind == kind) return word;
  }
  EXPECTS(false && "every kind has its word");
  return kWords[0];
}

std::string unit_names(Kind kind) {
  std::string names = kind == Kind::kRatio ? "plain number" : "";
  for (const Unit& unit : kUnits) {
    if (unit.kind == kind) names += (names.empty() ? "" : ", ") + std::string(unit.name);
  }
  return names;
}

}  // namespace sim::text
