#include "sim/study/valve/trace/trace_commands.h"

#include <algorithm>
#include <string>

#include "sim/scenario/loader.h"
#include "sim/statistics/spread.h"
#include "sim/text/quantity.h"

namespace sim::valve {
namespace {

constexpr double kChopperPause_s = 0.5e-3;

double round_text_level(float level) { return static_cast<double>(level); }

[[noreturn]] void fail_no_command(const char* column, float low, float high) {
  throw text::InputError(
      std::string("the trace shows no pulse: ") + column + " goes from " +
      text::shortest_text(round_text_level(low)) + " to " +
      text::shortest_text(round_text_level(high)) +
      "; a pulse needs an off level, a higher on level, and off again before the end");
}

// A chopped voltage falls and returns within the chopper's pause: that is one command.
void join_chopped(const ValveTrace& trace, std::vector<TraceCommand>& commands) {
  std::vector<TraceCommand> joined;
  for (const TraceCommand& next : commands) {
    const bool same = !joined.empty() &&
                      trace.time_s[next.on] - trace.time_s[joined.back().off] < kChopperPause_s;
    if (same)
      joined.back().off = next.off;
    else
      joined.push_back(next);
  }
  commands = std::move(joined);
}

}  // namespace

TraceClock clock_of(const ValveTrace& trace) {
  const std::vector<double>& t_s = trace.time_s;
  TraceClock clock;
  std::vector<double> steps_s;
  const std::size_t stride = std::max<std::size_t>(1, t_s.size() / 20'000);
  for (std::size_t k = 1; k < t_s.size(); k += stride) steps_s.push_back(t_s[k] - t_s[k - 1]);
  std::sort(steps_s.begin(), steps_s.end());
  clock.step_s = statistics::upper_median_of(steps_s);
  // A coarse clock writes steps of one and two units; such steps are no gaps.
  const double usual_s = steps_s[steps_s.size() * 9 / 10];
  clock.gap_from_s = 1.6 * std::min(usual_s, 2.0 * clock.step_s);
  for (std::size_t k = 1; k < t_s.size(); ++k) {
    const double step_s = t_s[k] - t_s[k - 1];
    if (step_s <= clock.gap_from_s) continue;
    ++clock.gaps;
    clock.longest_gap_s = std::max(clock.longest_gap_s, step_s);
  }
  return clock;
}

std::vector<TraceCommand> commands_of(const ValveTrace& trace) {
  const bool commanded = !trace.command_ratio.empty();
  const std::vector<float>& level = commanded ? trace.command_ratio : trace.voltage_v;
  const auto [lowest, highest] = std::minmax_element(level.begin(), level.end());
  const float high = *highest;
  const float low = commanded ? *lowest : std::max(*lowest, 0.0f);  // fast decay is below zero
  const char* column = commanded ? "command" : "voltage";
  if (!(high > low)) fail_no_command(column, *lowest, high);
  const float on_from = low + 0.6f * (high - low), off_from = low + 0.4f * (high - low);
  std::vector<TraceCommand> commands;
  bool driven = level[0] > on_from;  // a pulse whose start is not in the trace does not count
  bool whole = false;
  for (std::size_t k = 1; k < level.size(); ++k) {
    if (!driven && level[k] > on_from) {
      driven = whole = true;
      commands.push_back({k, k});
    } else if (driven && level[k] < off_from) {
      driven = false;
      if (whole) commands.back().off = k;
      whole = false;
    }
  }
  if (whole) commands.pop_back();  // the end of the last command is not in the trace
  if (!commanded) join_chopped(trace, commands);
  if (commands.empty()) fail_no_command(column, *lowest, high);
  return commands;
}

std::vector<Stretch> rest_before(const ValveTrace& trace,
                                 const std::vector<TraceCommand>& commands) {
  std::vector<Stretch> rests;
  std::size_t free_from = 0;
  for (const TraceCommand& command : commands) {
    const std::size_t pause = command.on - free_from;
    const bool first = free_from == 0;
    Stretch rest{first ? 0 : command.on - pause / 3, command.on > 1 ? command.on - 1 : 0};
    // The current needs about 3 ms to fade after a pulse; a rest that begins earlier is left empty.
    if (!first && trace.time_s[rest.from] - trace.time_s[free_from] < 3e-3) rest.to = rest.from;
    rests.push_back(rest);
    free_from = command.off;
  }
  return rests;
}

}  // namespace sim::valve
