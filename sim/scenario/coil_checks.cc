#include "sim/scenario/coil_checks.h"

#include <cmath>

#include "model/valve/solenoid.h"
#include "sim/text/quantity.h"

namespace sim::scenario {
namespace {

std::string shown(double value_si, text::Kind kind, const char* unit) {
  return "\"" + text::format_quantity(value_si, kind, unit) + "\"";
}

}  // namespace

CoilTrouble coil_trouble(const model::Valve& valve, double pressure_pa, double supply_v) {
  const model::Coil& coil = valve.coil;
  if (coil.clamp_v > 0.0 && coil.clamp_v < supply_v)
    return {"coil.clamp", "would conduct while the bridge drives; must be the supply of " +
                              shown(supply_v, text::Kind::kVoltage, "V") +
                              " or more, or 0 V for the supply itself"};
  if (coil.force_law == model::ForceLaw::kLinear) return {};
  const model::Reluctance& iron = coil.reluctance;
  const double travel_m = valve.plunger.travel_m;
  if (!(iron.gap_m > travel_m))
    return {"coil.gap", "must be above the plunger's travel of " +
                            shown(travel_m, text::Kind::kLength, "mm") +
                            ": a gap that closes wholly has no reluctance left"};
  if (!(iron.leakage_h < coil.inductance_h))
    return {"coil.leakage", "must be below coil.inductance, which counts it in: " +
                                shown(coil.inductance_h, text::Kind::kInductance, "mH")};
  if (iron.saturation_vs == 0.0) {
    if (iron.half_current_a > 0.0)
      return {"coil.half_current", "belongs to coil.saturation, which is not stated"};
    return {};
  }
  if (!(iron.leakage_h > 0.0))
    return {"coil.leakage",
            "must be above 0 where coil.saturation is stated: saturated iron leaves "
            "the winding its leakage alone"};
  const double gap_h = coil.inductance_h - iron.leakage_h;
  const double most_a = iron.saturation_vs / gap_h;
  if (!(iron.half_current_a < most_a))
    return {"coil.half_current",
            "leaves no inductance to the gap; must be below saturation over the inductance without "
            "leakage: " +
                shown(most_a, text::Kind::kCurrent, "A")};
  const double needed_n = model::opening_force_n(valve, pressure_pa);
  const double largest_n = model::largest_pull_n(coil);
  if (largest_n <= needed_n)
    return {"coil.saturation", "saturates below the force that opens the valve; must be above " +
                                   shown(iron.saturation_vs * std::sqrt(needed_n / largest_n),
                                         text::Kind::kFluxLinkage, "mWb")};
  return {};
}

}  // namespace sim::scenario
