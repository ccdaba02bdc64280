// A recorded drive from an NMEA 0183 log: ground speed and course over time, as knots of the speed
// profile for the bench.
//
//   RMC gives time, speed (knots) and course of each fix; a VTG that follows fills in what the RMC
//   leaves empty. Between two fixes the speed is linear in time. One fix per second is too slow to
//   serve as a planter's speed signal: what the machine did in between is not in the log, and the
//   straight line is an assumption. Yaw rate at a fix = (course after - course before) over the
//   time between, by the shorter way round; it is 0 at the first and last fix, beside a gap, and
//   below 0.5 m/s, where a receiver's course is noise. Across a gap (more than 3 s) the speed stays
//   linear and the yaw rate is 0. A time of day that falls by more than 12 h is midnight; any other
//   fix whose time does not rise is counted and left out.
//
// Input    the text of the log; other sentences, bad checksums, void fixes and junk in between are
//          skipped and counted
// Output   knots from t = 0 at the first fix; beside each of them its fix's place, date and course
// Errors   no exception: fewer than two fixes give an empty drive (the loader refuses it)
// Source   field order of RMC and VTG: gpsd's manual "NMEA Revealed"; knot = 1852 m/h
// Checked  tests/sim/scenario/nmea_test.cc
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "model/machine/travel.h"

namespace sim::scenario {

inline constexpr double kNmeaGap_s = 3.0;  // more than that between two fixes is a gap

struct NmeaCounts {
  long long lines = 0;         // without empty ones
  long long fixes = 0;         // used
  long long other = 0;         // good sentences that are neither RMC nor VTG
  long long bad_checksum = 0;  // wrong or missing
  long long malformed = 0;     // no sentence, an RMC with an unreadable number, or too few fields
  long long void_fixes = 0;    // RMC that the receiver itself marks as void
  long long incomplete = 0;    // fixes without speed from RMC or VTG: left out
  long long out_of_order = 0;  // fixes whose time does not rise: left out
  long long gaps = 0;          // more than 3 s between fixes
  double gap_time_s = 0.0;
  double longest_gap_s = 0.0;
};

/// Where a fix lies, for whoever draws the drive on a map; the pass does not read it.
struct NmeaFix {
  double time_s = 0.0;                  // as the knot of the same fix
  double time_of_day_s = 0.0;           // UTC
  int day = -1;                         // days since 1980-01-01, of the RMC's date; -1: it has none
  double lat_deg = 0.0, lon_deg = 0.0;  // not-a-number: the RMC has no place that can be read
  double course_deg = 0.0;              // over ground, from north to the east; not-a-number: none
};

struct NmeaDrive {
  std::vector<model::TravelKnot> knots;
  std::vector<NmeaFix> fixes;  // as many as knots
  NmeaCounts counts;
};

NmeaDrive read_nmea(std::string_view text);
/// One line for logs and reports: "146 fixes over 149 s; 3 gaps (9 s); passed over: 2900 other
/// sentences, ...".
std::string describe_counts(const NmeaDrive& drive);

}  // namespace sim::scenario
