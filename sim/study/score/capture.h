// A recording of a controller's pins by a logic analyser or an oscilloscope, as edges of its seed
// sensors and as times for which it drove its valves.
//
//   VCD      value change dump (IEEE Std 1364-2005, clause 18)
//   session  of the sigrok programs: a ZIP archive with `metadata` and `logic-1-...`
//   CSV      a line per instant: t_s, then a column per signal; a signal holds until the next line
//
// Signals  rowN.sensor (1 while a seed covers the beam) and rowN.drive (1 while the valve is
//          driven), N from 0; with one row also sensor and drive. `names` gives the recording's own
//          name of a signal, `inverted` lists signals whose 0 means 1. Every row needs both
// Time     seconds since the recording's first instant; files are read once, from the front
// Errors   InputError "file:line: what": not such a file, an unknown or missing signal (with the
//          nearest name), time that runs backwards, nothing recorded
// Source   the session format is known from files that the packaged programs write (no standard)
// Checked  tests/sim/study/score/capture_test.cc
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "sim/bench/played.h"

namespace sim::score {

struct CaptureWords {
  std::map<std::string, std::string> names;  // rowN.sensor -> name in the recording
  std::vector<std::string> inverted;         // rowN.sensor, ...
};

struct Capture {
  std::vector<bench::PlayedRow> rows;
  double lasts_s = 0.0;
  double resolution_s = 0.0;  // between two instants that it can tell apart
  bool resolution_known = false;
};

Capture read_capture(const std::filesystem::path& file, const CaptureWords& words);

}  // namespace sim::score
