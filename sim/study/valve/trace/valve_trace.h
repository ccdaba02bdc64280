// A valve's trace from a bench: what a current probe and its neighbours recorded over time.
//
//   Columns: time [s], command [1] and/or voltage [V], current [A]; optional: pressure [bar]
//   (gauge, upstream of the valve), exit_pressure [bar] (gauge, between valve and outlet), flow
//   [ml/s] (out of the outlet), mass [g] (collected so far). Any order, any unit of the kind, 1 kHz
//   to 1 MHz.
//   command   drive of the valve: off at its lower level, on at its higher (logic or gate voltage)
//   voltage   at the coil's terminals, positive while driven
//   Commas, semicolons or tabs separate the columns; blank lines and text after # are ignored.
//
// Shapes   every column that the file has holds one value per sample; the others are empty
// Errors   InputError with line and what was expected: no header, an unknown column (with the
//          nearest name), a column or unit missing, another separator, a cell too many or too few,
//          a decimal comma, time that does not rise, no number, binary content, fewer than
//          kFewestSamples samples, a rate outside 1 kHz to 1 MHz, a file beyond kMostTraceBytes
//          (its size says so before a byte is read). Of several mistakes the first by line is
//          reported.
// Speed    a file is read and parsed in chunks, in parallel; the result is the same as by one
//          thread
// Checked  tests/sim/study/valve/trace/valve_trace_test.cc, tests/hostile/trace_test.cc
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace sim::valve {

inline constexpr std::uintmax_t kMostTraceBytes = 1'000'000'000;  // 60 s at 100 kHz take 150 MB
inline constexpr std::size_t kFewestSamples = 20;

struct ValveTrace {
  std::vector<double> time_s;
  std::vector<float> command_ratio;  // tidy: unit as written: logic level or V
  std::vector<float> voltage_v;
  std::vector<float> current_a;
  std::vector<float> pressure_pa;       // upstream of the valve
  std::vector<float> exit_pressure_pa;  // between valve and outlet
  std::vector<float> flow_m3ps;
  std::vector<float> mass_kg;  // collected so far

  std::size_t size() const { return time_s.size(); }
};

ValveTrace read_valve_trace(const std::filesystem::path& file);

struct TraceHead;

/// Reads the same from text that arrives in pieces, as from a pipe: header first, then whole or
/// broken lines. `name` stands for the file in messages.
class ValveTraceReader {
 public:
  explicit ValveTraceReader(std::string_view name);
  ~ValveTraceReader();
  ValveTraceReader(const ValveTraceReader&) = delete;
  ValveTraceReader& operator=(const ValveTraceReader&) = delete;

  /// Takes the next piece, appends its whole lines to the trace and keeps the rest of a broken
  /// line.
  void take(std::string_view text);
  /// Ends the trace: the last line may lack its line end. Checks what only the whole trace shows.
  void finish();
  const ValveTrace& trace() const { return trace_; }
  ValveTrace take_trace() { return std::move(trace_); }

 private:
  void take_lines(std::string_view whole_lines);

  std::string name_;
  std::string broken_;               // a line whose end has not arrived
  std::unique_ptr<TraceHead> head_;  // empty until the header has arrived
  std::uintmax_t bytes_ = 0;
  int lines_ = 0;
  ValveTrace trace_;
};

}  // namespace sim::valve
