#include "sim/study/score/openings.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "model/machine/travel.h"
#include "sim/bench/travel_of.h"
#include "sim/output/axes.h"
#include "sim/output/html.h"
#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/study/score/current_dip.h"

namespace sim::score {
namespace {

/// Commands of the recording and of the model's pulse are the same instant up to rounding.
constexpr double kSameCommand_s = 1e-6;

double speed_mps(const scenario::Scenario& scenario, const model::Travel& travel, int row,
                 double at_s) {
  const double y_m = (row - 0.5 * (scenario.row.count - 1)) * scenario.row.width_m;
  return model::row_motion_at(travel, y_m, at_s).speed_mps;
}

std::string milliseconds(const statistics::CountedSpread& times_s) {
  return fmt::format("median {:.3f} ms, 5 to 95 % {:.3f} to {:.3f} ms", times_s.quantile(0.5) * 1e3,
                     times_s.quantile(0.05) * 1e3, times_s.quantile(0.95) * 1e3);
}

std::string length_words(const statistics::CountedSpread& lengths_m, output::Units units) {
  const bool us = units == output::Units::kUs;
  const double unit_m = us ? 0.0254 : 1e-3;
  return fmt::format("median {:.3f} {}, 5 to 95 % {:.3f} to {:.3f}",
                     lengths_m.quantile(0.5) / unit_m, us ? "in" : "mm",
                     lengths_m.quantile(0.05) / unit_m, lengths_m.quantile(0.95) / unit_m);
}

std::string opening_plot(const std::vector<OpeningFigures>& rows) {
  constexpr double kWidth_px = 760.0, kLeft_px = 60.0, kRight_px = 720.0, kTop_px = 14.0;
  constexpr double kLine_px = 24.0;
  double least_s = HUGE_VAL, most_s = -HUGE_VAL;
  for (const OpeningFigures& row : rows) {
    if (row.compared == 0) continue;
    least_s = std::min(least_s, row.later_s.quantile(0.05));
    most_s = std::max(most_s, row.later_s.quantile(0.95));
  }
  if (!(least_s <= most_s)) return "";
  const double reach_s = 1.1 * std::max({std::abs(least_s), std::abs(most_s), 50e-6});
  const output::ShownUnit unit{"ms", 1e3, 0.0, 2};
  const double foot_px = kTop_px + kLine_px * static_cast<double>(rows.size()) + 4.0;
  output::Drawing drawing(kWidth_px, foot_px + 42.0);
  const output::Axis axis{-reach_s, reach_s, kLeft_px, kRight_px, unit};
  output::draw_x_axis(drawing, axis, foot_px, kTop_px - 4.0,
                      "opening in the recorded current less the model's, ms", 9);
  for (std::size_t row = 0; row < rows.size(); ++row) {
    const double y_px = kTop_px + kLine_px * (static_cast<double>(row) + 0.5);
    drawing.text({4.0, y_px + 4.0}, "row " + std::to_string(row), {12.0});
    if (rows[row].compared == 0) continue;
    const auto x_px = [&](double share_ratio) {
      return axis.px(rows[row].later_s.quantile(share_ratio));
    };
    const auto ms = [&](double share_ratio) {
      return output::shown_number(rows[row].later_s.quantile(share_ratio), unit, 3);
    };
    output::open_panel(drawing, axis, "later");
    drawing.open_words("row " + std::to_string(row) + ": median " + ms(0.5) + ", 5 to 95 % " +
                       ms(0.05) + " to " + ms(0.95) + " ms later than in the model");
    drawing.line({x_px(0.05), y_px}, {x_px(0.95), y_px}, {output::kBlue, 1.5});
    drawing.line({x_px(0.25), y_px}, {x_px(0.75), y_px}, {output::kBlue, 7.0});
    drawing.line({x_px(0.5), y_px - 7.0}, {x_px(0.5), y_px + 7.0}, {output::kInk, 2.0});
    drawing.close_group();
    drawing.close_group();
  }
  return drawing.inline_svg(
      "opening-by-row", "How much later each row's valve opened than in the model",
      "For each row a thin line from the 5 % to the 95 % quantile, a thick one from the 25 % to "
      "the 75 % quantile and a stroke at the median.");
}

}  // namespace

void OpeningFigures::take(const OpeningFigures& other) {
  pulses += other.pulses;
  seen += other.seen;
  compared += other.compared;
  opening_s.take(other.opening_s);
  later_s.take(other.later_s);
  later_m.take(other.later_m);
}

RowOpenings::RowOpenings(const scenario::Scenario& scenario, int row)
    : scenario_(scenario), row_(row) {}

void RowOpenings::expect(const std::vector<SeenOpening>& seen, double later_s) {
  for (const SeenOpening& one : seen) {
    waiting_.push_back({one.command_s + later_s, one.stop_s + later_s});
    ++figures_.pulses;
    if (std::isnan(one.stop_s)) continue;
    ++figures_.seen;
    figures_.opening_s.take(one.stop_s - one.command_s);
  }
}

void RowOpenings::compare(const std::vector<measure::PulseOpening>& model, double until_s,
                          std::string& lines) {
  const model::Travel travel = bench::travel_of(scenario_);
  auto pulse = model.begin();
  auto seen = waiting_.begin();
  for (; seen != waiting_.end() && seen->command_s <= until_s + kSameCommand_s; ++seen) {
    while (pulse != model.end() && pulse->command_s < seen->command_s - kSameCommand_s) ++pulse;
    const bool same = pulse != model.end() && pulse->command_s < seen->command_s + kSameCommand_s;
    const double own_s = same ? pulse->stop_s - pulse->command_s : statistics::kNone_ratio;
    const double opening_s = seen->stop_s - seen->command_s;
    const double later_s = opening_s - own_s;
    const double later_m = later_s * speed_mps(scenario_, travel, row_, seen->command_s);
    lines += std::to_string(row_);
    for (const double value : {seen->command_s, opening_s, own_s, later_s, later_m})
      lines += "," + output::number_text(value);
    lines += "\n";
    if (std::isnan(later_s)) continue;
    ++figures_.compared;
    figures_.later_s.take(later_s);
    figures_.later_m.take(later_m);
  }
  waiting_.erase(waiting_.begin(), seen);
}

std::string openings_header() {
  return "row,command_s,opening_s,model_opening_s,later_s,later_m\n";
}

std::vector<std::string> opening_lines(const OpeningFigures& figures, double step_s,
                                       output::Units units) {
  if (step_s <= 0.0) return {};
  if (step_s > kCoarsest_s)
    return {
        fmt::format("current: a sample every {:g} us is too coarse to see when a valve opens; "
                    "at most {:g} us are needed",
                    step_s * 1e6, kCoarsest_s * 1e6)};
  std::vector<std::string> lines{
      fmt::format("current: a sample every {:g} us; {} of {} pulses show when the valve opened",
                  step_s * 1e6, figures.seen, figures.pulses)};
  if (figures.seen > 0)
    lines.push_back("opening after the command: " + milliseconds(figures.opening_s));
  if (figures.compared > 0) {
    lines.push_back("later than in the model: " + milliseconds(figures.later_s));
    lines.push_back("the row's way in that time: " + length_words(figures.later_m, units));
  }
  return lines;
}

std::string opening_section(const std::vector<OpeningFigures>& rows, double step_s,
                            output::Units units) {
  OpeningFigures all;
  for (const OpeningFigures& row : rows) all.take(row);
  std::string inner;
  for (const std::string& line : opening_lines(all, step_s, units))
    inner += output::paragraph_html(line + ".");
  if (inner.empty()) return "";
  inner += output::paragraph_html(
      "An opening is the instant at which the plunger stands at its stop: the coil's current has "
      "a corner there.");
  const std::string plot = opening_plot(rows);
  if (!plot.empty())
    inner += output::figure_html(plot,
                                 "Openings of each row against those of the same pulses in "
                                 "the model");
  return output::section_html("Openings in the coils' current", inner);
}

std::string opening_json(const OpeningFigures& figures, double step_s) {
  const auto spread = [](const statistics::CountedSpread& of) {
    return nlohmann::ordered_json{{"mean", output::number_or_null(of.moments().mean())},
                                  {"p05", output::number_or_null(of.quantile(0.05))},
                                  {"p50", output::number_or_null(of.quantile(0.5))},
                                  {"p95", output::number_or_null(of.quantile(0.95))}};
  };
  const double seen_ratio =
      figures.pulses > 0 ? static_cast<double>(figures.seen) / static_cast<double>(figures.pulses)
                         : statistics::kNone_ratio;
  return output::json_text({{"step_s", output::number_or_null(step_s)},
                            {"fine_enough", step_s <= kCoarsest_s},
                            {"pulses", figures.pulses},
                            {"seen", figures.seen},
                            {"seen_ratio", output::number_or_null(seen_ratio)},
                            {"opening_s", spread(figures.opening_s)},
                            {"later_s", spread(figures.later_s)},
                            {"later_m", spread(figures.later_m)}});
}

}  // namespace sim::score
