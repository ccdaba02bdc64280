#include "sim/study/delay/holding_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "sim/output/json_text.h"

namespace sim::delay {
namespace {

constexpr int kMoreDecimals = 3;

struct Ends {
  double low_si = 0.0;
  double high_si = 0.0;
};

Ends ends_of(const std::vector<double>& values_si) {
  if (values_si.empty()) return {};
  const auto [low, high] = std::minmax_element(values_si.begin(), values_si.end());
  return {*low, *high};
}

std::string span_of(const std::vector<double>& values_si, output::Measure measure,
                    output::Units units) {
  const Ends ends = ends_of(values_si);
  return span_words(ends.low_si, ends.high_si, measure, units);
}

/// Seeds of one speed: those of all rows in both passes.
int seeds_of(const scenario::Scenario& scenario) {
  const int rows = std::max(1, scenario.row.count);
  return kReportKeys * rows * std::max(1, scenario.tuning.seeds / rows);
}

nlohmann::ordered_json ends_json(const std::vector<double>& values_si) {
  const Ends ends = ends_of(values_si);
  return {{"low", output::number_or_null(ends.low_si)},
          {"high", output::number_or_null(ends.high_si)}};
}

}  // namespace

std::string span_words(double low_si, double high_si, output::Measure measure,
                       output::Units units) {
  const output::ShownUnit unit = output::shown_unit(measure, units);
  if (low_si == high_si) return output::shown(low_si, measure, units);
  for (int more = 0; more <= kMoreDecimals; ++more) {
    const std::string low = output::shown_number(low_si, unit, unit.decimals + more);
    const std::string high = output::shown(high_si, measure, units, unit.decimals + more);
    if (!high.starts_with(low + " ") && high != low) return low + " to " + high;
  }
  return output::shown(low_si, measure, units);
}

std::string holding_words(const scenario::Scenario& scenario, const Judging& judging,
                          output::Units units) {
  return fmt::format(
      "at least 95 % of the sensed seeds within {} (the share itself, without an interval), each "
      "row with the trim of its strip test, noise as the scenario states it; {} passes of {} rows, "
      "{} seeds at each speed; {}, {}, spacing {}",
      output::shown_plain(10e-3, output::Measure::kPlace, units,
                          units == output::Units::kUs ? 1 : 0),
      kReportKeys, scenario.row.count, seeds_of(scenario),
      span_of(judging.temperatures_k, output::Measure::kTemperature, units),
      span_of(judging.voltages_v, output::Measure::kVoltage, units),
      span_of(judging.spacings_m, output::Measure::kPlace, units));
}

nlohmann::ordered_json holding_json(const scenario::Scenario& scenario, const Judging& judging) {
  nlohmann::ordered_json speeds = nlohmann::ordered_json::array();
  for (const double speed_mps : judging.speeds_mps)
    speeds.push_back(output::number_or_null(speed_mps));
  return {{"tolerance_m", 0.01},
          {"at_least_ratio", 0.95},
          {"of", "the share itself, not its lower bound"},
          {"row_trims", true},
          {"passes", kReportKeys},
          {"rows", scenario.row.count},
          {"seeds", seeds_of(scenario)},
          {"temperature_k", ends_json(judging.temperatures_k)},
          {"voltage_v", ends_json(judging.voltages_v)},
          {"spacing_m", ends_json(judging.spacings_m)},
          {"speeds_mps", speeds}};
}

}  // namespace sim::delay
