#include "sim/study/delay/delay_box.h"

#include <cmath>

#include "sim/scenario/loader.h"
#include "sim/study/tune/table_reading.h"

namespace sim::delay {
namespace {

constexpr double kTemperatureSteps_k[] = {2.0, 4.0, 6.0, 8.0, 12.0};
constexpr double kPressureSteps_ratio[] = {0.05, 0.1, 0.15, 0.2, 0.3};
constexpr double kVoltageSteps_v[] = {0.5, 1.0, 1.5, 2.0, 3.0};

/// One direction of one variable: conditions outward from the middle, and the variable's values.
struct Ray {
  std::vector<DelayCondition> conditions;
  std::vector<double> values_si;
};

/// The last value of a ray up to which all values from the middle hold.
struct RayEnd {
  double value_si = statistics::kNone_ratio;
  bool open = false;
};

RayEnd end_of(const Ray& ray, const std::vector<bool>& holds, std::size_t first, double middle_si) {
  RayEnd end{middle_si, true};
  for (std::size_t k = 0; k < ray.conditions.size(); ++k) {
    if (!holds[first + k]) return {end.value_si, false};
    end.value_si = ray.values_si[k];
  }
  return end;
}

class Box {
 public:
  Box(const DelayInputs& inputs, const DelayPlan& plan)
      : inputs_(inputs), middle_(judged_condition(inputs, plan)) {}

  const DelayCondition& middle() const { return middle_; }

  Ray temperatures(double sign_ratio, bool entered) const {
    Ray ray;
    for (const double step_k : kTemperatureSteps_k) {
      DelayCondition one = middle_;
      one.temperature_k += sign_ratio * step_k;
      try {
        inputs_.liquid_at(one.temperature_k);
      } catch (const text::InputError&) {
        break;  // the catalog ends here
      }
      if (!entered) one.believed_viscosity_pas = inputs_.scenario.liquid.liquid.viscosity_pas;
      ray.conditions.push_back(one);
      ray.values_si.push_back(one.temperature_k);
    }
    return ray;
  }
  Ray pressures(double sign_ratio, double middle_pa) const {
    Ray ray;
    for (const double step_ratio : kPressureSteps_ratio) {
      DelayCondition one = middle_;
      one.pressure_ratio = 1.0 + sign_ratio * step_ratio;
      ray.conditions.push_back(one);
      ray.values_si.push_back(one.pressure_ratio * middle_pa);
    }
    return ray;
  }
  Ray voltages(double sign_ratio) const {
    Ray ray;
    for (const double step_v : kVoltageSteps_v) {
      DelayCondition one = middle_;
      one.voltage_v += sign_ratio * step_v;
      if (one.voltage_v <= 0.0) break;
      ray.conditions.push_back(one);
      ray.values_si.push_back(one.voltage_v);
    }
    return ray;
  }

 private:
  const DelayInputs& inputs_;
  DelayCondition middle_;
};

HeldRange joined(const RayEnd& low, const RayEnd& high) {
  return {low.value_si, high.value_si, low.open, high.open};
}

}  // namespace

DelayBox find_box(const DelayInputs& inputs, const DelayPlan& plan,
                  const sillion_attachment_table& table, const DelayReport& report,
                  const SeeingOptions& options) {
  const Box box(inputs, plan);
  const scenario::Scenario& scenario = inputs.scenario;
  DelayBox found;
  found.speed_mps = box.middle().speed_mps;
  found.pressure_pa =
      tune::read_table(table, scenario.rate.in_band_m3pm2 * scenario.row.width_m * found.speed_mps)
          .pressure_pa;
  const Ray rays[] = {box.temperatures(-1.0, true),
                      box.temperatures(1.0, true),
                      box.temperatures(-1.0, false),
                      box.temperatures(1.0, false),
                      box.pressures(-1.0, found.pressure_pa),
                      box.pressures(1.0, found.pressure_pa),
                      box.voltages(-1.0),
                      box.voltages(1.0)};
  std::vector<DelayCondition> conditions{box.middle()};
  for (const Ray& ray : rays)
    conditions.insert(conditions.end(), ray.conditions.begin(), ray.conditions.end());
  const std::vector<SeenCondition> seen = see_conditions(inputs, conditions, table, options);
  std::vector<bool> holds;
  const auto rows = static_cast<std::size_t>(scenario.row.count);
  for (const SeenCondition& one : seen) {
    const SeenCondition* only[] = {&one};
    holds.push_back(
        held_share({only, std::span(report.strips.trims_m).first(rows)}, scenario, 0).holds);
  }
  if (!holds[0]) return found;  // even the middle fails: the box is empty
  RayEnd ends[8];
  std::size_t first = 1;
  const double middles_si[] = {scenario.liquid.temperature_k, scenario.liquid.temperature_k,
                               found.pressure_pa, scenario.supply.voltage_v};
  for (std::size_t k = 0; k < 8; ++k) {
    ends[k] = end_of(rays[k], holds, first, middles_si[k / 2]);
    first += rays[k].conditions.size();
  }
  found.temperature_k = joined(ends[0], ends[1]);
  found.temperature_unentered_k = joined(ends[2], ends[3]);
  found.pressure_si = joined(ends[4], ends[5]);
  found.voltage_si = joined(ends[6], ends[7]);
  return found;
}

}  // namespace sim::delay
