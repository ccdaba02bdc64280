#include <algorithm>
#include <cmath>

#include "sim/output/axes.h"
#include "sim/study/run/plots.h"
#include "sim/study/run/sentences.h"
#include "sim/study/sweep/axis_value.h"
#include "sim/study/sweep/cell_maps.h"
#include "sim/study/sweep/sweep_words.h"

namespace sim::sweep {
namespace {

constexpr double kWidth_px = 760.0;
constexpr double kLeft_px = 96.0;
constexpr double kTop_px = 10.0;
constexpr double kCell_px = 72.0;  // height

// Blue at and above the goal, darker towards 100 %; orange below it, darker the further below.
std::string cell_colour(double share_ratio) {
  if (!std::isfinite(share_ratio)) return std::string(output::kPaper);
  if (share_ratio >= run::kGoal_ratio)
    return output::between_colours(
        output::kPaper, output::kBlue,
        0.12 + 0.33 * (share_ratio - run::kGoal_ratio) / (1.0 - run::kGoal_ratio));
  return output::between_colours(
      output::kPaper, output::kOrange,
      std::min(0.5, 0.15 + 0.35 * (run::kGoal_ratio - share_ratio) / 0.45));
}

struct Frame {
  output::Point corner;
  double width_px = 0.0;
};

void draw_unservable(output::Drawing& drawing, const SweepCell& cell, const Frame& frame,
                     output::Units units) {
  const double right_px = frame.corner.x_px + frame.width_px;
  const double bottom_px = frame.corner.y_px + kCell_px;
  drawing.hatched_box(frame.corner, {right_px, bottom_px}, {output::kPaper, 1.5});
  const double middle_px = 0.5 * (frame.corner.x_px + right_px);
  const double size_px = frame.width_px < 76.0 ? 9.5 : 11.0;
  drawing.text({middle_px, frame.corner.y_px + 18.0}, "not", {size_px, output::Anchor::kMiddle});
  drawing.text({middle_px, frame.corner.y_px + 30.0}, "servable",
               {size_px, output::Anchor::kMiddle});
  drawing.text({middle_px, frame.corner.y_px + 47.0},
               "≥ " + output::shown(cell.tuned.smallest_offset_m, output::Measure::kPlace, units,
                                    units == output::Units::kUs ? 1 : 0),
               {size_px, output::Anchor::kMiddle});
}

void draw_failed(output::Drawing& drawing, const Frame& frame) {
  const double right_px = frame.corner.x_px + frame.width_px;
  drawing.hatched_box(frame.corner, {right_px, frame.corner.y_px + kCell_px},
                      {output::kPaper, 1.5});
  drawing.text({0.5 * (frame.corner.x_px + right_px), frame.corner.y_px + 34.0}, "failed",
               {frame.width_px < 76.0 ? 9.5 : 11.0, output::Anchor::kMiddle});
}

void draw_cell(output::Drawing& drawing, const SweepCell& cell, const Frame& frame,
               output::Units units) {
  const output::Point opposite{frame.corner.x_px + frame.width_px, frame.corner.y_px + kCell_px};
  const double share_ratio = cell.summary.all.within[0].sensed_ratio;
  const bool wrong = cell.summary.verdict == measure::Verdict::kWrongSeed;
  const bool narrow = frame.width_px < 76.0;
  const double middle_px = 0.5 * (frame.corner.x_px + opposite.x_px);
  const std::string colour = wrong ? cell_colour(0.0) : cell_colour(share_ratio);
  drawing.box(frame.corner, opposite, colour, {output::kPaper, 1.5});
  if (is_violated(cell)) {
    drawing.falling_hatch(frame.corner, opposite, {output::kMuted, 1.0});
    // a plain box on which the words are readable
    const double half_px = 0.5 * frame.width_px - (narrow ? 5.0 : 10.0);
    drawing.box({middle_px - half_px, frame.corner.y_px + 6.0},
                {middle_px + half_px, frame.corner.y_px + 67.0}, colour, {output::kNoFill, 0.0});
  }
  drawing.text({middle_px, frame.corner.y_px + 21.0},
               output::shown_beside(share_ratio, run::kGoal_ratio, output::Measure::kShare, units),
               {narrow ? 12.0 : 14.0, output::Anchor::kMiddle, output::kInk, true});
  const double more_m = break_even_m(cell);
  const std::string stands = std::isfinite(more_m)
                                 ? "+" + output::shown(more_m, output::Measure::kPlace, units)
                                 : std::string(cell.tuned.serves_rate ? "" : "rate not met");
  const std::string violated = violated_in_short(cell);
  const std::string lines[] = {cell_word(cell), violated, stands};
  double y_px = frame.corner.y_px + 36.0;
  for (const std::string& line : lines) {
    if (line.empty()) continue;
    drawing.text({middle_px, y_px}, line, {narrow ? 9.5 : 11.0, output::Anchor::kMiddle});
    y_px += 14.0;
  }
}

std::string cell_in_words(const SweepResult& result, const SweepCell& cell, output::Units units) {
  std::string words = cell_values_words(result, cell, units) + ": ";
  if (cell.served())
    words +=
        output::shown(cell.summary.all.within[0].sensed_ratio, output::Measure::kShare, units) +
        " of sensed seeds within tolerance; ";
  return words + cell_verdict(cell);
}

void draw_labels(output::Drawing& drawing, const SweepResult& result, const CellMap& map,
                 double width_px, double foot_px, output::Units units) {
  const SweepAxis& across = result.axes[map.across];
  for (std::size_t i = 0; i < across.values.size(); ++i)
    drawing.text({kLeft_px + width_px * (static_cast<double>(i) + 0.5), foot_px + 16.0},
                 axis_label(across.key, across.values[i], units),
                 {width_px < 60.0 ? 9.5 : 11.0, output::Anchor::kMiddle, output::kMuted});
  drawing.text(
      {kLeft_px + 0.5 * width_px * static_cast<double>(across.values.size()), foot_px + 34.0},
      axis_words(across.key), {12.0, output::Anchor::kMiddle});
  if (map.up == map.across) return;
  const SweepAxis& up = result.axes[map.up];
  for (std::size_t i = 0; i < up.values.size(); ++i)
    drawing.text({kLeft_px - 8.0, foot_px - kCell_px * (static_cast<double>(i) + 0.5) + 4.0},
                 axis_label(up.key, up.values[i], units),
                 {11.0, output::Anchor::kEnd, output::kMuted});
  drawing.text({14.0, 0.5 * (kTop_px + foot_px)}, axis_words(up.key),
               {12.0, output::Anchor::kMiddle, output::kInk, false, true});
}

}  // namespace

std::string cell_map_svg(const SweepResult& result, const CellMap& map, std::size_t number,
                         output::Units units) {
  const std::size_t columns = result.axes[map.across].values.size();
  const std::size_t lines = map.up == map.across ? 1 : result.axes[map.up].values.size();
  const double width_px = std::min((kWidth_px - kLeft_px) / static_cast<double>(columns), 130.0);
  const double foot_px = kTop_px + kCell_px * static_cast<double>(lines);
  // The drawing is as wide as its cells: it is shown at its own size, and a narrow one is readable
  // too.
  output::Drawing drawing(kLeft_px + width_px * static_cast<double>(columns) + 4.0, foot_px + 44.0);
  for (std::size_t i = 0; i < map.cells.size(); ++i) {
    const SweepCell& cell = result.cells[map.cells[i]];
    const std::size_t line = i / columns;
    const Frame frame{{kLeft_px + width_px * static_cast<double>(i % columns),
                       foot_px - kCell_px * static_cast<double>(line + 1)},
                      width_px};
    drawing.open_words(cell_in_words(result, cell, units));
    if (cell.served())
      draw_cell(drawing, cell, frame, units);
    else if (cell.failed())
      draw_failed(drawing, frame);
    else
      draw_unservable(drawing, cell, frame, units);
    drawing.close_group();
  }
  draw_labels(drawing, result, map, width_px, foot_px, units);
  return drawing.inline_svg(
      "map-" + std::to_string(number),
      "Share of sensed seeds within tolerance over " + axis_words(result.axes[map.across].key) +
          (map.up == map.across ? "" : " and " + axis_words(result.axes[map.up].key)) +
          (map.heading.empty() ? "" : ", " + map.heading),
      "Each cell states the share of sensed seeds within 10 mm, whether the requirements hold, and "
      "how much further scatter below the sensor the goal tolerates. Falling strokes: the cell "
      "fails. Rising strokes: it cannot be served with this outlet offset; the smallest that would "
      "serve is stated.");
}

}  // namespace sim::sweep
