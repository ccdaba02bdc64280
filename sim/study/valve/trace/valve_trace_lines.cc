#include "sim/study/valve/trace/valve_trace_lines.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "sim/statistics/spread.h"
#include "sim/text/csv_cells.h"
#include "sim/text/nearest.h"

namespace sim::valve {
namespace {

// Larger than every value of a bench, and within the range of a float.
constexpr double kMost_si = 1e30;

// Reads the cell as a number; returns what is wrong with it, if anything.
std::optional<std::string> cell_mistake(std::string_view cell, double& value_si) {
  if (cell.empty()) return "is empty: every line has a number in every column";
  if (cell.find(',') != std::string_view::npos)
    return text::shown_cell(cell) + " has a decimal comma: write a point";
  std::string_view digits = cell;
  if (digits.front() == '+') digits.remove_prefix(1);
  const bool signed_twice = digits.size() < cell.size() && digits.starts_with('-');
  const auto [end, code] = std::from_chars(digits.data(), digits.data() + digits.size(), value_si);
  if (code == std::errc::result_out_of_range)
    return text::shown_cell(cell) +
           " is out of range: no figure from a bench is this large or small";
  if (code != std::errc{} || end != digits.data() + digits.size() || signed_twice)
    return text::shown_cell(cell) + " is not a number (the unit is the header's)";
  if (!std::isfinite(value_si)) return text::shown_cell(cell) + " is not a finite number";
  return {};
}

double in_si(double number_si, const TraceColumn& column) {
  return number_si * column.multiplier_ratio / column.divisor_ratio;
}

std::string separator_word(char parting) {
  if (parting == ',') return "commas";
  return parting == ';' ? "semicolons" : "tabs";
}

// Why a line has another number of cells than the header.
std::string count_mistake(std::string_view line, std::size_t cells, const TraceHead& head) {
  const std::size_t wanted = head.columns.size();
  std::string what =
      "this line has " + std::to_string(cells) + " cells, the header has " + std::to_string(wanted);
  for (const char other : {';', '\t', ','}) {
    if (other == head.parting || line.find(other) == std::string_view::npos) continue;
    if (cells == 1 && text::cells_of(line, other).size() == wanted)
      return what + ": it is parted by " + separator_word(other) + ", the header by " +
             separator_word(head.parting);
  }
  if (cells > wanted && head.parting == ',')
    what += ": if a comma is a decimal comma, write a point";
  return what;
}

void put(ValveTrace& trace, int index, double value_si) {
  const auto value = static_cast<float>(value_si);
  switch (index) {
    case 0: trace.time_s.push_back(value_si); break;
    case 1: trace.command_ratio.push_back(value); break;
    case 2: trace.voltage_v.push_back(value); break;
    case 3: trace.current_a.push_back(value); break;
    case 4: trace.pressure_pa.push_back(value); break;
    case 5: trace.exit_pressure_pa.push_back(value); break;
    case 6: trace.flow_m3ps.push_back(value); break;
    default: trace.mass_kg.push_back(value); break;
  }
}

constexpr int kMostColumns = 8;
using Values = std::array<double, kMostColumns>;

// Reads a line of plain numbers quickly; false: careful_values must read it.
bool quick_values(std::string_view line, const TraceHead& head, Values& values) {
  const char* at = line.data();
  const char* const end = at + line.size();
  const std::size_t count = head.columns.size();
  for (std::size_t c = 0; c < count; ++c) {
    while (at < end && *at == ' ') ++at;
    if (at < end && *at == '+') {
      ++at;
      if (at == end || *at == '-') return false;
    }
    double number_si = 0.0;
    const auto [after, code] = std::from_chars(at, end, number_si);
    if (code != std::errc{} || !(std::abs(number_si) <= kMost_si)) return false;
    at = after;
    while (at < end && (*at == ' ' || *at == '\r')) ++at;
    if (c + 1 < count) {
      if (at == end || *at != head.parting) return false;
      ++at;
    }
    const double value_si = in_si(number_si, head.columns[c]);
    if (!(std::abs(value_si) <= kMost_si)) return false;
    values[c] = value_si;
  }
  return at == end;
}

std::optional<TraceMistake> careful_values(std::string_view line, const TraceHead& head,
                                           Values& values) {
  if (auto mistake = line_mistake(line)) return TraceMistake{0, {}, *mistake};
  line = line.substr(0, line.find('#'));
  const std::vector<std::string_view> cells = text::cells_of(line, head.parting);
  if (cells.size() != head.columns.size())
    return TraceMistake{0, {}, count_mistake(line, cells.size(), head)};
  for (std::size_t c = 0; c < cells.size(); ++c) {
    double number_si = 0.0;
    if (auto mistake = cell_mistake(cells[c], number_si))
      return TraceMistake{0, head.columns[c].name, *mistake};
    values[c] = in_si(number_si, head.columns[c]);
    if (!(std::abs(values[c]) <= kMost_si))
      return TraceMistake{0, head.columns[c].name, text::shown_cell(cells[c]) + " is out of range"};
  }
  return {};
}

}  // namespace

std::optional<std::string> line_mistake(std::string_view line) {
  if (auto mistake = text::binary_mistake(line.substr(0, kMostLineBytes))) return mistake;
  if (line.size() <= kMostLineBytes) return {};
  return "this line has more than " + std::to_string(kMostLineBytes) +
         " bytes: a trace has one sample per line";
}

bool holds_something(std::string_view line) {
  return !text::without_blanks(line.substr(0, line.find('#'))).empty();
}

TraceBlock read_trace_block(std::string_view lines, const TraceHead& head) {
  TraceBlock block;
  Values values{};
  double last_s = -kMost_si;
  std::size_t time_cell = 0;
  for (std::size_t c = 0; c < head.columns.size(); ++c)
    if (head.columns[c].index == 0) time_cell = c;
  while (!lines.empty()) {
    const std::size_t end = std::min(lines.find('\n'), lines.size());
    const std::string_view line = lines.substr(0, end);
    lines.remove_prefix(std::min(end + 1, lines.size()));
    ++block.lines;
    if (line.size() > kMostLineBytes || !quick_values(line, head, values)) {
      if (!holds_something(line) && !line_mistake(line)) continue;
      if (auto mistake = careful_values(line, head, values)) {
        mistake->line = block.lines;
        block.mistake = std::move(mistake);
        return block;
      }
    }
    const double time_s = values[time_cell];
    if (!(time_s > last_s)) {
      block.mistake = TraceMistake{block.lines, "time",
                                   "does not rise: " + text::shortest_text(time_s) + " s after " +
                                       text::shortest_text(last_s) + " s"};
      return block;
    }
    last_s = time_s;
    if (block.first_sample_line == 0) block.first_sample_line = block.lines;
    for (std::size_t c = 0; c < head.columns.size(); ++c)
      put(block.part, head.columns[c].index, values[c]);
  }
  return block;
}

namespace {

template <class Real>
void append(std::vector<Real>& to, std::vector<Real>& from) {
  if (to.empty() && to.capacity() == 0)
    to = std::move(from);
  else
    to.insert(to.end(), from.begin(), from.end());
  std::vector<Real>().swap(from);
}

}  // namespace

void append_block(ValveTrace& trace, TraceBlock& block, int lines_before, const std::string& name) {
  ValveTrace& part = block.part;
  if (!trace.time_s.empty() && !part.time_s.empty() &&
      !(part.time_s.front() > trace.time_s.back())) {
    text::fail({name, lines_before + block.first_sample_line, {}}, "time",
               "does not rise: " + text::shortest_text(part.time_s.front()) + " s after " +
                   text::shortest_text(trace.time_s.back()) + " s");
  }
  if (block.mistake)
    text::fail({name, lines_before + block.mistake->line, {}}, block.mistake->key,
               block.mistake->what);
  append(trace.time_s, part.time_s);
  append(trace.command_ratio, part.command_ratio);
  append(trace.voltage_v, part.voltage_v);
  append(trace.current_a, part.current_a);
  append(trace.pressure_pa, part.pressure_pa);
  append(trace.exit_pressure_pa, part.exit_pressure_pa);
  append(trace.flow_m3ps, part.flow_m3ps);
  append(trace.mass_kg, part.mass_kg);
}

void check_whole_trace(const ValveTrace& trace, const std::string& name) {
  const text::Place whole{name, 0, {}};
  const std::size_t samples = trace.size();
  if (samples < kFewestSamples)
    text::fail(whole, {},
               "holds " + std::to_string(samples) + " samples; at least " +
                   std::to_string(kFewestSamples) + " are needed");
  constexpr std::size_t kLooked = 10'000;  // steps, evenly over the trace: enough for a median
  std::vector<double> step_s;
  const std::size_t stride = std::max<std::size_t>(1, (samples - 1) / kLooked);
  for (std::size_t k = 1; k < samples; k += stride)
    step_s.push_back(trace.time_s[k] - trace.time_s[k - 1]);
  const double middle_s = statistics::upper_median_of(std::move(step_s));
  constexpr double kSlack_ratio = 1.1;  // for clocks and rounded times
  if (middle_s > 1e-3 * kSlack_ratio || middle_s * kSlack_ratio < 1e-6)
    text::fail(whole, "time",
               "is sampled every " + text::shortest_text(middle_s) +
                   " s; a trace of a valve has 1 kHz to 1 MHz (is the unit right?)");
}

}  // namespace sim::valve
