// What the row's module is given to know: one row's scenario as its canonical text, with what that
// text leaves out or other readers refuse (name, title, drive, spacings, requirements), and, where
// it was found before, the delay table, trims and form of the lines of a full answer.
//
//   first line, name, title, command, units, then blocks, each after a line of its own:
//   [scenario] canonical text    [known] canonical text of the full answer's scenario, lines judged
//   [table] tuned table          [trims] its trims       (sim/study/tune/kept_text.h)
//
// Errors   InputError: a scenario that cannot be carried exactly (a controller of one's own,
//          faults, zones, rows off, a table from a file); a text of another form
// Checked  tests/sim/command/row_module_test.cc
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sim/output/shown_units.h"
#include "sim/scenario/scenario.h"
#include "sim/study/run/run.h"

namespace sim::command {

struct RowContents {
  scenario::Scenario scenario;
  output::Units units = output::Units::kMetric;
  std::string command;  // "sillion run scenarios/demo.toml", to which settings are added
  /// Of the last full answer: scenario with its judged form, table and trims.
  std::optional<run::RunResult> known;
};

std::string contents_text(const RowContents& contents);
RowContents read_contents(const std::string& text);

}  // namespace sim::command
