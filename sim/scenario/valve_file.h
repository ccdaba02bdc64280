// A valve in a file of its own: what `valve --trace` fits and what a setup, a scenario or an
// attachment takes by `valve.file`.
//
//   The file holds the tables of a [valve] section: coil, plunger, seat, wear. Keys that stand
//   beside `valve.file` win over the file's; the file wins over the attachment's. Its path is seen
//   from where it was written (a --set: from the scenario or setup).
//
// Errors   InputError: no such file, a key beside the four tables (with the nearest name), a file
//          that names another
// Checked  tests/sim/scenario/valve_file_test.cc
#pragma once

#include <filesystem>
#include <string_view>

#include "sim/text/document.h"

namespace sim::scenario {

/// Lays the file under `section` of the document ("valve" or "attachment.valve"), if it names one.
void lay_valve_file(text::Node& document, std::string_view section,
                    const std::filesystem::path& file);

}  // namespace sim::scenario
