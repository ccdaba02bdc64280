#include <algorithm>
#include <array>
#include <cmath>

#include "sim/output/axes.h"
#include "sim/study/run/plots.h"
#include "sim/study/run/seed_codes.h"

namespace sim::run {
namespace {

constexpr double kWidth_px = 760.0;
constexpr double kLeft_px = 96.0;
constexpr double kRight_px = 676.0;
constexpr double kTop_px = 24.0;
constexpr std::size_t kSinglesMost = 6000;  // more marks than this would hide each other
constexpr std::size_t kOutsideMost = 400;   // crosses in one strip

struct Marked {
  std::vector<output::Point> inside;
  std::vector<output::Point> outside;
  std::vector<output::Point> bandless;
};

double y_reach_m(const RunResult& result, double tolerance_m) {
  std::vector<double> sizes_m;
  for (const measure::RowRecord& row : result.record.rows)
    for (const measure::SeedRecord& seed : row.seeds)
      if (std::isfinite(seed.placement_error_m))
        sizes_m.push_back(std::abs(seed.placement_error_m));
  std::sort(sizes_m.begin(), sizes_m.end());
  const double most_m = sorted_quantile_m(sizes_m, 0.998);
  // A summary of nothing has no tolerance, but the axis needs some length.
  const double scale_m = std::max(tolerance_m, 1e-3);
  return std::clamp(std::isfinite(most_m) ? most_m : 0.0, 1.6 * scale_m, 4.0 * scale_m);
}

Marked mark_seeds(const measure::RowRecord& row, const output::Axis& x_axis,
                  const output::Axis& y_axis, double foot_px, double tolerance_m) {
  Marked marked;
  for (std::size_t i = 0; i < row.seeds.size(); ++i) {
    const measure::SeedRecord& seed = row.seeds[i];
    const double x_px = x_axis.px(static_cast<double>(i));
    if (seed.band < 0) marked.bandless.push_back({x_px, foot_px - 3.0});
    if (!std::isfinite(seed.placement_error_m)) continue;
    const double clipped_m = std::clamp(seed.placement_error_m, y_axis.from_si, y_axis.to_si);
    const bool good = std::abs(seed.placement_error_m) <= tolerance_m;
    (good ? marked.inside : marked.outside).push_back({x_px, y_axis.px(clipped_m)});
  }
  return marked;
}

std::vector<output::Point> thinned(const std::vector<output::Point>& points) {
  const std::size_t every = points.size() / kOutsideMost + 1;
  std::vector<output::Point> some;
  for (std::size_t i = 0; i < points.size(); i += every) some.push_back(points[i]);
  return some;
}

// 5 to 95 % of the errors in steps along the row, as one closed area, with the median as a line.
void draw_envelope(output::Drawing& drawing, const measure::RowRecord& row,
                   const output::Axis& x_axis, const output::Axis& y_axis) {
  const std::size_t seeds = row.seeds.size();
  const std::size_t steps = std::clamp<std::size_t>(seeds / 20, 1, 110);
  std::vector<output::Point> upper, lower, middle;
  for (std::size_t step = 0; step < steps; ++step) {
    const std::size_t from = step * seeds / steps;
    const std::size_t to = (step + 1) * seeds / steps;
    std::vector<double> errors_m;
    for (std::size_t i = from; i < to; ++i)
      if (std::isfinite(row.seeds[i].placement_error_m))
        errors_m.push_back(row.seeds[i].placement_error_m);
    if (errors_m.empty()) continue;
    std::sort(errors_m.begin(), errors_m.end());
    const double x_px = x_axis.px(0.5 * static_cast<double>(from + to));
    const auto place = [&](double share_ratio) {
      return output::Point{x_px, y_axis.px(std::clamp(sorted_quantile_m(errors_m, share_ratio),
                                                      y_axis.from_si, y_axis.to_si))};
    };
    upper.push_back(place(0.95));
    lower.push_back(place(0.05));
    middle.push_back(place(0.5));
  }
  std::vector<output::Point> outline = upper;
  outline.insert(outline.end(), lower.rbegin(), lower.rend());
  drawing.area(outline, output::between_colours(output::kPaper, output::kBlue, 0.45));
  drawing.name("median of the seeds nearby");
  drawing.path(middle, {output::kInk, 1.1});
  drawing.name("");
}

/// Which row a strip is of, and where each seed has a mark, the lines of seeds.csv.
std::string panel_of_row(const measure::RowRecord& row, std::size_t index, bool singles) {
  std::string attributes = " data-row=\"" + std::to_string(index) + "\"";
  if (singles)
    attributes += " data-first=\"" + std::to_string(row.first_seed) + "\" data-status=\"" +
                  seed_status_words() + "\" data-seeds=\"" + seed_codes(row) + "\"";
  return attributes;
}

void draw_strip(output::Drawing& drawing, const RunResult& result, std::size_t index,
                const output::Axis& x_axis, const output::Axis& y_axis, bool singles,
                output::Units units) {
  const measure::RowRecord& row = result.record.rows[index];
  const double tolerance_m = result.summary.all.within[0].tolerance_m;
  const double foot_px = y_axis.from_px;
  drawing.box({kLeft_px, y_axis.px(tolerance_m)}, {kRight_px, y_axis.px(-tolerance_m)},
              output::kBluePale, {output::kNoFill});
  const output::ShownUnit unit = y_axis.unit;
  for (const double level_m : {-tolerance_m, 0.0, tolerance_m}) {
    const double y_px = y_axis.px(level_m);
    drawing.line(
        {kLeft_px, y_px}, {kRight_px, y_px},
        {level_m == 0.0 ? output::kRule : output::kBlue, 0.7, level_m == 0.0 ? "" : "5 3"});
    const std::string sign = level_m > 0.0 ? "+" : "";
    drawing.text({kLeft_px - 6.0, y_px + 3.5},
                 sign + output::shown_number(level_m, unit,
                                             level_m == 0.0      ? 0
                                             : unit.decimals > 1 ? 2
                                                                 : 0),
                 {10.0, output::Anchor::kEnd, output::kMuted});
  }
  const Marked marked = mark_seeds(row, x_axis, y_axis, foot_px, tolerance_m);
  output::open_panel(drawing, x_axis, "seed", y_axis, "placement error",
                     panel_of_row(row, index, singles));
  if (!singles) draw_envelope(drawing, row, x_axis, y_axis);
  drawing.name("placement error");
  if (singles) drawing.dots(marked.inside, 2.4, output::kBlue);
  drawing.crosses(thinned(marked.outside), 4.5, {output::kOrange, 1.2});
  drawing.name("");
  drawing.dots(marked.bandless, 3.0, output::kInk);
  drawing.close_group();
  drawing.line({kLeft_px, foot_px}, {kRight_px, foot_px}, {output::kRule, 1.0});
  drawing.text({kLeft_px - 72.0, 0.5 * (y_axis.from_px + y_axis.to_px) + 4.0},
               "row " + std::to_string(index), {12.0});
  if (index < result.summary.rows.size())
    drawing.text({kWidth_px - 4.0, 0.5 * (y_axis.from_px + y_axis.to_px) + 4.0},
                 output::shown(result.summary.rows[index].within[0].sensed_ratio,
                               output::Measure::kShare, units),
                 {12.0, output::Anchor::kEnd});
}

}  // namespace

double sorted_quantile_m(const std::vector<double>& sorted_m, double share_ratio) {
  if (sorted_m.empty()) return statistics::kNone_ratio;
  const double place = share_ratio * static_cast<double>(sorted_m.size() - 1);
  const std::size_t below = std::min(static_cast<std::size_t>(place), sorted_m.size() - 1);
  const std::size_t above = std::min(below + 1, sorted_m.size() - 1);
  return sorted_m[below] +
         (place - static_cast<double>(below)) * (sorted_m[above] - sorted_m[below]);
}

std::string error_by_seed_svg(const RunResult& result, output::Units units) {
  const std::vector<measure::RowRecord>& rows = result.record.rows;
  std::size_t seeds = 0, longest = 2;
  for (const measure::RowRecord& row : rows) {
    seeds += row.seeds.size();
    longest = std::max(longest, row.seeds.size());
  }
  const double strip_px = rows.size() <= 8 ? 58.0 : rows.size() <= 16 ? 44.0 : 32.0;
  const double foot_px = kTop_px + strip_px * static_cast<double>(rows.size());
  output::Drawing drawing(kWidth_px, foot_px + 42.0);
  const double tolerance_m = result.summary.all.within[0].tolerance_m;
  const double reach_m = y_reach_m(result, tolerance_m);
  const output::ShownUnit unit = output::shown_unit(output::Measure::kPlace, units);
  const output::Axis x_axis{
      0.0, static_cast<double>(longest - 1), kLeft_px + 4.0, kRight_px - 4.0, {"", 1.0, 0.0, 0}};
  output::draw_x_axis(drawing, x_axis, foot_px, kTop_px, "number of the seed in its row", 10);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const double strip_foot_px = kTop_px + strip_px * static_cast<double>(i + 1);
    const output::Axis y_axis{-reach_m, reach_m, strip_foot_px - 3.0,
                              strip_foot_px - strip_px + 3.0, unit};
    draw_strip(drawing, result, i, x_axis, y_axis, seeds <= kSinglesMost, units);
  }
  drawing.text({12.0, 0.5 * (kTop_px + foot_px)}, output::with_unit("placement error", unit),
               {12.0, output::Anchor::kMiddle, output::kInk, false, true});
  const std::string within =
      "within " + output::shown_plain(tolerance_m, output::Measure::kPlace, units);
  drawing.text({kWidth_px - 4.0, 14.0}, within, {11.0, output::Anchor::kEnd, output::kMuted});
  return drawing.inline_svg(
      "error-by-seed", "Placement error of every seed, by row",
      "One strip for each row. The pale band with dashed edges is the tolerance of " +
          within.substr(7) +
          " to either side. Crosses are seeds outside it, black dots at the foot are seeds "
          "without a band. The share at the right is that of sensed seeds. The rows' figures stand "
          "in the table below.");
}

}  // namespace sim::run
