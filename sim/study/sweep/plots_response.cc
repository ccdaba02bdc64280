#include <algorithm>
#include <cmath>

#include "sim/output/axes.h"
#include "sim/study/run/plots.h"
#include "sim/study/run/sentences.h"
#include "sim/study/sweep/axis_value.h"
#include "sim/study/sweep/cell_maps.h"

namespace sim::sweep {
namespace {

constexpr double kWidth_px = 760.0;
constexpr double kHeight_px = 250.0;
constexpr double kLeft_px = 70.0;
constexpr double kRight_px = 740.0;
constexpr double kTop_px = 12.0;
constexpr double kFoot_px = 200.0;

// Units as axis_label shows them; a key without such a unit is drawn in SI.
output::ShownUnit unit_of(const std::string& key, output::Units units) {
  if (key == "travel.speed") return output::shown_unit(output::Measure::kSpeed, units);
  if (key == "seeding.spacing" || key == "rate.band_length")
    return output::shown_unit(output::Measure::kPlace, units);
  if (key == "supply.pressure") return output::shown_unit(output::Measure::kPressure, units);
  if (key == "liquid.temperature") return output::shown_unit(output::Measure::kTemperature, units);
  if (key == "rate.in_band") return output::shown_unit(output::Measure::kRate, units);
  return {"SI", 1.0, 0.0, 3};
}

struct Response {
  std::vector<output::Point> good;  // at or above the goal
  std::vector<output::Point> bad;
  std::vector<output::Point> not_served;
};

output::Axis across_of(const SweepResult& result, const SweepPrecision& group, std::size_t axis,
                       output::Units units) {
  output::Axis across{0.0, 1.0, kLeft_px, kRight_px, unit_of(result.axes[axis].key, units)};
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

output::Axis up_of(const SweepResult& result, const SweepPrecision& group, output::Units units) {
  double least_ratio = run::kGoal_ratio;
  for (std::size_t i = 0; i < group.cells; ++i) {
    const SweepCell& cell = result.cells[group.first_cell + i];
    const double share_ratio = cell.summary.all.within[0].sensed_ratio;
    if (cell.served() && std::isfinite(share_ratio))
      least_ratio = std::min(least_ratio, share_ratio);
  }
  const double foot_ratio = std::max(0.0, 0.1 * std::floor(10.0 * least_ratio));
  return {foot_ratio, 1.0, kFoot_px, kTop_px, output::shown_unit(output::Measure::kShare, units)};
}

Response response_of(const SweepResult& result, const SweepPrecision& group, std::size_t axis,
                     const output::Axis& across, const output::Axis& up) {
  Response response;
  for (std::size_t i = 0; i < group.cells; ++i) {
    const SweepCell& cell = result.cells[group.first_cell + i];
    const double x_px = across.px(axis_value_si(cell.values[axis]));
    const double share_ratio = cell.summary.all.within[0].sensed_ratio;
    if (!cell.served() || !std::isfinite(share_ratio))
      response.not_served.push_back({x_px, kFoot_px - 4.0});
    else if (share_ratio >= run::kGoal_ratio)
      response.good.push_back({x_px, up.px(share_ratio)});
    else
      response.bad.push_back({x_px, up.px(share_ratio)});
  }
  return response;
}

}  // namespace

std::string response_svg(const SweepResult& result, const SweepPrecision& group, std::size_t axis,
                         std::size_t number, output::Units units) {
  const output::Axis across = across_of(result, group, axis, units);
  const output::Axis up = up_of(result, group, units);
  const std::string words = axis_words(result.axes[axis].key);
  output::Drawing drawing(kWidth_px, kHeight_px);
  output::draw_x_axis(drawing, across, kFoot_px, kTop_px, output::with_unit(words, across.unit), 8);
  output::draw_y_ticks(drawing, up, kLeft_px, kRight_px, 5);
  drawing.text({14.0, 0.5 * (kTop_px + kFoot_px)}, "within 10 mm, %",
               {12.0, output::Anchor::kMiddle, output::kInk, false, true});
  drawing.line({kLeft_px, up.px(run::kGoal_ratio)}, {kRight_px, up.px(run::kGoal_ratio)},
               {output::kMuted, 1.0, "5 3"});
  const Response response = response_of(result, group, axis, across, up);
  output::open_panel(drawing, across, words, up, "within 10 mm");
  drawing.name("within 10 mm");
  drawing.dots(response.good, 6.0, output::kBlue);
  drawing.crosses(response.bad, 7.0, {output::kOrange, 1.6});
  drawing.name("");
  drawing.crosses(response.not_served, 7.0, {output::kMuted, 1.6});
  drawing.close_group();
  return drawing.inline_svg(
      "response-" + std::to_string(number), "Share of sensed seeds within 10 mm over " + words,
      "Each mark is a sample. Dots reach 95 %, crosses do not; grey crosses at the foot cannot be "
      "served.");
}

}  // namespace sim::sweep
