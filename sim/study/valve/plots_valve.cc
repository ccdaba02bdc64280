// Curves of the valve sheet: one pulse (current and lift), dose over width, dose error over
// repetition. Where both are drawn, measured is solid and modelled dashed, so grey print tells them
// apart.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "shared/units.h"
#include "sim/output/axes.h"
#include "sim/study/valve/valve_sheet.h"

namespace sim::valve {
namespace {

/// Size and margins of a plot: the pulse takes the whole width, the others stand side by side.
struct Frame {
  double width_px, height_px, right_px, foot_px;
};
constexpr Frame kWhole{760.0, 268.0, 748.0, 226.0};
constexpr Frame kHalf{480.0, 200.0, 470.0, 158.0};
constexpr double kLeft_px = 46.0;
constexpr double kTop_px = 24.0;
constexpr double kMostShown_s = 6e-3;      // after a command on; later nothing changes
constexpr double kMostClosing_s = 9.5e-3;  // of a worn valve; the fit compares 10 ms

struct Curve {
  std::vector<double> time_s, value_si;
};

struct ShownCurve {
  Curve curve;
  output::Pen pen;
  const char* quantity;  // empty: not on the axis
};

std::vector<output::Point> points_of(const Curve& curve, const output::Axis& x,
                                     const output::Axis& y) {
  std::vector<output::Point> points;
  for (std::size_t i = 0; i < curve.time_s.size(); ++i)
    if (x.holds(curve.time_s[i]) && std::isfinite(curve.value_si[i]))
      points.push_back(
          {x.px(curve.time_s[i]), y.px(std::clamp(curve.value_si[i], y.from_si, y.to_si))});
  return points;
}

double largest(const std::vector<double>& values) {  // tidy: unit the caller's
  double most = 0.0;                                 // tidy: unit the caller's
  for (const double value : values)                  // tidy: unit the caller's
    if (std::isfinite(value)) most = std::max(most, value);
  return most;
}

/// One half of the pulse's plot: current and lift from one command on, over one time axis.
struct Half {
  const char* command;
  double from_px, to_px;
  double command_s;  // instant of the command in the curves' time
};

void draw_half(output::Drawing& drawing, const Half& half, const output::Axis& y, double span_s,
               const std::vector<ShownCurve>& curves) {
  const output::Axis x{half.command_s - 0.1 * span_s,
                       half.command_s + span_s,
                       half.from_px,
                       half.to_px,
                       {"ms", 1e3, 0.0, 1}};
  const output::Axis shown{-0.1 * span_s, span_s, half.from_px, half.to_px, {"ms", 1e3, 0.0, 1}};
  output::draw_x_axis(drawing, shown, kWhole.foot_px, kTop_px,
                      std::string("ms after command ") + half.command, 5);
  drawing.line({x.px(half.command_s), kTop_px}, {x.px(half.command_s), kWhole.foot_px},
               {output::kMuted, 0.8, "2 2"});
  output::open_panel(drawing, shown, "time", y, "current");
  for (const ShownCurve& one : curves) {
    // The lift is drawn to the height of the current, so its line shows no value of the axis.
    drawing.name(one.quantity);
    drawing.path(points_of(one.curve, x, y), one.pen);
  }
  drawing.name("");
  drawing.close_group();
}

Curve scaled(const std::vector<double>& time_s, const std::vector<double>& value,  // tidy: unit any
             double factor_ratio) {
  Curve curve{time_s, value};
  for (double& one : curve.value_si) one *= factor_ratio;
  return curve;
}

}  // namespace

std::string valve_pulse_svg(const ValveCheck& check, output::Units units) {
  const ValveProgramme& p = check.programme;
  const bool measured = check.fit && !check.fit->curves.empty();
  const FitCurve* fit = measured ? &check.fit->curves.front() : nullptr;
  const double on_s = measured ? 0.0 : 1e-3;
  const double off_s = measured ? fit->off_s - fit->on_s : on_s + p.setup.drive.on_time_s;
  const double most_a = measured ? std::max(largest(fit->measured_a), largest(fit->modelled_a))
                                 : largest(p.history.current_a);
  const double travel_m = p.setup.part.valve.plunger.travel_m;
  const double lift_scale_ratio = most_a / travel_m;  // lift drawn to the same height
  std::vector<ShownCurve> curves;
  if (measured) {
    curves.push_back({{fit->time_s, fit->measured_a}, {output::kBlue, 2.0}, "current, measured"});
    curves.push_back(
        {{fit->time_s, fit->modelled_a}, {output::kInk, 1.6, "6 4"}, "current, modelled"});
    curves.push_back(
        {scaled(fit->time_s, fit->lift_m, lift_scale_ratio), {output::kOrange, 1.6, "2 3"}, ""});
  } else {
    curves.push_back({{p.history.time_s, p.history.current_a}, {output::kBlue, 2.0}, "current"});
    curves.push_back({scaled(p.history.time_s, p.history.lift_m, lift_scale_ratio),
                      {output::kOrange, 1.6, "2 3"},
                      ""});
  }
  output::Drawing drawing(kWhole.width_px, kWhole.height_px);
  const output::Axis y{0.0, 1.1 * most_a, kWhole.foot_px, kTop_px, {"A", 1.0, 0.0, 1}};
  output::draw_y_ticks(drawing, y, kLeft_px, kWhole.right_px, 6);
  const double middle_px = 0.5 * (kLeft_px + kWhole.right_px);
  const double on_span_s = std::clamp(off_s - on_s, 1e-3, kMostShown_s);
  draw_half(drawing, {"on", kLeft_px, middle_px - 12.0, on_s}, y, on_span_s, curves);
  draw_half(drawing, {"off", middle_px + 12.0, kWhole.right_px, off_s}, y, kMostClosing_s, curves);
  drawing.text(
      {4.0, 14.0},
      measured ? "current, A: measured solid, modelled dashed" : "current, A, modelled: solid",
      {13.0, output::Anchor::kStart, output::kInk, true});
  drawing.text({kWhole.right_px, 14.0},
               "lift, modelled: dotted, its top " + valve_length_words(travel_m, units),
               {13.0, output::Anchor::kEnd, output::kOrange, true});
  return drawing.inline_svg("pulse", "One pulse: current and lift",
                            "Current of the coil and lift of the plunger after the command on and "
                            "after the command off.");
}

std::string valve_dose_svg(const ValveCheck& check, output::Units units) {
  const ValveProgramme& p = check.programme;
  output::Drawing drawing(kHalf.width_px, kHalf.height_px);
  const bool us = units == output::Units::kUs;
  const output::ShownUnit unit =
      us ? output::ShownUnit{"0.001 fl oz", 1e3 / shared::kFluidOunce_m3, 0.0, 1}
         : output::ShownUnit{"mm³", 1e9, 0.0, 0};
  const output::Axis x{0.0, p.widths_s.back(), kLeft_px, kHalf.right_px, {"ms", 1e3, 0.0, 0}};
  const output::Axis y{0.0, 1.05 * largest(p.doses_m3), kHalf.foot_px, kTop_px, unit};
  output::draw_y_ticks(drawing, y, kLeft_px, kHalf.right_px, 4);
  output::draw_x_axis(drawing, x, kHalf.foot_px, kTop_px, "width of the pulse, ms", 8);
  std::vector<output::Point> dots;
  for (std::size_t k = 0; k < p.widths_s.size(); ++k)
    dots.push_back({x.px(p.widths_s[k]), y.px(p.doses_m3[k])});
  if (p.line.found) {
    const auto dose_m3 = [&](double width_s) {
      return p.line.slope_m3ps * (width_s - p.line.dead_s);
    };
    const double from_s = std::max(0.0, p.line.dead_s);
    drawing.line({x.px(from_s), y.px(dose_m3(from_s))},
                 {x.px(p.line.to_s), y.px(dose_m3(p.line.to_s))}, {output::kInk, 1.0});
    drawing.line({x.px(p.line.from_s), kTop_px}, {x.px(p.line.from_s), kHalf.foot_px},
                 {output::kMuted, 0.8, "2 2"});
  }
  output::open_panel(drawing, x, "width of the pulse", y, "dose");
  drawing.name("dose");
  drawing.dots(dots, 2.2, output::kBlue);
  drawing.name("");
  drawing.close_group();
  drawing.text({4.0, 12.0}, output::with_unit("dose", unit) + "; straight from the dotted line on",
               {13.0, output::Anchor::kStart, output::kInk, true});
  return drawing.inline_svg("dose", "Dose over width", "Dose of single pulses over their width.");
}

std::string valve_repetition_svg(const ValveCheck& check) {
  const ValveProgramme& p = check.programme;
  if (p.repetitions.empty()) return {};
  output::Drawing drawing(kHalf.width_px, kHalf.height_px);
  const double limit_ratio = p.setup.programme.dose_error_ratio;
  double most_ratio = 1.2 * limit_ratio;
  for (const RepetitionRun& run : p.repetitions)
    if (std::isfinite(run.error_ratio)) most_ratio = std::max(most_ratio, 1.1 * run.error_ratio);
  most_ratio = std::min(most_ratio, 5.0 * limit_ratio);
  const output::Axis x{
      0.0, 1.05 * p.repetitions.back().rate_hz, kLeft_px, kHalf.right_px, {"Hz", 1.0, 0.0, 0}};
  const output::Axis y{0.0, most_ratio, kHalf.foot_px, kTop_px, {"%", 100.0, 0.0, 0}};
  output::draw_y_ticks(drawing, y, kLeft_px, kHalf.right_px, 4);
  output::draw_x_axis(drawing, x, kHalf.foot_px, kTop_px, "repetition, Hz", 8);
  drawing.line({kLeft_px, y.px(limit_ratio)}, {kHalf.right_px, y.px(limit_ratio)},
               {output::kOrange, 1.2, "6 3"});
  std::vector<output::Point> dots;
  for (const RepetitionRun& run : p.repetitions)
    if (std::isfinite(run.error_ratio))
      dots.push_back({x.px(run.rate_hz), y.px(std::min(run.error_ratio, most_ratio))});
  output::open_panel(drawing, x, "repetition", y, "dose error");
  drawing.path(dots, {output::kBlue, 1.0});
  drawing.name("dose error");
  drawing.dots(dots, 2.6, output::kBlue);
  drawing.name("");
  drawing.close_group();
  drawing.text({4.0, 12.0}, "dose error in a train, %; dashed: stated error",
               {13.0, output::Anchor::kStart, output::kInk, true});
  return drawing.inline_svg("repetition", "Dose error over repetition",
                            "Largest error of a pulse's dose in an even train against one pulse "
                            "alone, over the repetition.");
}

}  // namespace sim::valve
