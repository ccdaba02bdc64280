// Every variable of a co-simulation unit: its reference, name, type, unit, and where its value
// lies. modelDescription.xml and the access functions read this one list.
//
//   References are part of a unit's contract: append, never renumber.
//
// Shapes   scalars
// Checked  tests/sim/study/unit/unit_description_test.cc
#pragma once

#include <cstdint>
#include <span>
#include <string_view>

#include "sim/study/unit/unit_values.h"

namespace sim::unit {

enum class Causality : std::uint8_t { kIndependent, kInput, kParameter, kOutput };
enum class Fitted : std::uint8_t { kAlways, kRowAlone, kWithController };

struct UnitVariable {
  std::uint32_t reference = 0;
  std::string_view name;
  Causality causality = Causality::kOutput;
  Fitted fitted = Fitted::kAlways;
  std::string_view unit;  // a name of units_of_variables(); empty: none
  std::string_view description;
  // One of these says where the value lies, and with it the type.
  double UnitInputs::* real_in = nullptr;    // tidy: unit is in `unit`
  double UnitOutputs::* real_out = nullptr;  // tidy: unit is in `unit`
  bool UnitInputs::* flag_in = nullptr;
  bool UnitOutputs::* flag_out = nullptr;
  std::int32_t UnitOutputs::* whole_out = nullptr;
  bool instant = false;  // counted from the start; below 0: none

  bool is_real() const { return real_in != nullptr || real_out != nullptr; }
  bool is_flag() const { return flag_in != nullptr || flag_out != nullptr; }
  bool is_in(bool with_controller) const {
    return fitted == Fitted::kAlways || (fitted == Fitted::kWithController) == with_controller;
  }
};

std::span<const UnitVariable> unit_variables();
/// Null where a unit of this kind has no variable of that reference.
const UnitVariable* find_variable(std::uint32_t reference, bool with_controller);

/// A unit by its powers of the SI base units.
struct UnitOfMeasure {
  std::string_view name;
  int kg = 0, m = 0, s = 0, a = 0;
};
std::span<const UnitOfMeasure> units_of_variables();

}  // namespace sim::unit
