// Lines of a valve's trace to numbers: the header once, then blocks of whole lines, each block by
// itself so that blocks can be parsed in parallel.
//
//   SI = number * 10^e / divisor of the header's unit; std::from_chars reads numbers, a leading +
//   is allowed
//
// Errors   a block reports its first mistake, with its line counted from the block's start;
//          append_block turns that into an InputError, so the first mistake of the whole trace is
//          reported
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
  int index = 0;  // 0: time; then the other fields of ValveTrace in their order
  double multiplier_ratio = 1.0;
  double divisor_ratio = 1.0;
};

struct TraceHead {
  char parting = ',';
  std::vector<TraceColumn> columns;  // in the order of the file
};

struct TraceMistake {
  int line = 0;  // 1: the block's first line
  std::string key;
  std::string what;
};

struct TraceBlock {
  ValveTrace part;
  int lines = 0;
  int first_sample_line = 0;
  std::optional<TraceMistake> mistake;
};

/// Reads the line that names the columns; throws InputError.
TraceHead trace_head(std::string_view line, const text::Place& place);
/// A longer line is no line of numbers. Without a bound, a file without line ends would be kept
/// in memory as one line.
inline constexpr std::size_t kMostLineBytes = 10'000;
/// What is wrong with a line apart from its cells: control characters, its length.
std::optional<std::string> line_mistake(std::string_view line);
/// Whether the line holds anything but blanks and a comment.
bool holds_something(std::string_view line);
TraceBlock read_trace_block(std::string_view lines, const TraceHead& head);

/// Appends a block that begins after `lines_before` lines. Throws the block's mistake, or an
/// error where time does not rise from the trace to the block.
void append_block(ValveTrace& trace, TraceBlock& block, int lines_before, const std::string& name);
/// Checks what only the whole trace shows: enough samples, and their rate.
void check_whole_trace(const ValveTrace& trace, const std::string& name);
/// The example in the messages for an empty file and for a wrong header.
inline constexpr std::string_view kTraceExample = "`time [s],command [1],current [A]`";

}  // namespace sim::valve
