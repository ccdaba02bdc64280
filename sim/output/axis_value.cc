#include "sim/output/axis_value.h"

#include <array>
#include <charconv>
#include <string_view>

#include "shared/units.h"
#include "sim/measure/record.h"
#include "sim/output/number_text.h"

namespace sim {
namespace {

struct Unit {
  std::string_view word;
  std::string_view suffix;
  double factor = 1.0;  // tidy: SI over the unit
  double shift = 0.0;   // tidy: SI, added before the factor
};

constexpr std::array kUnits = {
    Unit{"km/h", "_mps", shared::kKilometrePerHour_mps},
    Unit{"mph", "_mps", shared::kMilePerHour_mps},
    Unit{"m/s", "_mps"},
    Unit{"mm", "_m", 1e-3},
    Unit{"cm", "_m", 1e-2},
    Unit{"m", "_m"},
    Unit{"in", "_m", shared::kInch_m},
    Unit{"ft", "_m", shared::kFoot_m},
    Unit{"us", "_s", 1e-6},
    Unit{"ms", "_s", 1e-3},
    Unit{"s", "_s"},
    Unit{"l/ha", "_m3pm2", shared::kLitrePerHectare_m3pm2},
    Unit{"gal/ac", "_m3pm2", shared::kGallonPerAcre_m3pm2},
    Unit{"bar", "_pa", shared::kBar_pa},
    Unit{"psi", "_pa", shared::kPoundPerSquareInch_pa},
    Unit{"kPa", "_pa", 1e3},
    Unit{"Pa", "_pa"},
    Unit{"mPa s", "_pas", 1e-3},
    Unit{"Pa s", "_pas"},
    Unit{"K", "_k"},
    Unit{"C", "_k", 1.0, shared::kZeroCelsius_k},
    Unit{"F", "_k", 5.0 / 9.0, 459.67},
    Unit{"%", "_ratio", 1e-2},
    Unit{"V", "_v"},
    Unit{"A", "_a"},
    Unit{"Hz", "_hz"},
    Unit{"", ""},
};

struct Parsed {
  double number = kNone_ratio;  // tidy: in the written unit
  const Unit* unit = nullptr;   // null: not a quantity
};

Parsed parse(const std::string& value) {
  Parsed parsed;
  const char* const stop = value.data() + value.size();
  const auto [end, error] = std::from_chars(value.data(), stop, parsed.number);
  if (error != std::errc{}) return parsed;
  std::string_view word(end, static_cast<std::size_t>(stop - end));
  while (!word.empty() && word.front() == ' ') word.remove_prefix(1);
  for (const Unit& unit : kUnits)
    if (unit.word == word) parsed.unit = &unit;
  return parsed;
}

}  // namespace

double axis_value_si(const std::string& value) {  // tidy: SI of the value's kind
  const Parsed parsed = parse(value);
  return parsed.unit == nullptr ? kNone_ratio : (parsed.number + parsed.unit->shift) * parsed.unit->factor;
}

std::string axis_value(const std::string& value) {
  return parse(value).unit == nullptr ? value : shortest_text(axis_value_si(value));
}

std::string axis_column(const SweepAxis& axis) {
  if (axis.values.empty()) return axis.key;
  const Parsed parsed = parse(axis.values.front());
  return parsed.unit == nullptr ? axis.key : axis.key + std::string(parsed.unit->suffix);
}

}  // namespace sim
