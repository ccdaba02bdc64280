// A recording of a controller's pins by a logic analyser or an oscilloscope, as edges of its seed
// sensors, times for which it drove its valves, and what its coils' current shows of them.
//
//   VCD      value change dump (IEEE Std 1364-2005, clause 18), a current of type real
//   session  of the sigrok programs: a ZIP archive with `metadata`, `logic-1-...` and, of the
//            analog channels that are currents, `analog-1-K-...`: as many samples as the logic has,
//            or more, which are left out
//   CSV      a line per instant: t_s, then a column per signal; a signal holds until the next line,
//            and a line without a current is no sample of it
//
// Signals  rowN.sensor (1 while a seed covers the beam), rowN.drive (1 while the valve is driven),
//          and where it was recorded rowN.current_a (of the coil, A), N from 0; with one row also
//          sensor, drive, current_a. `names` gives the recording's own name of a signal, `inverted`
//          lists signals whose 0 means 1. Every row needs sensor and drive
// Time     seconds since the recording's first instant; files are read once, from the front
// Memory   a reader holds what it has read and nobody has taken yet
// Valid    at most a week; a table's instants below 2^33 s: larger numbers do not tell microseconds
//          apart
// Errors   InputError "file:line: what": not such a file, an unknown or missing signal (with the
//          nearest name), time that runs backwards or is out of these bounds, nothing recorded
// Source   the session format is known from files that the packaged programs write (no standard)
// Checked  tests/sim/study/score/capture_test.cc, tests/sim/study/score/session_test.cc
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "sim/bench/played.h"

namespace sim::score {

struct CaptureWords {
  std::map<std::string, std::string> names;  // rowN.sensor -> name in the recording
  std::vector<std::string> inverted;         // rowN.sensor, ...
};

/// One pulse of a drive whose coil's current was recorded.
struct SeenOpening {
  double command_s = 0.0;
  double stop_s = statistics::kNone_ratio;  // instant of the dip's end; not-a-number: none shows
};

/// What a recording brings of one row since it was last taken.
struct CapturedRow {
  bench::PlayedPart pins;
  std::vector<SeenOpening> openings;
};

struct Resolution {
  double step_s = 0.0;          // between two instants that the recording can tell apart
  bool known = false;           // the recording states it
  double current_step_s = 0.0;  // between two samples of a current; 0: none was recorded
};

class CaptureReader {
 public:
  virtual ~CaptureReader() = default;
  virtual std::size_t rows() const = 0;
  virtual bool records_current() const = 0;
  /// Reads on until the recording is known up to this instant; false: it has ended.
  virtual bool read_to(double until_s) = 0;
  /// What has been read and not been taken, by row.
  virtual std::vector<CapturedRow> take() = 0;
  virtual double known_s() const = 0;
  virtual Resolution resolution() const = 0;
  /// What of a recording that has ended looks like a mistake of wiring or names, in sentences.
  virtual std::vector<std::string> doubts() const = 0;
  /// Share of the file that has been read.
  virtual double done_ratio() const = 0;
};

std::unique_ptr<CaptureReader> open_capture(const std::filesystem::path& file,
                                            const CaptureWords& words);

/// A recording as a whole.
struct Capture {
  std::vector<bench::PlayedRow> rows;
  double lasts_s = 0.0;
  double resolution_s = 0.0;  // between two instants that it can tell apart
  bool resolution_known = false;
  double current_step_s = 0.0;                     // 0: no current was recorded
  std::vector<std::vector<SeenOpening>> openings;  // by row
  std::vector<std::string> doubts;                 // as CaptureReader::doubts
};

Capture read_capture(const std::filesystem::path& file, const CaptureWords& words);

}  // namespace sim::score
