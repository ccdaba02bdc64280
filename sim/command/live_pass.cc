#include "sim/command/live_pass.h"

#include <fmt/format.h>

#include <algorithm>
#include <thread>

namespace sim::command {
namespace {

constexpr auto kLook = std::chrono::milliseconds(50);  // for an interrupt while it waits
constexpr double kLate_s = 0.2;

}  // namespace

std::string live_line(const bench::LiveSecond& second, output::Units units) {
  return fmt::format("{:5.0f} s  {}  {} row{}: {} seeds, {} pulses, {} at {}", second.at_s,
                     output::shown(second.speed_mps, output::Measure::kSpeed, units, 1),
                     second.rows, second.rows == 1 ? "" : "s", second.seeds, second.pulses,
                     output::shown(second.liquid_m3, output::Measure::kFlow, units, 2),
                     output::shown(second.pressure_pa, output::Measure::kPressure, units, 2));
}

void LivePass::second(const bench::LiveSecond& second) {
  using Clock = std::chrono::steady_clock;
  if (first_s_ < 0.0) {
    start_ = Clock::now();
    first_s_ = second.at_s;
  }
  const double spent_s = std::chrono::duration<double>(Clock::now() - start_).count();
  const double passed_s = second.at_s - first_s_;
  std::string line = live_line(second, units_);
  if (pace_ == 0 && spent_s > 0.0 && passed_s > 0.0)
    line += fmt::format("  {:.1f} x real time", passed_s / spent_s);
  if (pace_ > 0 && spent_s > passed_s / pace_ + kLate_s)
    line += fmt::format("  late: {:.1f} x real time", passed_s / spent_s);
  std::fputs((line + "\n").c_str(), to_);
  std::fflush(to_);
  if (pace_ == 0) return;
  const Clock::time_point due = start_ + std::chrono::duration_cast<Clock::duration>(
                                             std::chrono::duration<double>(passed_s / pace_));
  while (Clock::now() < due && !stop_.load(std::memory_order_relaxed))
    std::this_thread::sleep_until(std::min(due, Clock::now() + kLook));
}

}  // namespace sim::command
