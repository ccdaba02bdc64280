#include "sim/study/rig/measured_beside.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace sim::rig {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();  // tidy: no unit

/// The series at an instant inside it.
double value_at(  // tidy: unit is the series'
    const std::vector<double>& time_s, const std::vector<double>& values, double at_s) {
  const auto after = std::lower_bound(time_s.begin(), time_s.end(), at_s);
  const auto i = static_cast<std::size_t>(after - time_s.begin());
  if (time_s[i] == at_s) return values[i];
  const double share = (at_s - time_s[i - 1]) / (time_s[i] - time_s[i - 1]);  // tidy: a ratio
  return values[i - 1] + share * (values[i] - values[i - 1]);
}

MeasuredDifference difference_of(const RigSeries& series, const MeasuredColumn& column) {
  MeasuredDifference one{.history = column.history};
  const std::vector<double>& model = series.*(column.history->values);
  double squares = 0.0;  // tidy: unit is the column's, squared
  for (std::size_t i = 0; i < column.time_s.size(); ++i) {
    const double at_s = column.time_s[i];
    if (model.empty() || at_s < series.time_s.front() || at_s > series.time_s.back()) {
      ++one.outside;
      continue;
    }
    const double miss_si = value_at(series.time_s, model, at_s) - column.values_si[i];
    if (one.points == 0 || std::abs(miss_si) > std::abs(one.largest_si)) {
      one.largest_si = miss_si;
      one.largest_at_s = at_s;
    }
    one.highest_si = std::max(one.highest_si, std::abs(column.values_si[i]));
    squares += miss_si * miss_si;
    ++one.points;
  }
  one.rms_si = std::sqrt(squares / static_cast<double>(one.points));
  if (one.points == 0) one.highest_si = one.largest_si = one.largest_at_s = kNone;
  return one;
}

struct Shown {
  std::string rms, share, largest, at;
};

Shown shown_of(const MeasuredDifference& one, output::Units units) {
  const output::ShownUnit unit = shown_unit_of(one.history->kind, units);
  const int decimals = unit.decimals + (one.history->kind == text::Kind::kCurrent ? 2 : 1);
  const auto number = [&](double value_si) {
    return output::shown_number(value_si, unit, decimals) + " " + std::string(unit.word);
  };
  return {.rms = number(one.rms_si),
          .share = one.highest_si > 0.0
                       ? output::shown(one.rms_si / one.highest_si, output::Measure::kShare, units)
                       : std::string(),
          .largest = (one.largest_si > 0.0 ? "+" : "") + number(one.largest_si),
          .at = output::shown(one.largest_at_s, output::Measure::kTime, units, 2)};
}

}  // namespace

std::vector<MeasuredDifference> measured_differences(const RigResult& result) {
  std::vector<MeasuredDifference> all;
  if (result.setup.measured.columns == nullptr || result.series.time_s.empty()) return all;
  for (const MeasuredColumn& column : *result.setup.measured.columns)
    all.push_back(difference_of(result.series, column));
  return all;
}

std::string measured_words(const RigResult& result, output::Units units) {
  std::string words;
  for (const MeasuredDifference& one : measured_differences(result)) {
    const Shown shown = shown_of(one, units);
    words += fmt::format(
        "model minus measured, {}: rms {}{}, largest {} at {}; {} points{}\n", one.history->name,
        shown.rms, shown.share.empty() ? "" : " (" + shown.share + " of the highest)",
        shown.largest, shown.at, one.points,
        one.outside > 0 ? fmt::format(", {} outside the record", one.outside) : "");
  }
  return words;
}

output::Table measured_table(const RigResult& result, output::Units units) {
  output::Table table{
      "Model minus measured, at the measured instants. Share: rms over the highest.",
      {"Column", "Rms", "Share", "Largest", "At", "Points", "Outside the record"},
      {},
      1};
  for (const MeasuredDifference& one : measured_differences(result)) {
    const Shown shown = shown_of(one, units);
    table.lines.push_back({std::string(one.history->name), shown.rms, shown.share, shown.largest,
                           shown.at, std::to_string(one.points), std::to_string(one.outside)});
  }
  return table;
}

}  // namespace sim::rig
