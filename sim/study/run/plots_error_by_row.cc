#include <algorithm>
#include <cmath>

#include "sim/output/axes.h"
#include "sim/study/run/plots.h"

namespace sim::run {
namespace {

constexpr double kWidth_px = 760.0;
constexpr double kLeft_px = 60.0;
constexpr double kRight_px = 560.0;
constexpr double kTop_px = 26.0;
constexpr double kLine_px = 24.0;

std::vector<double> sorted_errors_m(const measure::RowRecord& row) {
  std::vector<double> errors_m;
  for (const measure::SeedRecord& seed : row.seeds)
    if (std::isfinite(seed.placement_error_m)) errors_m.push_back(seed.placement_error_m);
  std::sort(errors_m.begin(), errors_m.end());
  return errors_m;
}

void draw_row(output::Drawing& drawing, const std::vector<double>& errors_m,
              const output::Axis& axis, double y_px) {
  if (errors_m.empty()) {
    drawing.text({axis.px(0.0), y_px + 4.0}, "no band",
                 {11.0, output::Anchor::kMiddle, output::kMuted});
    return;
  }
  const auto x_px = [&](double share_ratio) {
    return axis.px(std::clamp(sorted_quantile_m(errors_m, share_ratio), axis.from_si, axis.to_si));
  };
  drawing.line({x_px(0.05), y_px}, {x_px(0.95), y_px}, {output::kBlue, 1.5});
  for (const double end_ratio : {0.05, 0.95})
    drawing.line({x_px(end_ratio), y_px - 4.0}, {x_px(end_ratio), y_px + 4.0},
                 {output::kBlue, 1.5});
  drawing.line({x_px(0.25), y_px}, {x_px(0.75), y_px}, {output::kBlue, 7.0});
  drawing.line({x_px(0.5), y_px - 7.0}, {x_px(0.5), y_px + 7.0}, {output::kInk, 2.0});
}

}  // namespace

std::string error_by_row_svg(const RunResult& result, output::Units units) {
  const std::vector<measure::RowRecord>& rows = result.record.rows;
  const double tolerance_m = result.summary.all.within[0].tolerance_m;
  std::vector<std::vector<double>> errors_m;
  double reach_m = std::max(1.3 * tolerance_m, 1e-3);  // a summary of nothing has no tolerance
  for (const measure::RowRecord& row : rows) {
    errors_m.push_back(sorted_errors_m(row));
    for (const double share_ratio : {0.05, 0.95}) {
      const double edge_m = std::abs(sorted_quantile_m(errors_m.back(), share_ratio));
      if (std::isfinite(edge_m)) reach_m = std::max(reach_m, 1.1 * edge_m);
    }
  }
  const double foot_px = kTop_px + kLine_px * static_cast<double>(rows.size()) + 4.0;
  output::Drawing drawing(kWidth_px, foot_px + 42.0);
  const output::ShownUnit unit = output::shown_unit(output::Measure::kPlace, units);
  const output::Axis axis{-reach_m, reach_m, kLeft_px, kRight_px, unit};
  drawing.box({axis.px(-tolerance_m), kTop_px - 4.0}, {axis.px(tolerance_m), foot_px},
              output::kBluePale, {output::kNoFill});
  output::draw_x_axis(
      drawing, axis, foot_px, kTop_px - 4.0,
      output::with_unit("placement error", unit) + " (positive: band ahead of its seed)", 9);
  for (const double edge_m : {-tolerance_m, tolerance_m})
    drawing.line({axis.px(edge_m), kTop_px - 4.0}, {axis.px(edge_m), foot_px},
                 {output::kBlue, 0.8, "5 3"});
  drawing.text({axis.px(0.0), kTop_px - 9.0}, "tolerance",
               {11.0, output::Anchor::kMiddle, output::kBlue});
  drawing.text({kRight_px + 90.0, kTop_px - 9.0}, output::with_unit("median", unit),
               {11.0, output::Anchor::kEnd, output::kMuted});
  drawing.text({kWidth_px - 4.0, kTop_px - 9.0}, output::with_unit("5 to 95 %", unit),
               {11.0, output::Anchor::kEnd, output::kMuted});
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const double y_px = kTop_px + kLine_px * (static_cast<double>(i) + 0.5);
    drawing.text({4.0, y_px + 4.0}, "row " + std::to_string(i), {12.0});
    const auto number = [&](double share_ratio) {
      return output::shown_number(sorted_quantile_m(errors_m[i], share_ratio), unit, unit.decimals);
    };
    output::open_panel(drawing, axis, "placement error");
    drawing.open_words("row " + std::to_string(i) + ": median " + number(0.5) + ", 25 to 75 % " +
                       number(0.25) + " to " + number(0.75) + ", 5 to 95 % " + number(0.05) +
                       " to " + number(0.95) + " " + std::string(unit.word));
    draw_row(drawing, errors_m[i], axis, y_px);
    drawing.close_group();
    drawing.close_group();
    drawing.text({kRight_px + 90.0, y_px + 4.0}, number(0.5), {12.0, output::Anchor::kEnd});
    drawing.text({kWidth_px - 4.0, y_px + 4.0}, number(0.05) + " to " + number(0.95),
                 {12.0, output::Anchor::kEnd});
  }
  return drawing.inline_svg(
      "error-by-row", "Spread of the placement error in each row",
      "For each row a thin line from the 5 % to the 95 % quantile, a thick one from the 25 % to "
      "the 75 % quantile and a stroke at the median. The numbers stand at the right.");
}

}  // namespace sim::run
