// Samples of a valve as they come: read from standard input or a serial device, shown while pulses
// run, handed over as a trace when they end.
//
//   ends      at the end of the samples; after the stated pulses; five seconds of the samples' own
//             time after the last command; after five seconds without any sample
//   display   one line that changes at a terminal, a line every second of samples elsewhere
//
// Errors   InputError: a device that cannot be opened, what the trace's reader refuses, no samples;
//          Interrupted
// Checked  tests/sim/command/valve_live_test.cc
#pragma once

#include <atomic>
#include <functional>
#include <string>

#include "sim/study/valve/trace/trace_pulses.h"

namespace sim::command {

struct LiveSettings {
  std::string source;  // - or a device
  int pulses = 0;      // 0: by itself
  valve::TraceReading reading;
};

/// What came, as text (header and whole lines): for a file beside the sheet.
struct LiveRecord {
  std::string text;
  valve::ValveTrace trace;
  std::string why_ended;
};

LiveRecord read_live(const LiveSettings& settings,
                     const std::function<void(const std::string& line)>& show,
                     const std::atomic<bool>& stop);

}  // namespace sim::command
