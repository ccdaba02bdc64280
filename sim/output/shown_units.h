// SI figures in the units that people read: metric or US; times always in ms.
//
// Text     "16.0 km/h", "−2.1 ms", "95.6 %"; a figure that does not exist reads "not known"
// Checked  tests/sim/study/run/report_test.cc
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace sim::output {

enum class Units : std::uint8_t { kMetric, kUs };

/// What a figure measures; it fixes unit and usual decimals.
enum class Measure : std::uint8_t {
  kShare,     // percent
  kPlace,     // mm or in: errors, bands, offsets
  kDistance,  // m or ft
  kSpeed,     // km/h or mph
  kJetSpeed,  // m/s or ft/s
  kTime,      // ms
  kRate,      // l/ha or gal/ac
  kFlow,      // l/min or gpm
  kLineDose,  // ml/m or fl oz per 1000 ft
  kDose,      // ml or fl oz, of one band
  kVolume,    // l or gal
  kPressure,  // bar or psi
  kTemperature,
  kCurrent,
  kVoltage,
  kFrequency,
  kSpringRate,
  kBore,  // mm and thousandths of an inch
  kNumber,
};

struct ShownUnit {
  std::string_view word;
  double per_si_ratio = 1.0;
  double shift_ratio = 0.0;  // added after the factor, in the shown unit
  int decimals = 1;
};

ShownUnit shown_unit(Measure measure, Units units);
std::string shown(double value_si, Measure measure, Units units);
/// With `decimals` decimals instead of the usual number.
std::string shown(double value_si, Measure measure, Units units, int decimals);
/// Without zeros at the end of the decimals: for what a person entered, such as a tolerance of 10
/// mm. `more_decimals` beyond the usual ones show a limit of 1.25 mm in full.
std::string shown_plain(double value_si, Measure measure, Units units, int more_decimals = 0);
/// With its sign, also when positive.
std::string shown_signed(double value_si, Measure measure, Units units);
/// A figure beside a limit from which it differs: it gets up to four more decimals until it no
/// longer reads like the limit (94.97 % beside a goal of 95 %, not 95.0 %).
std::string shown_beside(double value_si, double limit_si, Measure measure, Units units);
/// The number alone, with the typographic minus sign.
std::string shown_number(double value_si, const ShownUnit& unit, int decimals);
/// What a requirement's or metric's unit word ("m", "ratio", "m3/m2") measures.
Measure measure_of(std::string_view unit_word);

}  // namespace sim::output
