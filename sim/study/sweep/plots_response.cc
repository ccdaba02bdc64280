#include <algorithm>
#include <cmath>

#include "sim/output/axes.h"
#include "sim/study/run/plots.h"
#include "sim/study/run/sentences.h"
#include "sim/study/sweep/axis_value.h"
#include "sim/study/sweep/cell_maps.h"

namespace sim {
namespace {

constexpr double kWidth_px = 760.0;
constexpr double kHeight_px = 250.0;
constexpr double kLeft_px = 70.0;
constexpr double kRight_px = 740.0;
constexpr double kTop_px = 12.0;
constexpr double kFoot_px = 200.0;

// Units as axis_label shows them; a key that has none there is drawn in SI.
ShownUnit unit_of(const std::string& key, Units units) {
  if (key == "travel.speed") return shown_unit(Measure::kSpeed, units);
  if (key == "seeding.spacing" || key == "rate.band_length")
    return shown_unit(Measure::kPlace, units);
  if (key == "supply.pressure") return shown_unit(Measure::kPressure, units);
  if (key == "liquid.temperature") return shown_unit(Measure::kTemperature, units);
  if (key == "rate.in_band") return shown_unit(Measure::kRate, units);
  return {"SI", 1.0, 0.0, 3};
}

struct Response {
  std::vector<Point> good;  // by the goal
  std::vector<Point> bad;
  std::vector<Point> not_served;
};

Axis across_of(const SweepResult& result, const SweepPrecision& group, std::size_t axis,
               Units units) {
  Axis across{0.0, 1.0, kLeft_px, kRight_px, unit_of(result.axes[axis].key, units)};
  double low_si = 1e300, high_si = -1e300;
  for (std::size_t i = 0; i < group.cells; ++i) {
    const double value_si = axis_value_si(result.cells[group.first_cell + i].values[axis]);
    low_si = std::min(low_si, value_si);
    high_si = std::max(high_si, value_si);
  }
  const double rim_si = high_si > low_si ? 0.03 * (high_si - low_si) : 0.5;
  across.from_si = low_si - rim_si;
  across.to_si = high_si + rim_si;
  return across;
}

Axis up_of(const SweepResult& result, const SweepPrecision& group, Units units) {
  double least_ratio = kGoal_ratio;
  for (std::size_t i = 0; i < group.cells; ++i) {
    const SweepCell& cell = result.cells[group.first_cell + i];
    const double share_ratio = cell.summary.all.within[0].sensed_ratio;
    if (cell.served() && std::isfinite(share_ratio))
      least_ratio = std::min(least_ratio, share_ratio);
  }
  const double foot_ratio = std::max(0.0, 0.1 * std::floor(10.0 * least_ratio));
  return {foot_ratio, 1.0, kFoot_px, kTop_px, shown_unit(Measure::kShare, units)};
}

Response response_of(const SweepResult& result, const SweepPrecision& group, std::size_t axis,
                     const Axis& across, const Axis& up) {
  Response response;
  for (std::size_t i = 0; i < group.cells; ++i) {
    const SweepCell& cell = result.cells[group.first_cell + i];
    const double x_px = across.px(axis_value_si(cell.values[axis]));
    const double share_ratio = cell.summary.all.within[0].sensed_ratio;
    if (!cell.served() || !std::isfinite(share_ratio))
      response.not_served.push_back({x_px, kFoot_px - 4.0});
    else if (share_ratio >= kGoal_ratio)
      response.good.push_back({x_px, up.px(share_ratio)});
    else
      response.bad.push_back({x_px, up.px(share_ratio)});
  }
  return response;
}

}  // namespace

std::string response_svg(const SweepResult& result, const SweepPrecision& group, std::size_t axis,
                         std::size_t number, Units units) {
  const Axis across = across_of(result, group, axis, units);
  const Axis up = up_of(result, group, units);
  const std::string words = axis_words(result.axes[axis].key);
  Drawing drawing(kWidth_px, kHeight_px);
  draw_x_axis(drawing, across, kFoot_px, kTop_px, with_unit(words, across.unit), 8);
  draw_y_ticks(drawing, up, kLeft_px, kRight_px, 5);
  drawing.text({14.0, 0.5 * (kTop_px + kFoot_px)}, "within 10 mm, %",
               {12.0, Anchor::kMiddle, kInk, false, true});
  drawing.line({kLeft_px, up.px(kGoal_ratio)}, {kRight_px, up.px(kGoal_ratio)},
               {kMuted, 1.0, "5 3"});
  const Response response = response_of(result, group, axis, across, up);
  drawing.dots(response.good, 6.0, kBlue);
  drawing.crosses(response.bad, 7.0, {kOrange, 1.6});
  drawing.crosses(response.not_served, 7.0, {kMuted, 1.6});
  return drawing.inline_svg(
      "response-" + std::to_string(number), "Share of sensed seeds within 10 mm over " + words,
      "Each mark is a sample. Dots reach 95 %, crosses do not; grey crosses at the foot cannot be "
      "served.");
}

}  // namespace sim
