// The description of a co-simulation unit as the standard asks for it: modelDescription.xml with
// units, variables and structure, and a page for people.
//
// Errors   none
// Source   Functional Mock-up Interface Specification 3.0, section 2.4 and 4.3; order and names of
//          elements compared with the drafts of its schema, which are not part of this repository
// Checked  tests/sim/study/unit/unit_description_test.cc
#pragma once

#include <cstdint>
#include <string>

#include "sim/study/unit/unit_contents.h"

namespace sim::unit {

/// Name of the shared library in the unit, without its ending.
inline constexpr const char* kModelIdentifier = "sillion_row";

struct UnitLabel {
  std::string token;
  std::int64_t step_ns = 0;  // of the row
};

std::string model_description(const UnitContents& contents, const UnitLabel& label);
std::string documentation_page(const UnitContents& contents, const UnitLabel& label);

}  // namespace sim::unit
