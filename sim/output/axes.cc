#include "sim/output/axes.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/output/number_text.h"

namespace sim::output {
namespace {

constexpr double kTickSize_px = 11.0;

struct Step {
  double size_ratio = 1.0;  // in the shown unit
  int decimals = 0;
};

// The smallest round step that gives no more than `about` steps across the axis.
Step round_step(double span_ratio, int about) {
  const double wanted_ratio = span_ratio / std::max(about, 1);
  double ten_ratio = 1.0;
  int decimals = 0;
  while (ten_ratio > wanted_ratio) ten_ratio /= 10.0, ++decimals;
  while (ten_ratio * 10.0 <= wanted_ratio) ten_ratio *= 10.0, --decimals;
  for (const double times_ratio : {1.0, 2.0, 5.0})
    if (ten_ratio * times_ratio >= wanted_ratio)
      return {ten_ratio * times_ratio, std::max(decimals, 0)};
  return {ten_ratio * 10.0, std::max(decimals - 1, 0)};
}

std::string four(const Axis& axis) {
  const auto shown = [&](double value_si) {
    return value_si * axis.unit.per_si_ratio + axis.unit.shift_ratio;
  };
  return fmt::format("{:.7g} {:.7g} {:.7g} {:.7g}", axis.from_px, axis.to_px, shown(axis.from_si),
                     shown(axis.to_si));
}

std::string words_of(char axis, const Axis& of, std::string_view what) {
  return fmt::format(" data-{0}=\"{1}\" data-{0}w=\"{2}\" data-{0}u=\"{3}\"", axis, four(of),
                     escaped(what), escaped(of.unit.word));
}

}  // namespace

void open_panel(Drawing& drawing, const Axis& x, std::string_view across, const Axis& y,
                std::string_view up, std::string_view more) {
  drawing.open_group(words_of('x', x, across) + words_of('y', y, up) + std::string(more));
}

void open_panel(Drawing& drawing, const Axis& x, std::string_view across) {
  drawing.open_group(words_of('x', x, across));
}

void draw_x_ticks(Drawing& drawing, const Axis& axis, const TickLook& look, int about) {
  drawing.open_group(fmt::format(" data-x=\"{}\" data-ticks=\"{:g} {:g} {:g} {}\"", four(axis),
                                 look.foot_px, look.top_px, look.text_px, about));
  for (const Tick& tick : round_ticks(axis, about)) {
    const double x_px = axis.px(tick.value_si);
    if (look.top_px < look.foot_px)
      drawing.line({x_px, look.foot_px}, {x_px, look.top_px}, {kRule, 0.6});
    drawing.line({x_px, look.foot_px}, {x_px, look.foot_px + 4.0}, {kMuted, 1.0});
    drawing.text({x_px, look.foot_px + look.text_px}, tick.label,
                 {look.size_px, Anchor::kMiddle, kMuted});
  }
  drawing.close_group();
}

std::vector<Tick> round_ticks(const Axis& axis, int about) {
  const ShownUnit& unit = axis.unit;
  const double low_ratio = axis.from_si * unit.per_si_ratio + unit.shift_ratio;
  const double high_ratio = axis.to_si * unit.per_si_ratio + unit.shift_ratio;
  if (!(high_ratio > low_ratio)) return {};
  const Step step = round_step(high_ratio - low_ratio, about);
  const double slack_ratio = 1e-9 * (high_ratio - low_ratio);
  std::vector<Tick> ticks;
  const double first_ratio = std::ceil((low_ratio - slack_ratio) / step.size_ratio);
  for (double k_ratio = first_ratio; k_ratio * step.size_ratio <= high_ratio + slack_ratio;
       k_ratio += 1.0) {
    const double shown_ratio = k_ratio * step.size_ratio;
    std::string label = fixed_text(shown_ratio, step.decimals);
    if (label.front() == '-') label.replace(0, 1, "−");
    ticks.push_back({(shown_ratio - unit.shift_ratio) / unit.per_si_ratio, label});
  }
  return ticks;
}

void draw_x_axis(Drawing& drawing, const Axis& axis, double foot_px, double top_px,
                 std::string_view label, int about) {
  draw_x_ticks(drawing, axis, {foot_px, top_px, 16.0, kTickSize_px}, about);
  drawing.line({axis.from_px, foot_px}, {axis.to_px, foot_px}, {kMuted, 1.0});
  drawing.text({(axis.from_px + axis.to_px) / 2.0, foot_px + 33.0}, label,
               {12.0, Anchor::kMiddle, kInk});
}

void draw_y_ticks(Drawing& drawing, const Axis& axis, double left_px, double right_px, int about) {
  for (const Tick& tick : round_ticks(axis, about)) {
    const double y_px = axis.px(tick.value_si);
    drawing.line({left_px, y_px}, {right_px, y_px}, {kRule, 0.6});
    drawing.text({left_px - 6.0, y_px + 4.0}, tick.label, {kTickSize_px, Anchor::kEnd, kMuted});
  }
  drawing.line({left_px, axis.from_px}, {left_px, axis.to_px}, {kMuted, 1.0});
}

std::string with_unit(std::string_view what, const ShownUnit& unit) {
  return std::string(what) + (unit.word.empty() ? "" : ", " + std::string(unit.word));
}

}  // namespace sim::output
