#include "sim/text/csv_table.h"

#include <cmath>
#include <limits>
#include <string_view>

#include "sim/text/csv_cells.h"
#include "sim/text/document.h"
#include "sim/text/nearest.h"

namespace sim::text {
namespace {

constexpr std::size_t kMostTableBytes = 4'000'000;  // about 100 000 lines: no person types more

struct Column {
  const CsvColumn* wanted = nullptr;
  std::size_t index = 0;  // among the wanted
  std::string unit;
};

std::string limit_text(double limit_si, const CsvColumn& column, std::string_view unit) {
  if (column.kind == Kind::kRatio) return shortest_text(limit_si);
  return format_quantity(limit_si, column.kind, unit);
}

/// Units in small letters as the names of this program's own tables end in them (`current_a`).
std::string with_capitals(const std::string& unit, Kind kind) {
  if (kind == Kind::kCurrent && unit == "a") return "A";
  if (kind == Kind::kInductance && unit == "h") return "H";
  if (kind == Kind::kFluxLinkage && unit == "vs") return "V s";
  return unit;
}

class TableReader {
 public:
  TableReader(const std::filesystem::path& file, std::span<const CsvColumn> wanted)
      : wanted_(wanted), place_{file.string(), 0, {}} {}

  std::vector<CsvLine> read(std::string_view content) {
    for (std::string_view rest = content; !rest.empty();) {
      const std::size_t end = rest.find('\n');
      std::string_view line = rest.substr(0, end);
      rest.remove_prefix(end == std::string_view::npos ? rest.size() : end + 1);
      ++place_.line;
      refuse_binary(line);
      line = line.substr(0, line.find('#'));
      if (without_blanks(line).empty()) continue;
      if (head_.empty())
        take_head(line);
      else
        take_line(line);
    }
    place_.line = 0;
    if (head_.empty()) fail(place_, {}, "is empty: the first line names the columns: " + example());
    if (lines_.empty()) fail(place_, {}, "holds no lines below its header");
    return std::move(lines_);
  }

 private:
  void refuse_binary(std::string_view line) const {
    if (const auto mistake = binary_mistake(line)) fail(place_, {}, *mistake);
  }

  // `speed [km/h],offset [mm]`: an example of a header, for messages.
  std::string example() const {
    std::string text;
    for (const CsvColumn& column : wanted_) {
      if (!column.required) continue;
      if (!text.empty()) text += ",";
      text += column.name;
      if (column.kind == Kind::kLength) text += " [mm]";
      if (column.kind == Kind::kTime) text += " [ms]";
      if (column.kind == Kind::kSpeed) text += " [km/h]";
    }
    return "`" + text + "`";
  }

  void take_head(std::string_view line) {
    for (const char parting : {';', '\t'})
      if (line.find(parting) != std::string_view::npos) parting_ = parting;
    for (const std::string_view cell : cells_of(line, parting_)) {
      Column column = column_of(cell);
      for (const Column& other : head_)
        if (other.index == column.index) fail(place_, column.wanted->name, "appears twice");
      head_.push_back(std::move(column));
    }
    for (std::size_t i = 0; i < wanted_.size(); ++i) {
      bool found = !wanted_[i].required;
      for (const Column& column : head_) found = found || column.index == i;
      if (!found)
        fail(place_, wanted_[i].name, "this column is missing: the header is like " + example());
    }
  }

  Column column_of(std::string_view cell) const {
    std::vector<std::string> names;
    for (const CsvColumn& column : wanted_) names.push_back(column.name);
    const HeadCell whole{std::string(cell), {}};
    for (const HeadCell& head : {head_cell(cell), whole}) {
      for (std::size_t i = 0; i < wanted_.size(); ++i) {
        if (head.name != wanted_[i].name) continue;
        return {&wanted_[i], i, checked_unit(head.unit, wanted_[i])};
      }
    }
    const std::string typed = head_cell(cell).name;
    fail(place_, typed.substr(0, kMostShown), "no such column", nearest_name(typed, names));
  }

  std::string checked_unit(const std::string& unit, const CsvColumn& column) const {
    if (column.kind == Kind::kRatio) {
      if (!unit.empty()) fail(place_, column.name, "is a whole number and has no unit");
      return {};
    }
    const Quantity probe = parse_quantity("1 " + with_capitals(unit, column.kind), column.kind);
    if (!probe.error.empty()) {
      fail(place_, column.name,
           (unit.empty() ? std::string("has no unit")
                         : "\"" + unit.substr(0, kMostShown) + "\" is not a unit of " +
                               std::string(kind_word(column.kind).name)) +
               ": write it in the header, as in " + example() +
               " (units: " + unit_names(column.kind) + ")",
           probe.nearest);
    }
    return probe.unit;
  }

  void take_line(std::string_view line) {
    const std::vector<std::string_view> cells = cells_of(line, parting_);
    if (cells.size() != head_.size()) {
      std::string what = "this line has " + std::to_string(cells.size()) +
                         " cells, the header has " + std::to_string(head_.size());
      if (cells.size() > head_.size() && parting_ == ',')
        what += "; if a comma is a decimal sign, write a point";
      fail(place_, {}, what);
    }
    CsvLine taken{place_.line,
                  std::vector<double>(wanted_.size(), std::numeric_limits<double>::quiet_NaN())};
    for (std::size_t i = 0; i < cells.size(); ++i)
      taken.values_si[head_[i].index] = value_si(cells[i], head_[i]);
    lines_.push_back(std::move(taken));
  }

  double value_si(std::string_view cell, const Column& column) const {
    const CsvColumn& wanted = *column.wanted;
    if (cell.find(',') != std::string_view::npos)
      fail(place_, wanted.name, shown_cell(cell) + " has a decimal comma: write a point");
    if (cell.empty() && wanted.may_be_empty) return std::numeric_limits<double>::quiet_NaN();
    if (cell.empty()) fail(place_, wanted.name, "is empty");
    const Quantity read = parse_quantity(std::string(cell) + " " + column.unit, wanted.kind);
    if (!read.error.empty())
      fail(place_, wanted.name, shown_cell(cell) + " is not a number (the unit is the header's)");
    const double value = read.value_si;
    if (wanted.kind == Kind::kRatio && value != std::floor(value))
      fail(place_, wanted.name, shown_cell(cell) + " is not a whole number");
    if (value < wanted.least_si || value > wanted.most_si ||
        (wanted.above_least && value == wanted.least_si)) {
      fail(place_, wanted.name,
           shown_cell(cell) + " is out of range: must be " +
               (wanted.above_least ? "above " : "at least ") +
               limit_text(wanted.least_si, wanted, column.unit) + " and at most " +
               limit_text(wanted.most_si, wanted, column.unit));
    }
    return value;
  }

  std::span<const CsvColumn> wanted_;
  Place place_;
  char parting_ = ',';
  std::vector<Column> head_;
  std::vector<CsvLine> lines_;
};

}  // namespace

std::vector<CsvLine> read_csv(const std::filesystem::path& file,
                              std::span<const CsvColumn> columns) {
  return TableReader(file, columns).read(read_text(file, kMostTableBytes));
}

}  // namespace sim::text
