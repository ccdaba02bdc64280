// How fast this row's clock runs against the machine's.
//
//   pair     a set point's receive stamp r (own ticks) and the machine's clock m at its sending.
//            What the frame waited on its way makes r - m larger, never smaller: one-sided noise
//   window   of all pairs within 2.5 s the one that waited least is kept: the lowest above a line
//            with the slope found so far. 8 windows; when these are full, pairs of them become one
//            and windows are twice as long, up to 20 s: the baseline grows to 160 s, then slides
//   rate     slope of the lower hull of the windows' points at the middle of the baseline: the line
//            below all points that is nearest to them on the whole (Moon, Skelly, Towsley 1999)
//   known to (10 ms + 2 residuals)/length: 10 ms is the hand-over of frames, the residual the
//            largest height of a window's point above the line, the length that of the hull's
//            edge. 10 ms over 17.5 s are 0.06 %, over 140 s 0.007 %. Where waits differ by more,
//            as with a radio whose period beats with the machine's clock, the bound says so
//   used     the end of rate +- bound that is nearer to 0, from the fourth window (10 s) on, at
//            most 2 %: nothing changes while the bound reaches 0, and what is used lies between no
//            correction and the true rate. While a beat is longer than the baseline, the true rate
//            is that against the time of the frames' slots
//
//   A duration t in us is t (1 + rate) ticks; a speed per second of own ticks is v/(1 + rate).
//   The machine's clock is taken for right: where it is off, all rows follow it.
//
// In       machine's counter in us (wraps), receive stamp in ticks (wraps); only differences count
// State    8 windows, the open one, the newest pair; forgotten when two pairs in turn cannot follow
//          the newest (either side has restarted, or none came for 10 s); one such pair is dropped
// Errors   none: whatever the pairs say, the rate stays within 2 %
// Source   Moon, Skelly, Towsley, Estimation and removal of clock skew from network delay
//          measurements, INFOCOM 1999 (from memory)
// Checked  tests/controller/clock_rate_test.cc
#pragma once

#include <cstdint>

#include "controller/delay_law.h"
#include "controller/row_motion.h"
#include "controller/ticks.h"

namespace controller {

struct ClockPair {
  std::uint32_t machine_us = 0;
  std::uint32_t ahead = 0;  // receive stamp less machine_us
};

struct ClockRate {
  static constexpr std::uint32_t kWindows = 8;
  std::int32_t rate_q30 = 0;   // used: share by which own ticks outnumber the machine's us
  std::int32_t found_q30 = 0;  // slope of the hull
  std::int32_t window_us = 0;  // length of a window; 0: no pair yet
  std::uint32_t window_from_us = 0;
  ClockPair newest;
  ClockPair least;             // of the open window
  std::uint8_t windows = 0;    // closed ones
  std::uint8_t strange = 0;    // pairs in turn that did not follow the newest
  ClockPair closed[kWindows];  // the least of each, in order of time
};

/// Takes the stamps of a set point that was in sequence.
void take_pair(ClockRate& clock, std::uint32_t machine_us, std::uint32_t received_ticks);

/// Ticks that a duration takes, and the time that ticks took.
constexpr std::int64_t in_ticks(const ClockRate& clock, std::int64_t time_us) {
  return time_us + (time_us * clock.rate_q30 >> 30);
}
constexpr std::int64_t from_ticks(const ClockRate& clock, std::int64_t ticks) {
  if (clock.rate_q30 == 0) return ticks;
  return (ticks << 30) / ((std::int64_t{1} << 30) + clock.rate_q30);
}
/// The law and the motion as this clock counts: times in ticks, speeds per million ticks.
DelayLaw in_ticks(const ClockRate& clock, const DelayLaw& law);
RowMotion in_ticks(const ClockRate& clock, const RowMotion& motion);

}  // namespace controller
