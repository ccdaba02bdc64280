#include "sim/output/shown_units.h"

#include <algorithm>
#include <cmath>

#include "shared/check.h"
#include "shared/units.h"
#include "sim/output/number_text.h"

namespace sim::output {
namespace {

// 1 fl oz per 1000 ft of row, as a volume per length.
constexpr double kFluidOuncePer1000Foot_m3pm = shared::kFluidOunce_m3 / (1000.0 * shared::kFoot_m);

ShownUnit metric_unit(Measure measure) {
  switch (measure) {
    case Measure::kPlace: return {"mm", 1e3, 0.0, 1};
    case Measure::kDistance: return {"m", 1.0, 0.0, 2};
    case Measure::kSpeed: return {"km/h", 3.6, 0.0, 1};
    case Measure::kJetSpeed: return {"m/s", 1.0, 0.0, 1};
    case Measure::kRate: return {"l/ha", 1.0 / shared::kLitrePerHectare_m3pm2, 0.0, 1};
    case Measure::kFlow: return {"l/min", 6e4, 0.0, 3};
    case Measure::kLineDose: return {"ml/m", 1e6, 0.0, 2};
    case Measure::kDose: return {"ml", 1e6, 0.0, 3};
    case Measure::kVolume: return {"l", 1e3, 0.0, 2};
    case Measure::kPressure: return {"bar", 1.0 / shared::kBar_pa, 0.0, 2};
    case Measure::kTemperature: return {"°C", 1.0, -shared::kZeroCelsius_k, 1};
    case Measure::kSpringRate: return {"N/mm", 1e-3, 0.0, 1};
    default: break;
  }
  ENSURES(false);
  return {};
}

ShownUnit us_unit(Measure measure) {
  switch (measure) {
    case Measure::kPlace: return {"in", 1.0 / shared::kInch_m, 0.0, 3};
    case Measure::kDistance: return {"ft", 1.0 / shared::kFoot_m, 0.0, 2};
    case Measure::kSpeed: return {"mph", 1.0 / shared::kMilePerHour_mps, 0.0, 1};
    case Measure::kJetSpeed: return {"ft/s", 1.0 / shared::kFoot_m, 0.0, 1};
    case Measure::kRate: return {"gal/ac", 1.0 / shared::kGallonPerAcre_m3pm2, 0.0, 2};
    case Measure::kFlow: return {"gpm", 60.0 / shared::kGallon_m3, 0.0, 3};
    case Measure::kLineDose: return {"fl oz/1000 ft", 1.0 / kFluidOuncePer1000Foot_m3pm, 0.0, 1};
    case Measure::kDose: return {"fl oz", 1.0 / shared::kFluidOunce_m3, 0.0, 4};
    case Measure::kVolume: return {"gal", 1.0 / shared::kGallon_m3, 0.0, 3};
    case Measure::kPressure: return {"psi", 1.0 / shared::kPoundPerSquareInch_pa, 0.0, 1};
    case Measure::kTemperature: return {"°F", 1.8, -459.67, 1};
    case Measure::kSpringRate:
      return {"lb/in", shared::kInch_m / (shared::kPound_kg * shared::kStandardGravity_mps2), 0.0,
              1};
    default: break;
  }
  ENSURES(false);
  return {};
}

}  // namespace

ShownUnit shown_unit(Measure measure, Units units) {
  switch (measure) {
    case Measure::kShare: return {"%", 1e2, 0.0, 1};
    case Measure::kTime: return {"ms", 1e3, 0.0, 2};
    case Measure::kCurrent: return {"A", 1.0, 0.0, 2};
    case Measure::kVoltage: return {"V", 1.0, 0.0, 1};
    case Measure::kFrequency: return {"Hz", 1.0, 0.0, 0};
    case Measure::kBore: return {"mm", 1e3, 0.0, 2};
    case Measure::kNumber: return {"", 1.0, 0.0, 2};
    default: return units == Units::kUs ? us_unit(measure) : metric_unit(measure);
  }
}

std::string shown_number(double value_si, const ShownUnit& unit, int decimals) {
  if (!std::isfinite(value_si)) return "not known";
  std::string text = fixed_text(value_si * unit.per_si_ratio + unit.shift_ratio, decimals);
  if (text.front() == '-') text.replace(0, 1, "−");
  return text;
}

std::string shown(double value_si, Measure measure, Units units, int decimals) {
  const ShownUnit unit = shown_unit(measure, units);
  std::string text = shown_number(value_si, unit, decimals);
  if (std::isfinite(value_si) && !unit.word.empty()) text += " " + std::string(unit.word);
  if (measure == Measure::kBore && std::isfinite(value_si))
    text += " (" + fixed_text(value_si / shared::kInch_m * 1e3, 0) + " thou)";
  return text;
}

std::string shown(double value_si, Measure measure, Units units) {
  return shown(value_si, measure, units, shown_unit(measure, units).decimals);
}

std::string shown_plain(double value_si, Measure measure, Units units, int more_decimals) {
  std::string text =
      shown(value_si, measure, units, shown_unit(measure, units).decimals + more_decimals);
  const std::size_t point = text.find('.');
  if (point == std::string::npos) return text;
  const std::size_t end = std::min(text.find(' ', point), text.size());
  std::size_t kept = end;
  while (text[kept - 1] == '0') --kept;
  if (text[kept - 1] == '.') --kept;
  return text.substr(0, kept) + text.substr(end);
}

std::string shown_beside(double value_si, double limit_si, Measure measure, Units units) {
  constexpr int kMostMore = 4;
  const int usual = shown_unit(measure, units).decimals;
  std::string text = shown(value_si, measure, units, usual);
  for (int more = 1; more <= kMostMore && value_si != limit_si; ++more) {
    if (text != shown(limit_si, measure, units, usual + more - 1)) break;
    text = shown(value_si, measure, units, usual + more);
  }
  return text;
}

std::string shown_signed(double value_si, Measure measure, Units units) {
  const std::string text = shown(value_si, measure, units);
  return value_si > 0.0 && std::isfinite(value_si) ? "+" + text : text;
}

Measure measure_of(std::string_view unit_word) {
  if (unit_word == "ratio") return Measure::kShare;
  if (unit_word == "m") return Measure::kPlace;
  if (unit_word == "m3") return Measure::kDose;
  if (unit_word == "m3/m2") return Measure::kRate;
  if (unit_word == "m/s") return Measure::kJetSpeed;
  if (unit_word == "s") return Measure::kTime;
  if (unit_word == "Pa") return Measure::kPressure;
  if (unit_word == "V") return Measure::kVoltage;
  if (unit_word == "A") return Measure::kCurrent;
  if (unit_word == "m3/s") return Measure::kFlow;
  return Measure::kNumber;
}

}  // namespace sim::output
