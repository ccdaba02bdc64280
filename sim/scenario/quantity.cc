#include "sim/scenario/quantity.h"

#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <vector>

#include "shared/check.h"
#include "shared/units.h"
#include "sim/scenario/nearest.h"

namespace sim {
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
    KindWord{Kind::kForce, "force", "N", "4 N"},
    KindWord{Kind::kForceConstant, "force constant", "N/A", "5 N/A"},
    KindWord{Kind::kFrequency, "frequency", "Hz", "20 Hz"},
    KindWord{Kind::kAngle, "angle", "rad", "45 deg"},
    KindWord{Kind::kTurnRate, "turn rate", "rad/s", "4 deg/s"},
    KindWord{Kind::kCountPerArea, "count per area", "1/m2", "80 thousand/ha"},
    KindWord{Kind::kVolume, "volume", "m3", "5 mm3"},
    KindWord{Kind::kFlow, "flow", "m3/s", "16 ml/s"},
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
    Unit{"N", Kind::kForce},
    Unit{"mN", Kind::kForce, -3},
    Unit{"kN", Kind::kForce, 3},
    Unit{"N/A", Kind::kForceConstant},
    Unit{"V s/m", Kind::kForceConstant},
    Unit{"Hz", Kind::kFrequency},
    Unit{"kHz", Kind::kFrequency, 3},
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
    Unit{"gpm", Kind::kFlow, 0, kGallon_m3, 60.0},
};

const Unit* find_unit(std::string_view name, Kind kind) {
  for (const Unit& unit : kUnits) {
    if (unit.kind == kind && unit.name == name) return &unit;
  }
  return nullptr;
}

const Unit* find_unit_of_any_kind(std::string_view name) {
  for (const Unit& unit : kUnits) {
    if (unit.name == name) return &unit;
  }
  return nullptr;
}

bool is_blank(char c) { return c == ' ' || c == '\t'; }

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return text;
}

// Signs that keyboards and word processors put where the table has plain letters.
std::string plain_unit(std::string_view text) {
  static constexpr std::pair<std::string_view, std::string_view> kSigns[] = {
      {"\xC2\xB5", "u"}, {"\xCE\xBC", "u"}, {"\xC2\xB0", ""},      {"\xCE\xA9", "ohm"}, {"\xE2\x84\xA6", "ohm"},
      {"\xC2\xB2", "2"}, {"\xC2\xB3", "3"}, {"\xC2\xB7", " "},     {"\xC2\xA0", " "},
  };
  std::string plain;
  for (std::size_t at = 0; at < text.size();) {
    bool found = false;
    for (const auto& [sign, letters] : kSigns) {
      if (text.substr(at, sign.size()) == sign) {
        plain += letters;
        at += sign.size();
        found = true;
        break;
      }
    }
    if (!found) plain += text[at++];
  }
  std::string single;  // runs of blanks become one
  for (const char c : plain) {
    if (!is_blank(c)) single += c;
    else if (!single.empty() && single.back() != ' ') single += ' ';
  }
  return std::string(trimmed(single));
}

// Length of the decimal number at the start: sign, digits, point, exponent. 0 when there is none.
std::size_t number_length(std::string_view text) {
  const auto digit = [&](std::size_t at) { return at < text.size() && text[at] >= '0' && text[at] <= '9'; };
  std::size_t at = 0;
  if (at < text.size() && (text[at] == '+' || text[at] == '-')) ++at;
  std::size_t digits = 0;
  while (digit(at)) ++at, ++digits;
  if (at < text.size() && text[at] == '.') {
    ++at;
    while (digit(at)) ++at, ++digits;
  }
  if (digits == 0) return 0;
  if (at < text.size() && (text[at] == 'e' || text[at] == 'E')) {
    std::size_t after = at + 1;
    if (after < text.size() && (text[after] == '+' || text[after] == '-')) ++after;
    if (digit(after)) {
      while (digit(after)) ++after;
      at = after;
    }
  }
  return at;
}

