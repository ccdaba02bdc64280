#include <algorithm>
#include <cmath>

#include "sim/output/axes.h"
#include "sim/study/run/plots.h"

namespace sim::run {
namespace {

constexpr double kWidth_px = 760.0;
constexpr double kLeft_px = 176.0;
constexpr double kRight_px = 748.0;
constexpr double kTop_px = 30.0;
constexpr double kPanel_px = 74.0;
constexpr double kGap_px = 14.0;

struct Commands {
  double open_s = 0.0;
  double close_s = 0.0;
};

// The watched seed's own band if it has one, otherwise the first time that the bridge drives.
Commands commands_of(const bench::PassRecord& record) {
  const bench::Watch& watched = record.watched;
  if (watched.row >= 0 && watched.seed >= 0) {
    const measure::RowRecord& row = record.rows[static_cast<std::size_t>(watched.row)];
    const int band = row.seeds[static_cast<std::size_t>(watched.seed)].band;
    if (band >= 0) {
      const measure::BandRecord& own = row.bands[static_cast<std::size_t>(band)];
      return {own.open_s, own.close_s};
    }
  }
  const measure::PulseHistory& history = record.history;
  Commands commands{history.time_s.front(), history.time_s.back()};
  for (std::size_t i = history.time_s.size(); i-- > 1;) {
    if (history.command_ratio[i] > 0.0 && history.command_ratio[i - 1] <= 0.0)
      commands.open_s = history.time_s[i];
    if (history.command_ratio[i] <= 0.0 && history.command_ratio[i - 1] > 0.0)
      commands.close_s = history.time_s[i];
  }
  return commands;
}

struct Panel {
  const char* name;
  const char* note;
  const std::vector<double>* column;  // SI
  output::ShownUnit unit;
};

// Leaves out points that a reader could not distinguish from the line through their neighbours.
std::vector<output::Point> curve(const measure::PulseHistory& history,
                                 const std::vector<double>& column_si, const output::Axis& x_axis,
                                 const output::Axis& y_axis) {
  std::vector<output::Point> points;
  for (std::size_t i = 0; i < history.time_s.size(); ++i) {
    if (!x_axis.holds(history.time_s[i]) || !std::isfinite(column_si[i])) continue;
    const output::Point next{x_axis.px(history.time_s[i]), y_axis.px(column_si[i])};
    const std::size_t count = points.size();
    if (count >= 2 && std::abs(points[count - 1].y_px - next.y_px) < 0.02 &&
        std::abs(points[count - 2].y_px - next.y_px) < 0.02)
      points.pop_back();
    points.push_back(next);
  }
  return points;
}

// When the outlet flow first rises above half of its maximum, and when it first falls below it
// again.
struct HalfFlow {
  double rise_s = statistics::kNone_ratio;
  double fall_s = statistics::kNone_ratio;
};

HalfFlow half_flow(const measure::PulseHistory& history, const output::Axis& x_axis,
                   const Commands& commands) {
  const std::vector<double>& flow_m3ps = history.outlet_flow_m3ps;
  double most_m3ps = 0.0;
  for (std::size_t i = 0; i < flow_m3ps.size(); ++i)
    if (x_axis.holds(history.time_s[i])) most_m3ps = std::max(most_m3ps, flow_m3ps[i]);
  HalfFlow half;
  for (std::size_t i = 1; i < flow_m3ps.size() && most_m3ps > 0.0; ++i) {
    const double before = flow_m3ps[i - 1] / most_m3ps - 0.5;
    const double after = flow_m3ps[i] / most_m3ps - 0.5;
    if (!x_axis.holds(history.time_s[i]) || before * after > 0.0 || before == after) continue;
    const double at_s = history.time_s[i - 1] +
                        (history.time_s[i] - history.time_s[i - 1]) * before / (before - after);
    if (after > before && at_s >= commands.open_s && !std::isfinite(half.rise_s))
      half.rise_s = at_s;
    if (after < before && at_s >= commands.close_s && !std::isfinite(half.fall_s))
      half.fall_s = at_s;
  }
  return half;
}

void draw_panel(output::Drawing& drawing, const Panel& panel, const measure::PulseHistory& history,
                const output::Axis& x_axis, double top_px) {
  double low_si = 0.0, high_si = 0.0;
  for (std::size_t i = 0; i < history.time_s.size(); ++i) {
    const double value_si = (*panel.column)[i];
    if (!x_axis.holds(history.time_s[i]) || !std::isfinite(value_si)) continue;
    low_si = std::min(low_si, value_si);
    high_si = std::max(high_si, value_si);
  }
  if (high_si <= low_si) high_si = low_si + 1.0 / panel.unit.per_si_ratio;
  const double room_si = 0.08 * (high_si - low_si);
  const double foot_px = top_px + kPanel_px;
  const output::Axis y_axis{low_si < 0.0 ? low_si - room_si : 0.0, high_si + room_si, foot_px,
                            top_px, panel.unit};
  const bool switched = panel.column == &history.command_ratio;
  if (switched) {
    drawing.line({kLeft_px, foot_px}, {kLeft_px, top_px}, {output::kMuted, 1.0});
    drawing.text({kLeft_px - 6.0, y_axis.px(0.0) + 1.0}, "off",
                 {11.0, output::Anchor::kEnd, output::kMuted});
    drawing.text({kLeft_px - 6.0, y_axis.px(1.0) + 4.0}, "on",
                 {11.0, output::Anchor::kEnd, output::kMuted});
  } else {
    output::draw_y_ticks(drawing, y_axis, kLeft_px, kRight_px, 3);
  }
  drawing.line({kLeft_px, y_axis.px(0.0)}, {kRight_px, y_axis.px(0.0)}, {output::kMuted, 0.8});
  output::open_panel(drawing, x_axis, "time", y_axis, panel.name);
  drawing.name(panel.name);
  drawing.path(curve(history, *panel.column, x_axis, y_axis), {output::kBlue, 1.8});
  drawing.name("");
  drawing.close_group();
  drawing.text({4.0, top_px + 18.0}, output::with_unit(panel.name, panel.unit),
               {12.0, output::Anchor::kStart, output::kInk, true});
  drawing.text({4.0, top_px + 34.0}, panel.note, {10.5, output::Anchor::kStart, output::kMuted});
}

}  // namespace

std::string pulse_svg(const RunResult& result, output::Units units) {
  const measure::PulseHistory& history = result.record.history;
  if (history.time_s.size() < 2) return {};
  const Commands commands = commands_of(result.record);
  const double on_s = std::max(commands.close_s - commands.open_s, 1e-3);
  const double from_s = std::max(history.time_s.front(), commands.open_s - 0.2 * on_s);
  const double to_s = std::min(history.time_s.back(), commands.close_s + std::max(on_s, 12e-3));
  // The time axis starts at the open command.
  const output::ShownUnit time_unit{"ms", 1e3, -1e3 * commands.open_s, 1};
  const output::Axis x_axis{from_s, to_s, kLeft_px, kRight_px, time_unit};

  const output::ShownUnit flow = output::shown_unit(output::Measure::kFlow, units);
  const std::vector<Panel> panels = {
      {"command", "drive of the bridge", &history.command_ratio, {"", 1.0, 0.0, 0}},
      {"coil current", "", &history.current_a, {"A", 1.0, 0.0, 1}},
      {"lift", "plunger off its seat", &history.lift_m, {"mm", 1e3, 0.0, 1}},
      {"flow at the valve", "through the seat", &history.valve_flow_m3ps, flow},
      {"flow at the outlet", "what becomes the jet", &history.outlet_flow_m3ps, flow}};
  const double foot_px = kTop_px + (kPanel_px + kGap_px) * static_cast<double>(panels.size());
  output::Drawing drawing(kWidth_px, foot_px + 44.0);
  output::draw_x_axis(drawing, x_axis, foot_px, kTop_px, "time after the open command, ms", 10);
  for (const auto& [at_s, word] :
       {std::pair{commands.open_s, "open"}, {commands.close_s, "close"}}) {
    if (!x_axis.holds(at_s)) continue;
    output::open_panel(drawing, x_axis, "time");
    drawing.line({x_axis.px(at_s), kTop_px - 8.0}, {x_axis.px(at_s), foot_px},
                 {output::kOrange, 1.2, "6 3"});
    drawing.text({x_axis.px(at_s), kTop_px - 13.0}, word,
                 {11.5, output::Anchor::kMiddle, output::kOrange, true});
    drawing.close_group();
  }
  const HalfFlow half = half_flow(history, x_axis, commands);
  const double outlet_px = kTop_px + (kPanel_px + kGap_px) * static_cast<double>(panels.size() - 1);
  if (std::isfinite(half.rise_s))
    drawing.text(
        {4.0, outlet_px + 50.0},
        "half " + output::shown(half.rise_s - commands.open_s, output::Measure::kTime, units, 1) +
            " after open",
        {10.5, output::Anchor::kStart, output::kMuted});
  if (std::isfinite(half.fall_s))
    drawing.text(
        {4.0, outlet_px + 64.0},
        "half " + output::shown(half.fall_s - commands.close_s, output::Measure::kTime, units, 1) +
            " after close",
        {10.5, output::Anchor::kStart, output::kMuted});
  for (std::size_t i = 0; i < panels.size(); ++i)
    draw_panel(drawing, panels[i], history, x_axis,
               kTop_px + (kPanel_px + kGap_px) * static_cast<double>(i));
  return drawing.inline_svg(
      "pulse", "One pulse from command to jet",
      "Five panels over one time axis in milliseconds after the open command: command, coil "
      "current, plunger lift, flow at the valve and flow at the outlet. Dashed lines mark the open "
      "and the close command.");
}

}  // namespace sim::run
