#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "sim/output/axes.h"
#include "sim/study/budget/budget_report.h"

namespace sim::budget {
namespace {

constexpr double kWidth_px = 760.0;
constexpr double kLeft_px = 262.0;
constexpr double kRight_px = 640.0;
constexpr double kTop_px = 24.0;
constexpr double kLine_px = 26.0;

struct Line {
  std::string name;
  const PartFigures* figures = nullptr;
  bool whole = false;
};

std::vector<Line> lines_of(const BudgetResult& result) {
  std::vector<Line> lines;
  for (const BudgetPart* part : parts_by_share(result))
    if (part->kind == PartKind::kEffect || part->kind == PartKind::kRemains)
      lines.push_back({part->name, &part->figures});
  lines.push_back({"the whole error", &result.error, true});
  return lines;
}

double reach_of_m(const std::vector<Line>& lines) {
  double reach_m = 1e-4;  // an error of zero still needs an axis
  for (const Line& line : lines)
    for (const double edge_m :
         {std::abs(line.figures->mean_m) + line.figures->sd_m, line.figures->abs_p95_m})
      if (std::isfinite(edge_m)) reach_m = std::max(reach_m, 1.1 * edge_m);
  return reach_m;
}

std::string line_words(const Line& line, output::Units units) {
  const auto place = [&](double value_m) {
    return output::shown(value_m, output::Measure::kPlace, units);
  };
  return line.name + ": mean " + place(line.figures->mean_m) + ", sd " + place(line.figures->sd_m) +
         ", 95 % of its size within " + place(line.figures->abs_p95_m);
}

void draw_line(output::Drawing& drawing, const output::Axis& axis, const Line& line, double y_px) {
  const PartFigures& figures = *line.figures;
  const double sd_m = std::isfinite(figures.sd_m) ? figures.sd_m : 0.0;
  const double half_px = line.whole ? 8.0 : 6.0;
  drawing.hatched_box({axis.px(figures.mean_m - sd_m), y_px - half_px},
                      {axis.px(figures.mean_m + sd_m), y_px + half_px}, {output::kInk, 0.8});
  drawing.line({axis.px(figures.mean_m), y_px - half_px - 2.0},
               {axis.px(figures.mean_m), y_px + half_px + 2.0}, {output::kInk, 2.5});
  const std::array<output::Point, 2> far = {
      {{axis.px(-figures.abs_p95_m), y_px}, {axis.px(figures.abs_p95_m), y_px}}};
  drawing.dots(far, 5.0, output::kInk);
}

}  // namespace

std::string budget_parts_svg(const BudgetResult& result, output::Units units) {
  const std::vector<Line> lines = lines_of(result);
  const double foot_px = kTop_px + kLine_px * static_cast<double>(lines.size()) + 6.0;
  output::Drawing drawing(kWidth_px, foot_px + 42.0);
  const output::ShownUnit unit = output::shown_unit(output::Measure::kPlace, units);
  const double reach_m = reach_of_m(lines);
  const output::Axis axis{-reach_m, reach_m, kLeft_px, kRight_px, unit};
  output::draw_x_axis(
      drawing, axis, foot_px, kTop_px - 6.0,
      output::with_unit("part of the error", unit) + " (positive: band ahead of its seed)", 7);
  drawing.line({axis.px(0.0), kTop_px - 6.0}, {axis.px(0.0), foot_px}, {output::kMuted, 1.0});
  drawing.text({kWidth_px - 4.0, kTop_px - 10.0}, "share of error",
               {11.0, output::Anchor::kEnd, output::kMuted});
  for (std::size_t k = 0; k < lines.size(); ++k) {
    const double y_px = kTop_px + kLine_px * (static_cast<double>(k) + 0.5);
    if (lines[k].whole)
      drawing.line({4.0, y_px - 0.5 * kLine_px}, {kWidth_px - 4.0, y_px - 0.5 * kLine_px},
                   {output::kMuted, 0.8});
    drawing.text({4.0, y_px + 4.0}, lines[k].name, {.size_px = 12.0, .bold = lines[k].whole});
    output::open_panel(drawing, axis, "part of the error");
    drawing.open_words(line_words(lines[k], units));
    draw_line(drawing, axis, lines[k], y_px);
    drawing.close_group();
    drawing.close_group();
    drawing.text({kWidth_px - 4.0, y_px + 4.0},
                 output::shown(lines[k].figures->error_share_ratio, output::Measure::kShare, units),
                 {12.0, output::Anchor::kEnd});
  }
  return drawing.inline_svg("budget-parts", "Parts of the placement error",
                            "One line per part, the largest share on top: a stroke at its mean, a "
                            "hatched bar one sd to either side, dots at the 95 % quantile of its "
                            "size, and its share at the right. The last line is the whole error.");
}

}  // namespace sim::budget