// The number times 10^shift, read once from its digits so that there is no second rounding.
std::optional<double> shifted_number(std::string_view text, int shift) {
  if (text.front() == '+') text.remove_prefix(1);
  const std::size_t mark = text.find_first_of("eE");
  int exponent = 0;
  if (mark != std::string_view::npos) {
    std::string_view written = text.substr(mark + 1);
    if (written.front() == '+') written.remove_prefix(1);
    const auto [end, code] = std::from_chars(written.data(), written.data() + written.size(), exponent);
    if (code != std::errc{} || exponent > 400 || exponent < -400) return std::nullopt;
    text = text.substr(0, mark);
  }
  const std::string moved = std::string(text) + "e" + std::to_string(exponent + shift);
  double value_si = 0.0;
  const auto [end, code] = std::from_chars(moved.data(), moved.data() + moved.size(), value_si);
  if (code != std::errc{} || end != moved.data() + moved.size() || !std::isfinite(value_si)) return std::nullopt;
  return value_si;
}

double power_of_ten_ratio(int exponent) {
  double power_ratio = 1.0;
  for (int i = 0; i < (exponent < 0 ? -exponent : exponent); ++i) power_ratio *= 10.0;
  return power_ratio;
}

std::string quoted(std::string_view text) { return "\"" + std::string(text) + "\""; }

Quantity mistake(std::string error, std::string nearest = {}) { return {0.0, {}, std::move(error), std::move(nearest)}; }

Quantity unknown_unit(std::string_view text, const std::string& name, Kind kind) {
  const KindWord& word = kind_word(kind);
  if (const Unit* other = find_unit_of_any_kind(name)) {
    return mistake(quoted(text) + " is a " + std::string(kind_word(other->kind).name) + ", a " +
                   std::string(word.name) + " is wanted (units: " + unit_names(kind) + ")");
  }
  std::vector<std::string> names;
  for (const Unit& unit : kUnits) {
    if (unit.kind == kind) names.emplace_back(unit.name);
  }
  return mistake("unknown unit " + quoted(name) + " in " + quoted(text) + ", a " + std::string(word.name) +
                     " is wanted (units: " + unit_names(kind) + ")",
                 nearest_name(name, names));
}

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

Quantity parse_quantity(std::string_view text, Kind kind) {
  const std::string_view whole = trimmed(text);
  const std::size_t length = number_length(whole);
  if (length == 0) {
    return mistake(quoted(text) + " is not a " + std::string(kind_word(kind).name) +
                   ": write a finite number and a unit, such as " + quoted(kind_word(kind).example));
  }
  const std::string_view number = whole.substr(0, length);
  const std::string name = plain_unit(whole.substr(length));
  static constexpr Unit kPlain{"", Kind::kRatio};
  const Unit* unit = name.empty() && kind == Kind::kRatio ? &kPlain : find_unit(name, kind);
  if (unit == nullptr && name.empty()) {
    return mistake(quoted(text) + " has no unit: write for example " + quoted(kind_word(kind).example) +
                   " (units: " + unit_names(kind) + ")");
  }
  if (unit == nullptr) return unknown_unit(text, name, kind);
  const std::optional<double> shifted = shifted_number(number, unit->exponent10);
  if (!shifted) return mistake(quoted(text) + " is not a finite number that a double can hold");
  const double value_si = (*shifted + unit->before_si) * unit->multiplier_ratio / unit->divisor_ratio;
  if (!std::isfinite(value_si)) return mistake(quoted(text) + " is not a finite number that a double can hold");
  return {value_si, std::string(unit->name), {}, {}};
}

std::string shortest_text(double value_si) {
  std::array<char, 32> text;
  const auto result = std::to_chars(text.data(), text.data() + text.size(), value_si);
  return {text.data(), result.ptr};
}

std::string format_quantity(double value_si, Kind kind, std::string_view unit, int digits) {
  const Unit* found = find_unit(unit, kind);
  if (found == nullptr) found = find_unit(kind_word(kind).si_unit, kind);
  double number_si = value_si;
  std::string_view name;
  if (found != nullptr) {
    number_si = value_si * found->divisor_ratio / found->multiplier_ratio - found->before_si;
    const double power_ratio = power_of_ten_ratio(found->exponent10);
    number_si = found->exponent10 < 0 ? number_si * power_ratio : number_si / power_ratio;
    name = found->name;
  }
  std::array<char, 64> text;
  const auto result = std::to_chars(text.data(), text.data() + text.size(), number_si, std::chars_format::general, digits);
  std::string out(text.data(), result.ptr);
  if (!name.empty()) out += " " + std::string(name);
  return out;
}

}  // namespace sim
