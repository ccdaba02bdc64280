// Interference over the rate of repetition, for the recommended part and for the attachment as
// stated.
#include <algorithm>
#include <cmath>

#include "sim/output/axes.h"
#include "sim/output/svg.h"
#include "sim/study/outlet/outlet_report.h"

namespace sim::outlet {
namespace {

constexpr double kWidth_px = 720.0, kHeight_px = 300.0;
constexpr double kLeft_px = 64.0, kRight_px = 580.0, kTop_px = 24.0, kFoot_px = 246.0;

double lead_m(const RateFigures& rate) { return rate.lead_change_s * rate.speed_mps; }
double lag_m(const RateFigures& rate) { return rate.lag_change_s * rate.speed_mps; }

const PulseFigures& best_pulses(const OutletResult& result) {
  return result.candidates[static_cast<std::size_t>(result.recommended)].pulses;
}

struct Curve {
  const PulseFigures& pulses;
  double (*read_m)(const RateFigures&);
  const char* words;
  output::Pen pen;
};

std::vector<Curve> curves_of(const OutletResult& result) {
  const OutletCandidate& stated = result.candidates[result.stated];
  const PulseFigures& best = best_pulses(result);
  std::vector<Curve> curves{{best, lead_m, "band start", {output::kBlue, 2.0, {}}},
                            {best, lag_m, "band end", {output::kOrange, 2.0, "6 3"}}};
  if (stated.pulsed && static_cast<int>(result.stated) != result.recommended) {
    curves.push_back({stated.pulses, lead_m, "as stated, start", {output::kMuted, 1.2, {}}});
    curves.push_back({stated.pulses, lag_m, "as stated, end", {output::kMuted, 1.2, "2 3"}});
  }
  return curves;
}

void draw_legend(output::Drawing& drawing, const std::vector<Curve>& curves) {
  double y_px = kTop_px + 12.0;
  for (const Curve& curve : curves) {
    drawing.line({kRight_px + 14.0, y_px}, {kRight_px + 42.0, y_px}, curve.pen);
    drawing.text({kRight_px + 48.0, y_px + 4.0}, curve.words, {11.0});
    y_px += 18.0;
  }
}

}  // namespace

std::string interference_svg(const OutletResult& result, output::Units units) {
  const std::vector<Curve> curves = curves_of(result);
  double most_m = 1e-4;
  for (const Curve& curve : curves)
    for (const RateFigures& rate : curve.pulses.rates)
      if (rate.follows) most_m = std::max(most_m, curve.read_m(rate));
  const std::vector<RateFigures>& rates = best_pulses(result).rates;
  const double from_hz = rates.front().rate_hz;
  const double to_hz = std::max(rates.back().rate_hz, from_hz + 1.0);
  const output::Axis x_axis{from_hz, to_hz, kLeft_px, kRight_px,
                            output::shown_unit(output::Measure::kFrequency, units)};
  const output::Axis y_axis{0.0, 1.08 * most_m, kFoot_px, kTop_px,
                            output::shown_unit(output::Measure::kPlace, units)};
  output::Drawing drawing(kWidth_px, kHeight_px);
  output::draw_x_axis(drawing, x_axis, kFoot_px, kTop_px, "pulses per second", 8);
  output::draw_y_ticks(drawing, y_axis, kLeft_px, kRight_px, 5);
  drawing.text({16.0, 0.5 * (kTop_px + kFoot_px)}, output::with_unit("largest shift", y_axis.unit),
               {12.0, output::Anchor::kMiddle, output::kInk, false, true});
  const double working_hz = result.speed_mps / result.scenario.seeding.meter.spacing_m;
  if (x_axis.holds(working_hz)) {
    const double x_px = x_axis.px(working_hz);
    drawing.line({x_px, kTop_px}, {x_px, kFoot_px}, {output::kInk, 1.0, "1 3"});
    drawing.text({x_px + 4.0, kTop_px + 10.0}, "judged speed and spacing", {11.0});
  }
  output::open_panel(drawing, x_axis, "pulses per second", y_axis, "largest shift");
  for (const Curve& curve : curves) {
    std::vector<output::Point> points;
    for (const RateFigures& rate : curve.pulses.rates)
      if (rate.follows) points.push_back({x_axis.px(rate.rate_hz), y_axis.px(curve.read_m(rate))});
    drawing.name(curve.words);
    drawing.path(points, curve.pen);
  }
  drawing.name("");
  drawing.close_group();
  draw_legend(drawing, curves);
  return drawing.inline_svg("interference", "Interference between pulses",
                            "Largest shift of band start and band end in an even train against a "
                            "single pulse, over 10 to 90 pulses per second.");
}

}  // namespace sim::outlet
