// Turns seeds in flight into pulses of the valve: one compare for opening, one for closing.
//
//   closed     channel 0 is armed for the first seed's opening, channel 1 for its closing; every
//              tick moves both to where the latest speed and distance put them. From 30 us before
//              the match the compare is left alone: moving it then could miss it.
//   open       channel 1 is armed for the closing of the pulse's last seed. The next seed joins the
//              pulse when its opening would come less than shortest_closed after that closing: the
//              valve cannot close in between. The pulse is never shorter than shortest_on.
//   streaming  valve open without pulses: in continuous mode, or after the queue ran over. Seeds
//              whose opening passes are served by the stream. It ends when the queue has room again
//              and the place of the last seed that found no room has been passed.
//
// Rest     lead and lag of a pulse shift by what the pulses before it left in the column: by the
//          time from the last closing command to its own opening (corrections.h)
// Late     an opening that is already past fires at once when it is no more than 5 ms late (22 mm
//          at 16 km/h: some of the seed's own band is still ahead) or when the delay itself is
//          negative (then every seed is late by the same); else the seed is skipped. All are
//          counted.
// State    what the valve does, what is armed, the pulse's last seed
// Errors   a match that never comes is given up 2 ms after its instant; the program acts instead
// Checked  tests/controller/pulse_planner_test.cc
#pragma once

#include <cstdint>

#include "controller/corrections.h"
#include "controller/delay_law.h"
#include "controller/odometer.h"
#include "controller/report.h"
#include "controller/row_motion.h"
#include "controller/seed_queue.h"

namespace controller {

enum CompareChannel : std::uint8_t { kOpenChannel = 0, kCloseChannel = 1 };

struct ArmedCompare {
  bool armed = false;
  std::uint32_t at_ticks = 0;
};

/// The pulse that the valve is in, or was in last.
struct Pulse {
  bool open = false;
  std::uint32_t opened_ticks = 0;
  std::uint32_t counted_ticks = 0;  // band time is booked up to here
  bool has_last = false;
  Seed last;    // the pulse closes for this seed
  Shift shift;  // of its lead and lag, from the rest before it
};

struct PulsePlanner {
  Pulse pulse;
  ArmedCompare opening;
  ArmedCompare closing;
  Shift shift;              // of the pulse that is planned
  bool has_closed = false;  // since the row last began to run; else the next pulse stands alone
  std::uint32_t closed_ticks = 0;
  bool streaming = false;
  bool lost_ahead = false;  // a seed that found no room is still to be passed
  Seed lost;
  bool delay_negative = false;
  std::uint32_t openings = 0;     // of the valve, since the row's start
  std::int64_t band_time_us = 0;  // summed over pulses, as the band lies on the ground
};

/// What planning needs to know of the world just now.
struct Present {
  const DelayLaw& law;
  const Odometer& odometer;
  const RowMotion& motion;
  std::int32_t shortest_closed_us;
  std::int32_t current_ma;
  const sillion_correction& rest;
};

/// Books what the compares did since the last call.
void take_matches(PulsePlanner& planner, SeedQueue& queue, const sillion_input& in,
                  const Present& present, Report& report);
/// Notes a seed that found no room: the stream runs until its place is passed.
void stream_for_lost_seed(PulsePlanner& planner, const Seed& lost);
/// Brings bridge and compares in line with the queue.
void plan_pulses(PulsePlanner& planner, SeedQueue& queue, bool continuous, const Present& present,
                 Report& report);
/// Notes the place of each seed whose delivery time has passed: queued ones, the pulse's, the lost.
void place_seeds(PulsePlanner& planner, SeedQueue& queue, const Present& present);
/// Books the stream's time so far, once per tick, as its pulse may never end.
void count_stream_time(PulsePlanner& planner, Report& report);
/// Closes the valve now, disarms both compares and empties the queue.
void shut_down(PulsePlanner& planner, SeedQueue& queue, const Present& present, Report& report);

}  // namespace controller
