#include "sim/study/rig/measured.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string_view>

#include "sim/scenario/catalog.h"
#include "sim/scenario/layers.h"
#include "sim/scenario/loader.h"
#include "sim/study/rig/rig_setup.h"
#include "sim/text/csv_cells.h"
#include "sim/text/nearest.h"

namespace sim::rig {
namespace {

constexpr std::size_t kMostBytes = 256'000'000;
constexpr double kMost_si = 1e12;  // tidy: unit is the column's

std::vector<std::string> history_names() {
  std::vector<std::string> names;
  for (const RigColumn& column : kRigColumns) names.emplace_back(column.name);
  return names;
}

const RigColumn* history_of(std::string_view name) {
  for (const RigColumn& column : kRigColumns)
    if (column.name == name) return &column;
  return nullptr;
}

/// One cell of the header: the time, a history or neither.
struct Head {
  bool time = false;
  const RigColumn* history = nullptr;
  text::Kind kind = text::Kind::kTime;
  std::string unit;
  std::string name;  // as in the file
};

class MeasuredReader {
 public:
  MeasuredReader(const std::filesystem::path& file, const RigMeasured& measured)
      : measured_(measured), place_{file.string(), 0, {}} {}

  std::vector<MeasuredColumn> read(std::string_view content) {
    for (std::string_view rest = content; !rest.empty();) {
      const std::size_t end = rest.find('\n');
      std::string_view line = rest.substr(0, end);
      rest.remove_prefix(end == std::string_view::npos ? rest.size() : end + 1);
      ++place_.line;
      if (const auto mistake = text::binary_mistake(line)) text::fail(place_, {}, *mistake);
      line = line.substr(0, line.find('#'));
      if (text::without_blanks(line).empty()) continue;
      if (heads_.empty())
        take_head(line);
      else
        take_line(line);
    }
    place_.line = 0;
    if (heads_.empty()) text::fail(place_, {}, "is empty: the first line names the columns");
    for (const MeasuredColumn& column : columns_)
      if (column.time_s.empty()) text::fail(place_, column.history->name, "holds no value");
    return std::move(columns_);
  }

 private:
  std::string with_unit(const std::string& unit, text::Kind kind, std::string_view name) const {
    const text::Quantity probe = text::parse_quantity("1 " + unit, kind);
    if (probe.error.empty()) return probe.unit;
    text::fail(place_, name,
               (unit.empty() ? std::string("has no unit")
                             : "\"" + unit.substr(0, text::kMostShown) + "\" is not a unit of " +
                                   std::string(text::kind_word(kind).name)) +
                   " (units: " + text::unit_names(kind) + ")",
               probe.nearest);
  }

  Head head_of(std::string_view cell) const {
    const text::HeadCell parts = text::head_cell(cell);
    Head head{.name = std::string(cell)};
    if (const RigColumn* history = history_of(cell)) {
      head.history = history;
      head.kind = history->kind;
      head.unit = text::kind_word(history->kind).si_unit;
    } else if (parts.name == "time" || parts.name == "t") {
      head.time = true;
      head.unit = with_unit(parts.unit, text::Kind::kTime, parts.name);
    } else {
      for (const RigColumn& column : kRigColumns) {
        if (parts.name != column.without_unit) continue;
        head.history = &column;
        head.kind = column.kind;
        head.unit = with_unit(parts.unit, column.kind, parts.name);
      }
    }
    if (head.history != nullptr && !measured_.column.empty() &&
        head.history->name != measured_.column)
      head.history = nullptr;
    return head;
  }

  void take_head(std::string_view line) {
    for (const char parting : {';', '\t'})
      if (line.find(parting) != std::string_view::npos) parting_ = parting;
    for (const std::string_view cell : text::cells_of(line, parting_))
      heads_.push_back(head_of(cell));
    for (std::size_t i = 0; i < heads_.size(); ++i) {
      for (std::size_t k = 0; k < i; ++k)
        if ((heads_[i].time && heads_[k].time) ||
            (heads_[i].history != nullptr && heads_[i].history == heads_[k].history))
          text::fail(place_, heads_[i].name, "appears twice");
      if (heads_[i].time) time_ = i;
      if (heads_[i].history != nullptr) columns_.push_back({heads_[i].history, {}, {}});
    }
    if (!time_) text::fail(place_, "t_s", "this column is missing: name it t_s or `time [ms]`");
    if (columns_.empty()) fail_without_column();
  }

  [[noreturn]] void fail_without_column() const {
    std::vector<std::string> typed;
    for (const Head& head : heads_)
      if (!head.time) typed.push_back(head.name);
    if (!measured_.column.empty())
      text::fail(place_, measured_.column, "this column is missing",
                 text::nearest_name(measured_.column, typed));
    const std::vector<std::string> names = history_names();
    for (const std::string& name : typed) {
      const std::string nearest = text::nearest_name(name, names);
      if (!nearest.empty())
        text::fail(place_, name.substr(0, text::kMostShown), "is no history of a rig", nearest);
    }
    std::string all;
    for (const std::string& name : names) all += (all.empty() ? "" : ", ") + name;
    text::fail(place_, {}, "no column is named like a history of a rig: " + all);
  }

