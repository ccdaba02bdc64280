// The header of a valve's trace: its columns, their units and the separator.
#include <algorithm>
#include <array>
#include <charconv>

#include "sim/study/valve/trace/valve_trace_lines.h"
#include "sim/text/csv_cells.h"
#include "sim/text/nearest.h"

namespace sim::valve {
namespace {

struct KnownColumn {
  std::string_view name;
  text::Kind kind;
  std::string_view example;  // with its unit
};

// In the order of ValveTrace's fields.
constexpr std::array kKnown = {
    KnownColumn{"time", text::Kind::kTime, "time [s]"},
    KnownColumn{"command", text::Kind::kVoltage, "command [1]"},
    KnownColumn{"voltage", text::Kind::kVoltage, "voltage [V]"},
    KnownColumn{"current", text::Kind::kCurrent, "current [A]"},
    KnownColumn{"pressure", text::Kind::kPressure, "pressure [bar]"},
    KnownColumn{"exit_pressure", text::Kind::kPressure, "exit_pressure [bar]"},
    KnownColumn{"flow", text::Kind::kFlow, "flow [ml/s]"},
    KnownColumn{"mass", text::Kind::kMass, "mass [g]"},
};
constexpr int kTime = 0, kCommand = 1, kVoltage = 2, kCurrent = 3;

// `flow [ml/s]`, as a header of this file would have it.
std::string column_example(int index) {
  return "`" + std::string(kKnown[static_cast<std::size_t>(index)].example) + "`";
}

TraceColumn with_unit(int index, const std::string& unit, const text::Place& place) {
  const KnownColumn& known = kKnown[static_cast<std::size_t>(index)];
  TraceColumn column{.name = std::string(known.name), .index = index};
  if (index == kCommand && (unit.empty() || unit == "1")) return column;  // a level has no unit
  const text::Quantity probe = text::parse_quantity("1 " + unit, known.kind);
  if (!probe.error.empty()) {
    const std::string wrong = unit.empty() ? "has no unit"
                                           : "\"" + unit.substr(0, text::kMostShown) +
                                                 "\" is not a unit of " +
                                                 std::string(text::kind_word(known.kind).name);
    text::fail(place, known.name,
               wrong + ": write it in the header, as in " + column_example(index) +
                   " (units: " + text::unit_names(known.kind) + (index == kCommand ? ", 1)" : ")"),
               probe.nearest);
  }
  for (const text::Unit& one : text::units()) {
    if (one.kind != known.kind || one.name != probe.unit) continue;
    double power_ratio = 1.0;  // whole powers of ten up to 22 are exact
    for (int i = 0; i < std::abs(one.exponent10); ++i) power_ratio *= 10.0;
    column.multiplier_ratio = one.multiplier_ratio * (one.exponent10 > 0 ? power_ratio : 1.0);
    column.divisor_ratio = one.divisor_ratio * (one.exponent10 < 0 ? power_ratio : 1.0);
  }
  return column;
}

bool is_number(std::string_view cell) {
  if (cell.starts_with('+')) cell.remove_prefix(1);
  double ignored_si = 0.0;
  const auto [end, code] = std::from_chars(cell.data(), cell.data() + cell.size(), ignored_si);
  return !cell.empty() && code == std::errc{} && end == cell.data() + cell.size();
}

TraceColumn column_of(std::string_view cell, const text::Place& place) {
  const text::HeadCell whole{std::string(cell), {}};
  for (const text::HeadCell& head : {text::head_cell(cell), whole}) {
    for (std::size_t i = 0; i < kKnown.size(); ++i)
      if (head.name == kKnown[i].name) return with_unit(static_cast<int>(i), head.unit, place);
  }
  std::vector<std::string> names;
  for (const KnownColumn& known : kKnown) names.emplace_back(known.name);
  const std::string typed = text::head_cell(cell).name;
  std::string known_names;
  for (const std::string& name : names) known_names += (known_names.empty() ? "" : ", ") + name;
  text::fail(place, typed.substr(0, text::kMostShown),
             "no such column (known: " + known_names + ")", text::nearest_name(typed, names));
}

// Refuses one cell that names several columns: blanks or bars stand where a separator should.
void refuse_other_separator(std::string_view line, const text::Place& place) {
  int named = 0;
  for (const KnownColumn& known : kKnown)
    if (line.find(known.name) != std::string_view::npos) ++named;
  if (named < 2) return;
  text::fail(place, {},
             std::string("columns are separated by commas, semicolons or tabs, as in ") +
                 std::string(kTraceExample) + "; this header has none of these");
}

}  // namespace

TraceHead trace_head(std::string_view line, const text::Place& place) {
  if (line.starts_with("\xFF\xFE") || line.starts_with("\xFE\xFF"))
    text::fail(place, {},
               "binary file: text with two bytes per letter; save it as UTF-8 or plain text");
  if (const auto mistake = text::binary_mistake(line)) text::fail(place, {}, *mistake);
  line = line.substr(0, line.find('#'));
  TraceHead head;
  for (const char parting : {'\t', ';'})
    if (line.find(parting) != std::string_view::npos) head.parting = parting;
  const std::vector<std::string_view> cells = text::cells_of(line, head.parting);
  if (std::all_of(cells.begin(), cells.end(), is_number))
    text::fail(place, {},
               "has no header: the first line names the columns with their units, as in " +
                   std::string(kTraceExample));
  if (cells.size() == 1) refuse_other_separator(line, place);
  for (const std::string_view cell : cells) {
    TraceColumn column = column_of(cell, place);
    for (const TraceColumn& other : head.columns)
      if (other.index == column.index) text::fail(place, column.name, "appears twice");
    head.columns.push_back(std::move(column));
  }
  const auto has = [&](int index) {
    return std::any_of(head.columns.begin(), head.columns.end(),
                       [&](const TraceColumn& column) { return column.index == index; });
  };
  for (const int index : {kTime, kCurrent}) {
    if (has(index)) continue;
    text::fail(place, kKnown[static_cast<std::size_t>(index)].name,
               "this column is missing: the header is like " + std::string(kTraceExample));
  }
  if (!has(kCommand) && !has(kVoltage))
    text::fail(place, "command",
               "this column is missing, and voltage too: one of them must show when the valve is "
               "driven; the header is like " +
                   std::string(kTraceExample));
  return head;
}

}  // namespace sim::valve
