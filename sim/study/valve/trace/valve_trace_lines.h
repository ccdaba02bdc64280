// Lines of a valve's trace to numbers: the header once, then blocks of whole lines, each block by
// itself so that blocks can be read side by side.
//
//   SI = number * 10^e / divisor of the header's unit; numbers by std::from_chars, a leading + too
//
// Errors   a block reports its first mistake with its line counted from the block's start; who
//          joins blocks turns it into an InputError, and so tells the first mistake of all
// Checked  tests/sim/study/valve/trace/valve_trace_test.cc
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sim/study/valve/trace/valve_trace.h"
#include "sim/text/document.h"
#include "sim/text/quantity.h"

namespace sim::valve {

struct TraceColumn {
  std::string name;
  int index = 0;  // 0: time, then the fields of ValveTrace in their order
  double multiplier_ratio = 1.0;
  double divisor_ratio = 1.0;
};

struct TraceHead {
  char parting = ',';
  std::vector<TraceColumn> columns;  // as they stand in the file
};

struct TraceMistake {
  int line = 0;  // 1: the block's first
  std::string key;
  std::string what;
};

struct TraceBlock {
  ValveTrace part;
  int lines = 0;
  int first_sample_line = 0;
  std::optional<TraceMistake> mistake;
};

/// Of the line that names the columns; throws InputError.
TraceHead trace_head(std::string_view line, const text::Place& place);
/// A line beyond this is no line of numbers: without a bound, a file without line ends would be
/// held as one line.
inline constexpr std::size_t kMostLineBytes = 10'000;
/// What is wrong with a line before its cells are looked at: control characters, its length.
std::optional<std::string> line_mistake(std::string_view line);
/// Whether the line holds anything but blanks and a comment.
bool holds_something(std::string_view line);
TraceBlock read_trace_block(std::string_view lines, const TraceHead& head);

/// Appends a block that begins after `lines_before` lines; throws its mistake, or that time does
/// not rise where the two meet.
void append_block(ValveTrace& trace, TraceBlock& block, int lines_before, const std::string& name);
/// What only the whole can tell: enough samples, and their rate.
void check_whole_trace(const ValveTrace& trace, const std::string& name);
/// What the message of an empty file and of a wrong header shows.
inline constexpr std::string_view kTraceExample = "`time [s],command [1],current [A]`";

}  // namespace sim::valve
