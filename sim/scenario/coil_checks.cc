#include "sim/scenario/coil_checks.h"

#include <cmath>

#include "model/valve/copper.h"
#include "model/valve/solenoid.h"
#include "sim/text/quantity.h"

namespace sim::scenario {
namespace {

std::string shown(double value_si, text::Kind kind, const char* unit) {
  return "\"" + text::format_quantity(value_si, kind, unit) + "\"";
}

CoilTrouble chopper_trouble(const model::Coil& coil, const CoilDrive& drive) {
  if (!(coil.chop_hz > 0.0)) return {};
  const auto hz = [](double rate_hz) { return shown(rate_hz, text::Kind::kFrequency, "Hz"); };
  if (!(drive.limit_a > 0.0))
    return {"coil.chop", "is the clock of a current limit, and there is none: state current_limit"};
  // One edge of the clock in a step at most: a duty within the step is computed for that.
  if (2.0 * drive.step_s * coil.chop_hz > 1.0 + 1e-12)
    return {"coil.chop", hz(coil.chop_hz) +
                             " has a period below two steps of the solver: at most " +
                             hz(0.5 / drive.step_s) + ", or a shorter solver.step"};
  if (drive.on_time_s > 0.0 && coil.chop_hz * drive.on_time_s < 1.0)
    return {"coil.chop", hz(coil.chop_hz) +
                             " has a period longer than a command, so the switch would not turn on "
                             "again within one: at least " +
                             hz(1.0 / drive.on_time_s) + ", or 0 Hz for an ideal limit"};
  return {};
}

/// What the table of linkage has to reach, and the pull that it must give.
CoilTrouble table_trouble(const model::Valve& valve, double pressure_pa, const CoilDrive& drive) {
  const model::LinkageTable& table = valve.coil.table;
  const auto ampere = [](double current_a) { return shown(current_a, text::Kind::kCurrent, "A"); };
  if (table.lift_m.empty())
    return {"coil.force_law",
            "\"table\" needs coil.table: a CSV file with lift, current, and linkage or inductance"};
  if (table.lift_m.front() > 0.0 || table.lift_m.back() < valve.plunger.travel_m)
    return {"coil.table", "has lifts from " +
                              shown(table.lift_m.front(), text::Kind::kLength, "mm") + " to " +
                              shown(table.lift_m.back(), text::Kind::kLength, "mm") +
                              "; must cover \"0 mm\" to the plunger's travel of " +
                              shown(valve.plunger.travel_m, text::Kind::kLength, "mm") +
                              ": measure with the plunger held at both ends"};
  const double driven_a =
      drive.supply_v / model::copper_ohm(valve.coil.resistance_ohm, valve.coil.temperature_k);
  const bool limited = drive.limit_a > 0.0 && drive.limit_a < driven_a;
  const double most_a = limited ? drive.limit_a : driven_a;
  if (table.current_a.back() < most_a)
    return {"coil.table", "has currents up to " + ampere(table.current_a.back()) + "; " +
                              (limited ? "the current limit is " : "the supply drives up to ") +
                              ampere(most_a) + ": measure up to that" +
                              (limited ? "" : ", or state a lower current limit")};
  const double needed_n = model::opening_force_n(valve, pressure_pa);
  const double pull_n = model::pull_of_current_n(valve.coil, most_a, 0.0);
  if (pull_n <= needed_n)
    return {"coil.table", "pulls " + shown(pull_n, text::Kind::kForce, "N") + " at the seat with " +
                              ampere(most_a) + "; the valve opens above " +
                              shown(needed_n, text::Kind::kForce, "N") +
                              ": lower the pressure or the preload, or raise the current"};
  return {};
}

}  // namespace

CoilTrouble coil_trouble(const model::Valve& valve, double pressure_pa, const CoilDrive& drive) {
  const model::Coil& coil = valve.coil;
  if (coil.clamp_v > 0.0 && coil.clamp_v < drive.supply_v)
    return {"coil.clamp", "would conduct while the bridge drives; must be the supply of " +
                              shown(drive.supply_v, text::Kind::kVoltage, "V") +
                              " or more, or 0 V for the supply itself"};
  if (const CoilTrouble trouble = chopper_trouble(coil, drive); !trouble.key.empty())
    return trouble;
  if (coil.force_law == model::ForceLaw::kTable) return table_trouble(valve, pressure_pa, drive);
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
