#include "sim/study/delay/plots_delay.h"

#include <algorithm>

#include "sim/output/axes.h"

namespace sim::delay {

std::string residual_svg(const DelayStudy& study, output::Units units) {
  output::Drawing drawing(760.0, 250.0);
  const output::ShownUnit place = output::shown_unit(output::Measure::kPlace, units);
  const output::Axis y{-12e-3, 12e-3, 205.0, 16.0, place};
  const output::Axis x{0.9 * study.speeds.front().speed_mps, 1.04 * study.speeds.back().speed_mps,
                       66.0, 748.0, output::shown_unit(output::Measure::kSpeed, units)};
  output::draw_y_ticks(drawing, y, 66.0, 748.0, 5);
  output::draw_x_axis(drawing, x, 205.0, 16.0, output::with_unit("row speed", x.unit), 10);
  for (const double edge_m : {-10e-3, 10e-3})
    drawing.line({66.0, y.px(edge_m)}, {748.0, y.px(edge_m)}, {output::kBlue, 1.0, "5 3"});
  output::open_panel(drawing, x, "row speed");
  for (const DelaySpeed& at : study.speeds) {
    const double at_px = x.px(at.speed_mps);
    const auto inside_px = [&](double value_m) {
      return y.px(std::clamp(value_m, y.from_si, y.to_si));
    };
    const auto shown = [&](double value_m) {
      return output::shown(value_m, output::Measure::kPlace, units);
    };
    drawing.open_words("at " + output::shown(at.speed_mps, output::Measure::kSpeed, units) +
                       ": mean before trims " + shown(at.mean.value_m) + " ± " +
                       shown(at.mean.half_m) + ", sd with trims " + shown(at.trimmed_sd_m));
    drawing.line({at_px, inside_px(-2.0 * at.trimmed_sd_m)},
                 {at_px, inside_px(2.0 * at.trimmed_sd_m)}, {output::kMuted, 7.0});
    drawing.line({at_px + 8.0, inside_px(at.mean.value_m - at.mean.half_m)},
                 {at_px + 8.0, inside_px(at.mean.value_m + at.mean.half_m)}, {output::kInk, 1.5});
    drawing.line({at_px + 4.0, inside_px(at.mean.value_m)},
                 {at_px + 12.0, inside_px(at.mean.value_m)}, {output::kInk, 2.5});
    drawing.close_group();
  }
  drawing.close_group();
  drawing.text({4.0, 14.0}, output::with_unit("error", place), {12.0});
  return drawing.inline_svg("residual", "Residual over row speed",
                            "Thick bars: two sd of all seeds with trims. Thin bars: mean before "
                            "trims with its 95 % interval.");
}

}  // namespace sim::delay