  void take_line(std::string_view line) {
    const std::vector<std::string_view> cells = text::cells_of(line, parting_);
    if (cells.size() != heads_.size()) {
      std::string what = "this line has " + std::to_string(cells.size()) +
                         " cells, the header has " + std::to_string(heads_.size());
      if (cells.size() > heads_.size() && parting_ == ',')
        what += "; if a comma is a decimal sign, write a point";
      text::fail(place_, {}, what);
    }
    const double time_s = value_si(cells[*time_], heads_[*time_]) + measured_.shift_s;
    if (time_s < last_s_) text::fail(place_, heads_[*time_].name, "falls back: put lines in order");
    last_s_ = time_s;
    std::size_t next = 0;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      if (heads_[i].history == nullptr) continue;
      MeasuredColumn& column = columns_[next++];
      if (cells[i].empty()) continue;
      column.time_s.push_back(time_s);
      column.values_si.push_back(value_si(cells[i], heads_[i]));
    }
  }

  double value_si(std::string_view cell, const Head& head) const {
    if (cell.find(',') != std::string_view::npos)
      text::fail(place_, head.name, text::shown_cell(cell) + " has a decimal comma: write a point");
    const text::Quantity read =
        text::parse_quantity(std::string(cell) + " " + head.unit, head.kind);
    if (!read.error.empty())
      text::fail(place_, head.name,
                 text::shown_cell(cell) + " is not a number (the unit is the header's)");
    if (!(std::abs(read.value_si) <= kMost_si))
      text::fail(place_, head.name, text::shown_cell(cell) + " is out of range");
    return read.value_si;
  }

  const RigMeasured& measured_;
  text::Place place_;
  char parting_ = ',';
  std::vector<Head> heads_;
  std::optional<std::size_t> time_;
  double last_s_ = -1e300;
  std::vector<MeasuredColumn> columns_;
};

std::string milliseconds(double time_s) {
  return text::format_quantity(time_s, text::Kind::kTime, "ms", 6);
}

/// Why the setup has no such history; empty: it has.
std::string missing_history(const RigSetup& setup, const RigColumn& history) {
  if (history.kind == text::Kind::kCurrent || history.kind == text::Kind::kLength)
    return setup.inlet == RigInlet::kChain ? "" : "belongs to a valve, and [inlet] replaces it";
  if (history.values == &RigSeries::middle_pressure_pa &&
      (setup.inlet == RigInlet::kChain || setup.solver.cavities))
    return "belongs to a bare tube with solver.cavities = false";
  return {};
}

}  // namespace

void describe_measured(RigMeasured& measured, text::Fields& f) {
  f.begin("measured", "a measurement that is shown beside the model");
  f.text("file", measured.file, "CSV file: t_s, and columns named as in series.csv");
  f.text("column", measured.column, "the one column to show; empty: every column of such a name");
  f.quantity("shift", measured.shift_s, text::Kind::kTime, {-1e5, 1e5},
             "time of the run at which the file's time is 0");
  f.end();
}

std::vector<MeasuredColumn> read_measured(const std::filesystem::path& file,
                                          const RigMeasured& measured) {
  // The reader of texts makes room for the most that it may read.
  std::error_code unknown;
  const std::uintmax_t bytes = std::filesystem::file_size(file, unknown);
  const std::size_t most = unknown ? kMostBytes : std::min<std::uintmax_t>(kMostBytes, bytes);
  return MeasuredReader(file, measured).read(text::read_text(file, most));
}

void finish_measured(const text::Node& document, const std::filesystem::path& setup_file,
                     const text::Places& places, RigSetup& setup) {
  RigMeasured& measured = setup.measured;
  const text::Node* file = text::find_dotted(document, "measured.file");
  if (file == nullptr || measured.file.empty()) {
    for (const char* key : {"measured.column", "measured.shift"})
      if (const auto stated = places.find(key); stated != places.end())
        text::fail(stated->second, key, "needs measured.file");
    return;
  }
  const auto place_of = [&](const char* key) {
    const auto stated = places.find(key);
    return stated == places.end() ? file->place : stated->second;
  };
  if (!measured.column.empty() && history_of(measured.column) == nullptr)
    text::fail(place_of("measured.column"), "measured.column",
               "\"" + measured.column.substr(0, text::kMostShown) + "\" is no history of a rig",
               text::nearest_name(measured.column, history_names()));
  const std::filesystem::path path = scenario::path_from(file->place, measured.file, setup_file);
  std::error_code ignored;
  if (!std::filesystem::exists(path, ignored))
    text::fail(file->place, "measured.file", "no such file: `" + path.string() + "`");
  measured.file = path.string();
  std::vector<MeasuredColumn> columns = read_measured(path, measured);
  const std::vector<double>& at_s = setup.record.at_s;
  const double from_s = at_s.empty() ? 0.0 : at_s.front();
  const double to_s = at_s.empty() ? rig_duration_s(setup) : at_s.back();
  for (const MeasuredColumn& column : columns) {
    const std::string name(column.history->name);
    if (const std::string why = missing_history(setup, *column.history); !why.empty())
      text::fail(place_of("measured.column"), "measured.column", name + " " + why);
    if (column.time_s.front() > to_s || column.time_s.back() < from_s)
      text::fail(file->place, "measured.file",
                 "no point of " + name + ", from " + milliseconds(column.time_s.front()) + " to " +
                     milliseconds(column.time_s.back()) + ", lies in the record, " +
                     milliseconds(from_s) + " to " + milliseconds(to_s) +
                     ": state measured.shift or record.duration");
  }
  measured.columns = std::make_shared<const std::vector<MeasuredColumn>>(std::move(columns));
}

}  // namespace sim::rig
