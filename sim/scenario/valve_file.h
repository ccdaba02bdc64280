// A valve in a file of its own: `valve --trace` writes it from a fit, and a setup, a scenario or an
// attachment uses it by `valve.file`.
//
//   The file holds the tables of a [valve] section: coil, plunger, seat, wear. Keys beside
//   `valve.file` override the file's; the file overrides the attachment's. Its path is relative to
//   the file that states it (for a --set: to the scenario or setup).
//
// Errors   InputError: no such file, a key that is none of the four tables (with the nearest name),
//          such as a further `file`
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
