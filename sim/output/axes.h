// Axes of a plot: pixel places of SI values, ticks at round numbers of the shown unit, labels with
// that unit.
//
// Ticks    steps of 1, 2 or 5 times a power of ten; no tick outside the axis
// Checked  tests/sim/study/run/report_test.cc
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "sim/output/shown_units.h"
#include "sim/output/svg.h"

namespace sim::output {

struct Axis {
  double from_si = 0.0;
  double to_si = 1.0;
  double from_px = 0.0;
  double to_px = 100.0;
  ShownUnit unit;

  double px(double value_si) const {
    return from_px + (value_si - from_si) / (to_si - from_si) * (to_px - from_px);
  }
  bool holds(double value_si) const { return value_si >= from_si && value_si <= to_si; }
};

struct Tick {
  double value_si = 0.0;
  std::string label;
};

/// Ticks with at most `about` steps across the axis; none if the axis has no length.
std::vector<Tick> round_ticks(const Axis& axis, int about);
/// The marks drawn until Drawing::close_group() lie in a panel over these axes. The attributes of
/// the panel say so in words and in the shown units, for the script of the report: `across` and
/// `up` name what the axes measure, without a unit; `more` is further attributes, as they are.
void open_panel(Drawing& drawing, const Axis& x, std::string_view across, const Axis& y,
                std::string_view up, std::string_view more = {});
/// The same for marks that stand at a value of the x axis alone and cross all its panels.
void open_panel(Drawing& drawing, const Axis& x, std::string_view across);
/// How the ticks of an x axis look, in pixels below `foot_px`, and above it the faint rules.
struct TickLook {
  double foot_px = 0.0;
  double top_px = 0.0;  // of the rules; the same as foot_px: no rules
  double text_px = 16.0;
  double size_px = 11.0;
};
/// Ticks and their numbers alone, without the axis' line.
void draw_x_ticks(Drawing& drawing, const Axis& axis, const TickLook& look, int about);
/// Ticks below `foot_px`, faint rules up to `top_px`, and the label below the ticks.
void draw_x_axis(Drawing& drawing, const Axis& axis, double foot_px, double top_px,
                 std::string_view label, int about);
/// Ticks left of `left_px`, faint rules across to `right_px`; no label.
void draw_y_ticks(Drawing& drawing, const Axis& axis, double left_px, double right_px, int about);
/// "placement error, mm"
std::string with_unit(std::string_view what, const ShownUnit& unit);

}  // namespace sim::output
