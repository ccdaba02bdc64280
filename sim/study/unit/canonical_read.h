// Reads a scenario back from its canonical text (canonical_text of
// sim/scenario/loader.h): for a program that
// carries a scenario with it and has neither the file nor the catalogs behind it.
//
//   Every line is KEY = VALUE in SI; a key without a line keeps its default. Taken up are all
//   described keys and the creep of hose and tube. What the canonical text holds besides (drives,
//   spacings, faults, requirements, zones, storage images, linkage tables) is refused: whoever
//   carries a scenario clears these first.
//
// Errors   InputError: a line that is none, a value that is no number, a key that is not taken up
// Checked  tests/sim/study/unit/canonical_read_test.cc
#pragma once

#include <string>

#include "sim/scenario/scenario.h"

namespace sim::unit {

/// Paths and free text, which a canonical text leaves out, are empty.
scenario::Scenario read_canonical(const std::string& text);

}  // namespace sim::unit
