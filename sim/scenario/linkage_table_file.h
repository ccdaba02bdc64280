// A solenoid's linkage measured over lift and current, from a CSV file that `valve.coil.table`
// names.
//
//   lift [mm], current [A], linkage [mWb]     one line per point; `lift_mm`, `current_a` and
//   0, 0.5, 1.82                              `linkage_vs` do too, and `inductance [mH]` (linkage
//   ...                                       over current) in place of the linkage
//   Every lift needs every current, in any order; a current of 0 may be left out.
//
// Errors   InputError with the file's line and the key: a point missing or stated twice, fewer than
//          2 lifts or 3 currents, linkage without current, linkage that does not rise with the
//          current, that falls with the lift, or whose pull is negative between its lifts
// Checked  tests/sim/scenario/linkage_table_file_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "model/row_params.h"
#include "sim/text/document.h"

namespace sim::scenario {

/// `key`: as messages show it.
model::LinkageTable read_linkage_table(const std::filesystem::path& file, const std::string& key);

/// Reads the table that `holder` names at "valve.coil.table", if it does; `prefix` stands ahead of
/// that key in messages. Its path is relative to the file that states it, or to `fallback`.
void take_linkage_table(const text::Node& holder, const std::string& prefix,
                        const std::filesystem::path& fallback, model::Coil& coil);

}  // namespace sim::scenario
