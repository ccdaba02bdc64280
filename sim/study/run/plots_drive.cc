#include <algorithm>
#include <cmath>

#include "shared/units.h"
#include "sim/bench/travel_of.h"
#include "sim/output/axes.h"
#include "sim/study/run/drive_report.h"

namespace sim::run {
namespace {

constexpr double kWidth_px = 640.0;
constexpr double kLeft_px = 50.0;
constexpr double kRight_px = 628.0;
constexpr double kKeyLine_px = 18.0;  // height of one line of the legend
constexpr double kPanel_px = 130.0;
constexpr double kBetween_px = 40.0;  // room for the second panel's heading
constexpr std::size_t kMostPoints = 1500;
constexpr int kCourseSamples = 600;

struct Panel {
  double top_px = 0.0;
  double foot_px = 0.0;
};

struct Curve {
  double y_unit_m = 0.0;
  output::Pen pen;
  const char* words;
};

bool turns(const model::Travel& travel) {
  return std::any_of(travel.knots.begin(), travel.knots.end(),
                     [](const model::TravelKnot& knot) { return knot.yaw_rate_radps != 0.0; });
}

/// Machine, leftmost and rightmost row; dashes distinguish them, not colour alone.
std::vector<Curve> curves_of(const RunResult& result, const model::Travel& travel) {
  std::vector<Curve> curves{{0.0, {output::kInk, 1.6}, "middle of the machine"}};
  const double reach_m = 0.5 * (result.scenario.row.count - 1) * result.scenario.row.width_m;
  if (!turns(travel) || reach_m <= 0.0) return curves;
  curves.push_back({-reach_m, {output::kBlue, 1.0, "6 3"}, "leftmost row (dashes)"});
  curves.push_back({reach_m, {output::kOrange, 1.0, "1.5 2.5"}, "rightmost row (dots)"});
  return curves;
}

/// Instants at which the slope of the speed may change, within the pass, and both ends of the pass.
std::vector<model::TravelKnot> knots_within(const model::Travel& travel, double until_s) {
  std::vector<model::TravelKnot> within{model::motion_at(travel, 0.0)};
  for (const model::TravelKnot& knot : travel.knots)
    if (knot.time_s > 0.0 && knot.time_s < until_s) within.push_back(knot);
  within.push_back(model::motion_at(travel, until_s));
  return within;
}

/// If there are very many points: the highest and the lowest of each half pixel.
std::vector<output::Point> thinned(const std::vector<output::Point>& points) {
  if (points.size() <= kMostPoints) return points;
  std::vector<output::Point> few;
  for (std::size_t from = 0; from < points.size();) {
    std::size_t to = from, high = from, low = from;
    for (; to < points.size() && points[to].x_px < points[from].x_px + 0.5; ++to) {
      if (points[to].y_px > points[low].y_px) low = to;
      if (points[to].y_px < points[high].y_px) high = to;
    }
    few.push_back(points[std::min(high, low)]);
    if (high != low) few.push_back(points[std::max(high, low)]);
    from = to;
  }
  return few;
}

void shade_gaps(output::Drawing& drawing, const std::vector<model::TravelKnot>& knots,
                const output::Axis& time, const Panel& panel) {
  output::open_panel(drawing, time, "time");
  for (std::size_t i = 1; i < knots.size(); ++i)
    if (knots[i].time_s - knots[i - 1].time_s > scenario::kNmeaGap_s)
      drawing.box({time.px(knots[i - 1].time_s), panel.top_px},
                  {time.px(knots[i].time_s), panel.foot_px}, output::kBluePale, {output::kNoFill});
  drawing.close_group();
}

void draw_speed(output::Drawing& drawing, const std::vector<model::TravelKnot>& knots,
                const std::vector<Curve>& curves, const output::Axis& time, const Panel& panel,
                output::Units units) {
  double low_mps = 0.0, high_mps = 0.1;
  const auto speed_mps = [](const model::TravelKnot& knot, double y_unit_m) {
    return knot.speed_mps - knot.yaw_rate_radps * y_unit_m;
  };
  for (const model::TravelKnot& knot : knots)
    for (const Curve& curve : curves) {
      low_mps = std::min(low_mps, speed_mps(knot, curve.y_unit_m));
      high_mps = std::max(high_mps, speed_mps(knot, curve.y_unit_m));
    }
  const output::Axis axis{low_mps, 1.06 * high_mps, panel.foot_px, panel.top_px,
                          output::shown_unit(output::Measure::kSpeed, units)};
  output::draw_y_ticks(drawing, axis, kLeft_px, kRight_px, 8);
  output::open_panel(drawing, time, "time", axis, "ground speed");
  for (std::size_t k = curves.size(); k-- > 0;) {
    std::vector<output::Point> line;
    for (const model::TravelKnot& knot : knots)
      line.push_back({time.px(knot.time_s), axis.px(speed_mps(knot, curves[k].y_unit_m))});
    drawing.name(curves[k].words);
    drawing.path(thinned(line), curves[k].pen);
  }
  drawing.name("");
  drawing.close_group();
  drawing.text({kLeft_px, panel.top_px - 8.0}, output::with_unit("ground speed", axis.unit),
               {.bold = true});
}

void draw_course(output::Drawing& drawing, const model::Travel& travel, const output::Axis& time,
                 const Panel& panel) {
  double low_rad = -0.02, high_rad = 0.02;
  std::vector<double> course_rad;
  for (int k = 0; k <= kCourseSamples; ++k) {
    const double at_s = time.from_si + (time.to_si - time.from_si) * k / kCourseSamples;
    course_rad.push_back(model::turned_rad(travel, at_s));
    low_rad = std::min(low_rad, course_rad.back());
    high_rad = std::max(high_rad, course_rad.back());
  }
  const double air_rad = 0.05 * (high_rad - low_rad);
  const output::Axis axis{low_rad - air_rad,
                          high_rad + air_rad,
                          panel.foot_px,
                          panel.top_px,
                          {"degrees", 180.0 / shared::kPi_ratio, 0.0, 0}};
  output::draw_y_ticks(drawing, axis, kLeft_px, kRight_px, 5);
  std::vector<output::Point> line;
  for (int k = 0; k <= kCourseSamples; ++k)
    line.push_back({time.px(time.from_si + (time.to_si - time.from_si) * k / kCourseSamples),
                    axis.px(course_rad[static_cast<std::size_t>(k)])});
  output::open_panel(drawing, time, "time", axis, "course");
  drawing.name("course");
  drawing.path(line, {output::kInk, 1.6});
  drawing.name("");
  drawing.close_group();
  drawing.text({kLeft_px, panel.top_px - 8.0},
               output::with_unit("course since the start (right: positive)", axis.unit),
               {.bold = true});
}

void draw_key(output::Drawing& drawing, const std::vector<Curve>& curves) {
  double y_px = 13.0;
  for (const Curve& curve : curves) {
    drawing.line({kLeft_px, y_px - 4.0}, {kLeft_px + 34.0, y_px - 4.0}, curve.pen);
    drawing.text({kLeft_px + 42.0, y_px}, curve.words);
    y_px += kKeyLine_px;
  }
}

}  // namespace

std::string drive_svg(const RunResult& result, bool recorded, output::Units units) {
  const scenario::TravelSection& section = result.scenario.travel;
  const double until_s = driven_s(result);
  if ((section.profile.empty() && section.turn_radius_m == 0.0) || !(until_s > 0.0)) return "";
  const model::Travel travel = bench::travel_of(result.scenario);
  const std::vector<Curve> curves = curves_of(result, travel);
  const double key_px = kKeyLine_px * static_cast<double>(curves.size());
  const Panel speed{key_px + 24.0, key_px + 24.0 + kPanel_px};
  const Panel course{speed.foot_px + kBetween_px, speed.foot_px + kBetween_px + kPanel_px};
  output::Drawing drawing(kWidth_px, course.foot_px + 42.0);
  const output::Axis time{0.0, until_s, kLeft_px, kRight_px, {"s", 1.0, 0.0, 0}};
  const std::vector<model::TravelKnot> knots = knots_within(travel, until_s);
  for (const Panel& panel : {speed, course})
    if (recorded) shade_gaps(drawing, knots, time, panel);
  output::draw_x_axis(drawing, time, course.foot_px, speed.top_px,
                      output::with_unit("time", time.unit), 8);
  draw_speed(drawing, knots, curves, time, speed, units);
  draw_course(drawing, travel, time, course);
  draw_key(drawing, curves);
  return drawing.inline_svg(
      "drive", "Speed and course over the pass",
      "Above, the ground speed over time of the machine's middle and, where it turns, of its "
      "outermost rows; below, the change of its course since the start.");
}

}  // namespace sim::run
