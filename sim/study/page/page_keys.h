// The keys of a scenario that the page sets: every number, choice and switch of the physical
// situation that a study may vary, and the names of attachment and liquid. Left out are keys that
// name a file (a page must not make the program open one), and those that say how much is computed:
// number of rows and seeds, duration, solver, tuning.
//
// Shape    numbers are in SI here; JSON states them in the unit that people read, with that unit
// Errors   none
// Checked  tests/sim/study/page/page_keys_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/output/shown_units.h"
#include "sim/scenario/scenario.h"
#include "sim/text/quantity.h"

namespace sim::page {

enum class KeyForm : std::uint8_t { kQuantity, kWhole, kFlag, kWord, kName };

struct PageKey {
  std::string key;  // dotted
  std::string help;
  KeyForm form = KeyForm::kQuantity;
  std::string value;               // as a person writes it: "16 km/h"
  std::string range;               // in words; empty: no range
  std::vector<std::string> words;  // of a choice
  // a quantity
  text::Kind kind = text::Kind::kRatio;
  std::string unit;  // that people read; "" of a plain number
  double value_si = 0.0;
  // a quantity with a slider
  std::string label;  // empty: it has a field only
  double from_si = 0.0;
  double to_si = 0.0;
};

/// In the order in which the page shows them: those with a slider first, then the others in the
/// order of the file.
std::vector<PageKey> page_keys(const scenario::Scenario& scenario, output::Units units);
/// `page_keys` as JSON: what the page builds its sliders and fields from. Names of attachments and
/// liquids are those of the catalogs that a scenario in `folder` can use.
std::string page_keys_json(const scenario::Scenario& scenario, output::Units units,
                           const std::filesystem::path& folder);
/// The unit that people read for this kind of quantity.
std::string unit_for_people(text::Kind kind, output::Units units);
/// The number of a quantity in that unit, with six significant digits.
double number_in_unit_si(double value_si, text::Kind kind, const std::string& unit);

}  // namespace sim::page
