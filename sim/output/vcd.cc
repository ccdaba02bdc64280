#include "sim/output/vcd.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <string_view>

#include "shared/check.h"
#include "sim/output/number_text.h"

namespace sim::output {
namespace {

struct Wire {
  std::string_view scope, name;
  bool measure::WaveInstant::* value;
};
struct Real {
  std::string_view scope, name, csv_name;
  double measure::WaveInstant::* value_si;
  double shown_ratio;  // shown = SI * this
};

constexpr std::array kWires{
    Wire{"sensor", "covered", &measure::WaveInstant::covered},
    Wire{"controller", "valve_commanded", &measure::WaveInstant::valve_commanded},
    Wire{"controller", "lowered", &measure::WaveInstant::lowered},
    Wire{"controller", "event", &measure::WaveInstant::event},
    Wire{"valve", "drive", &measure::WaveInstant::drive},
    Wire{"valve", "fast_decay", &measure::WaveInstant::fast_decay},
    Wire{"valve", "reverse", &measure::WaveInstant::reverse},
    Wire{"ground", "wanted", &measure::WaveInstant::wanted},
    Wire{"ground", "own_liquid", &measure::WaveInstant::own_liquid},
};
constexpr std::array kReals{
    Real{"valve", "supply_V", "supply_voltage_v", &measure::WaveInstant::supply_voltage_v, 1.0},
    Real{"valve", "current_A", "current_a", &measure::WaveInstant::current_a, 1.0},
    Real{"valve", "lift_mm", "lift_m", &measure::WaveInstant::lift_m, 1e3},
    Real{"valve", "flow_mlps", "valve_flow_m3ps", &measure::WaveInstant::valve_flow_m3ps, 1e6},
    Real{"column", "supply_bar", "supply_pressure_pa", &measure::WaveInstant::supply_pressure_pa,
         1e-5},
    Real{"column", "hose_end_bar", "hose_end_pressure_pa",
         &measure::WaveInstant::hose_end_pressure_pa, 1e-5},
    Real{"column", "valve_exit_bar", "valve_exit_pressure_pa",
         &measure::WaveInstant::valve_exit_pressure_pa, 1e-5},
    Real{"column", "outlet_bar", "outlet_pressure_pa", &measure::WaveInstant::outlet_pressure_pa,
         1e-5},
    Real{"column", "outlet_mlps", "outlet_flow_m3ps", &measure::WaveInstant::outlet_flow_m3ps, 1e6},
    Real{"ground", "landing_m", "landing_x_ground_m", &measure::WaveInstant::landing_x_ground_m,
         1.0},
};
constexpr std::array<std::string_view, 5> kScopes{"sensor", "controller", "valve", "column",
                                                  "ground"};
constexpr std::string_view kSeedCode = "s";

// One printable character each, different from the code of the seed number.
char wire_code(std::size_t wire) { return static_cast<char>('!' + wire); }
char real_code(std::size_t real) { return static_cast<char>('A' + real); }

// A real as well: some readers of one-bit signals fail on vectors, but skip reals.
std::string seed_change(std::int32_t number) { return fmt::format("r{} {}\n", number, kSeedCode); }

std::string header(const measure::Waveform& wave) {
  std::string text;
  for (const std::string& note : wave.notes) text += fmt::format("$comment {} $end\n", note);
  text += "$timescale 1 us $end\n$scope module row $end\n";
  for (const std::string_view scope : kScopes) {
    text += fmt::format("$scope module {} $end\n", scope);
    for (std::size_t k = 0; k < kWires.size(); ++k)
      if (kWires[k].scope == scope)
        text += fmt::format("$var wire 1 {} {} $end\n", wire_code(k), kWires[k].name);
    for (std::size_t k = 0; k < kReals.size(); ++k)
      if (kReals[k].scope == scope)
        text += fmt::format("$var real 64 {} {} $end\n", real_code(k), kReals[k].name);
    if (scope == "controller") text += fmt::format("$var real 64 {} seed_number $end\n", kSeedCode);
    text += "$upscope $end\n";
  }
  return text + "$upscope $end\n$enddefinitions $end\n";
}

/// The signals that differ from the instant before; all of them at the first instant.
std::string changes(const measure::WaveInstant& now, const measure::WaveInstant* before) {
  std::string text;
  for (std::size_t k = 0; k < kWires.size(); ++k) {
    const bool value = now.*kWires[k].value;
    if (before == nullptr || value != before->*kWires[k].value)
      text += fmt::format("{}{}\n", value ? 1 : 0, wire_code(k));
  }
  if (before == nullptr || now.seed_number != before->seed_number)
    text += seed_change(now.seed_number);
  for (std::size_t k = 0; k < kReals.size(); ++k) {
    const double value_si = now.*kReals[k].value_si;
    if (before == nullptr || value_si != before->*kReals[k].value_si)
      text += fmt::format("r{:.16g} {}\n", value_si * kReals[k].shown_ratio, real_code(k));
  }
  return text;
}

std::int64_t microsecond(shared::Instant at) { return at.ns / 1000; }

}  // namespace

std::string vcd_text(const measure::Waveform& wave) {
  std::string text = header(wave);
  measure::WaveInstant shown;
  bool first = true;
  for (std::size_t k = 0; k < wave.instants.size(); ++k) {
    measure::WaveInstant now = wave.instants[k];
    EXPECTS(k == 0 || wave.instants[k - 1].at <= now.at);
    const std::int64_t at_us = microsecond(now.at);
    bool event = now.event;
    while (k + 1 < wave.instants.size() && microsecond(wave.instants[k + 1].at) == at_us) {
      now = wave.instants[++k];
      event = event || now.event;
    }
    now.event = event;
    if (std::isnan(now.landing_x_ground_m))
      now.landing_x_ground_m = first ? 0.0 : shown.landing_x_ground_m;
    const std::string changed = changes(now, first ? nullptr : &shown);
    if (first)
      text += fmt::format("#{}\n$dumpvars\n{}$end\n", at_us, changed);
    else if (!changed.empty())
      text += fmt::format("#{}\n{}", at_us, changed);
    first = false;
    shown = now;
    const bool next_is_later =
        k + 1 == wave.instants.size() || microsecond(wave.instants[k + 1].at) > at_us + 1;
    if (event && next_is_later) {
      shown.event = false;
      text += fmt::format("#{}\n{}", at_us + 1, changes(shown, &now));
    }
  }
  return text;
}

std::string wave_csv(const measure::Waveform& wave) {
  std::string text = "time_s";
  for (const Wire& wire : kWires) text += fmt::format(",{}", wire.name);
  text += ",seed_number";
  for (const Real& real : kReals) text += fmt::format(",{}", real.csv_name);
  text += "\n";
  for (const measure::WaveInstant& now : wave.instants) {
    EXPECTS(now.at.ns >= 0);
    // from whole nanoseconds, because a product in seconds would show its rounding
    text += fmt::format("{}.{:09}", now.at.ns / 1'000'000'000, now.at.ns % 1'000'000'000);
    for (const Wire& wire : kWires) text += now.*wire.value ? ",1" : ",0";
    text += fmt::format(",{}", now.seed_number);
    for (const Real& real : kReals) text += "," + number_text(now.*real.value_si);
    text += "\n";
  }
  return text;
}

}  // namespace sim::output
