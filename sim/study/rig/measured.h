// A measured history that a rig setup sets beside the model: keys of [measured] and the CSV file.
//
//   t_s, current_a, lift_m         columns named as in series.csv, in SI
//   time [ms], current [mA]        or without that unit, followed by the file's own
//   A time column is required (t_s, time_s, `t` or `time` with a unit). Other columns are not read.
//   A cell without text is no point. The separator is the comma, semicolon or tab of the header.
//
// Errors   InputError: no such file, history or column (with the nearest name), a unit that is none
//          of the column's, a cell that is no number, times that fall back, no point within the
//          record, a history that the setup does not have
// Checked  tests/sim/study/rig/measured_test.cc
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "sim/study/rig/rig_series.h"
#include "sim/text/document.h"
#include "sim/text/reader.h"

namespace sim::rig {

struct RigSetup;

/// One column; its time is that of the run.
struct MeasuredColumn {
  const RigColumn* history = nullptr;
  std::vector<double> time_s;
  std::vector<double> values_si;
};

struct RigMeasured {
  std::string file;
  std::string column;    // empty: every column of the file that is named like a history
  double shift_s = 0.0;  // time of the run at the file's time 0
  std::shared_ptr<const std::vector<MeasuredColumn>> columns;  // null: nothing measured
};

void describe_measured(RigMeasured& measured, text::Fields& fields);
/// Reads the file; the rest of the setup is known by then.
void finish_measured(const text::Node& document, const std::filesystem::path& setup_file,
                     const text::Places& places, RigSetup& setup);
/// The columns that `measured` asks for, from this file.
std::vector<MeasuredColumn> read_measured(const std::filesystem::path& file,
                                          const RigMeasured& measured);

}  // namespace sim::rig
