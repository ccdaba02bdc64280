#include "sim/scenario/fault_severity.h"

#include <fmt/format.h>

#include <algorithm>

#include "shared/check.h"

namespace sim::scenario {
namespace {

enum class Size : std::uint8_t { kAmount, kTime, kLasts, kBits, kOnly };

struct Sizes {
  std::string_view kind;
  Size size;
  std::array<double, 3> values;  // tidy: unit is that of the size: a share, or seconds
  double other = 0.0;            // tidy: unit s; `by` of a fault whose size is its amount
  double amount_ratio = 0.0;     // of a fault whose size is a time
};

constexpr Sizes kSizes[] = {
    // sensor
    {"late_edges", Size::kTime, {0.5e-3, 2e-3, 5e-3}},
    {"jittered_edges", Size::kTime, {0.2e-3, 1e-3, 3e-3}},
    {"lost_edges", Size::kAmount, {0.03, 0.10, 0.30}},
    {"doubled_edges", Size::kAmount, {0.03, 0.10, 0.30}, 5e-3},
    {"edge_bursts", Size::kAmount, {0.03, 0.10, 0.30}},
    // speed
    {"lost_speed", Size::kLasts, {0.25, 0.5, 1.5}},
    {"speed_error", Size::kLasts, {0.25, 0.5, 1.5}},
    {"speed_not_available", Size::kLasts, {0.25, 0.5, 1.5}},
    {"direction_error", Size::kLasts, {0.25, 0.5, 1.5}},
    {"direction_not_available", Size::kLasts, {0.25, 0.5, 1.5}},
    {"stale_speed", Size::kLasts, {0.25, 0.5, 1.5}},
    {"lost_course", Size::kLasts, {0.25, 0.5, 1.5}},
    {"speed_too_high", Size::kAmount, {0.02, 0.05, 0.20}},
    {"speed_too_low", Size::kAmount, {0.02, 0.05, 0.20}},
    // valve, driver and column
    {"plugged_outlet", Size::kAmount, {0.05, 0.20, 0.60}},
    {"plugged_valve", Size::kAmount, {0.05, 0.20, 0.60}},
    {"weak_spring", Size::kAmount, {0.05, 0.15, 0.40}},
    {"sticking_plunger", Size::kAmount, {0.02, 0.10, 0.30}},
    {"leaking_valve", Size::kAmount, {0.005, 0.02, 0.10}},
    {"hot_coil", Size::kAmount, {0.10, 0.25, 0.50}},
    {"open_coil", Size::kLasts, {0.05, 0.2, 1.0}},
    {"driver_stuck_on", Size::kLasts, {0.05, 0.2, 1.0}},
    {"lost_fast_decay", Size::kLasts, {0.2, 0.5, 1.5}},
    // supply and pressure
    {"low_voltage", Size::kAmount, {0.05, 0.10, 0.25}},
    {"high_voltage", Size::kAmount, {0.05, 0.10, 0.25}},
    {"pressure_sag", Size::kAmount, {0.05, 0.15, 0.40}},
    {"pressure_rise", Size::kAmount, {0.05, 0.15, 0.40}},
    {"stuck_regulator", Size::kLasts, {0.2, 0.5, 1.5}},
    {"second_regulator", Size::kAmount, {0.05, 0.15, 0.40}},
    {"dead_meter", Size::kLasts, {0.2, 0.5, 1.5}},
    {"lying_meter", Size::kAmount, {0.03, 0.10, 0.30}},
    {"stuck_lift_signal", Size::kLasts, {0.5, 1.0, 1.5}},
    // frames between machine and rows
    {"lost_frames", Size::kAmount, {0.02, 0.20, 0.80}},
    {"late_frames", Size::kTime, {20e-3, 100e-3, 400e-3}, 0.0, 0.5},
    {"repeated_frames", Size::kAmount, {0.02, 0.20, 0.80}},
    {"reordered_frames", Size::kAmount, {0.02, 0.20, 0.80}},
    {"corrupted_frames", Size::kAmount, {0.02, 0.10, 0.50}},
    {"short_frames", Size::kAmount, {0.02, 0.10, 0.50}},
    // controllers
    {"restarted_row", Size::kTime, {20e-3, 200e-3, 1.0}},
    {"restarted_machine", Size::kTime, {20e-3, 200e-3, 1.0}},
    {"missed_kick", Size::kLasts, {0.05, 0.2, 1.0}},
    {"missed_machine_kick", Size::kLasts, {0.05, 0.2, 1.0}},
    {"dipped_row", Size::kTime, {20e-3, 200e-3, 1.0}, 0.0, 0.6},
    {"dipped_machine", Size::kTime, {20e-3, 200e-3, 1.0}, 0.0, 0.6},
    // radio and the bus in the cab
    {"radio_jammed", Size::kLasts, {0.25, 0.5, 1.5}},
    {"lost_cab_link", Size::kLasts, {0.25, 0.5, 1.5}},
    {"bus_off", Size::kLasts, {0.25, 0.5, 1.5}},
    {"busy_bus", Size::kAmount, {0.3, 0.6, 0.95}},
    // storage
    {"storage_cut", Size::kTime, {20e-3, 200e-3, 1.0}},
    {"storage_damaged", Size::kBits, {1.0, 16.0, 512.0}},
    {"storage_worn", Size::kOnly, {1.0, 1.0, 1.0}},
};

const Sizes& sizes_of(std::string_view kind) {
  const auto* const found = std::find_if(std::begin(kSizes), std::end(kSizes),
                                         [&](const Sizes& sizes) { return sizes.kind == kind; });
  EXPECTS(found != std::end(kSizes));
  return *found;
}

}  // namespace

void take_severity(FaultEntry& entry, Severity severity) {
  const Sizes& sizes = sizes_of(entry.kind);
  const double value = sizes.values[static_cast<std::size_t>(severity)];
  switch (sizes.size) {
    case Size::kAmount:
      entry.amount_ratio = value;
      entry.by_s = sizes.other;
      break;
    case Size::kTime:
      entry.by_s = value;
      entry.amount_ratio = sizes.amount_ratio;
      break;
    case Size::kLasts: entry.until_s = entry.from_s + value; break;
    case Size::kBits: entry.bits = static_cast<int>(value); break;
    case Size::kOnly: break;
  }
  if (entry.kind == "storage_cut") {  // within the first copy of a configuration
    entry.write = 3;
    entry.bytes = 20;
  }
  // What is left of a controller's memory gets worse with the severity.
  if (entry.kind.starts_with("restarted")) entry.cause = 1;  // its watchdog
  if (entry.kind.starts_with("restarted") || entry.kind.starts_with("dipped"))
    entry.retained = static_cast<int>(severity);
}

std::string severity_words(std::string_view kind) {
  constexpr double kSpeed_mmps = 16.0 / 3.6 * 1e3;
  const Sizes& sizes = sizes_of(kind);
  const auto& [mild, medium, severe] = sizes.values;
  if (sizes.size == Size::kAmount)
    return fmt::format("{:g} %, {:g} %, {:g} %", 100.0 * mild, 100.0 * medium, 100.0 * severe);
  if (sizes.size == Size::kBits) return fmt::format("{:g}, {:g}, {:g} bits", mild, medium, severe);
  if (sizes.size == Size::kOnly) return "all alike";
  if (sizes.size == Size::kTime && severe < 10e-3)
    return fmt::format("{:g} ms, {:g} ms, {:g} ms ({:.0f}, {:.0f}, {:.0f} mm at 16 km/h)",
                       1e3 * mild, 1e3 * medium, 1e3 * severe, kSpeed_mmps * mild,
                       kSpeed_mmps * medium, kSpeed_mmps * severe);
  return fmt::format("{}{:g} s, {:g} s, {:g} s ({:.1f}, {:.1f}, {:.1f} m at 16 km/h)",
                     sizes.size == Size::kLasts ? "for " : "", mild, medium, severe,
                     1e-3 * kSpeed_mmps * mild, 1e-3 * kSpeed_mmps * medium,
                     1e-3 * kSpeed_mmps * severe);
}

}  // namespace sim::scenario
