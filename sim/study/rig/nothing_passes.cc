#include "sim/study/rig/nothing_passes.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/valve/solenoid.h"
#include "shared/units.h"
#include "sim/study/rig/valve_drive.h"

namespace sim::rig {
namespace {

std::string pressure_words(double pressure_pa, output::Units units) {
  return output::shown(pressure_pa, output::Measure::kPressure, units);
}

/// Pressure that the liquid's own height takes from the supply to the outlet.
double head_pa(const RigSetup& setup) {
  return setup.liquid.liquid.density_kgpm3 * shared::kStandardGravity_mps2 *
         (setup.part.hose.rise_m + setup.part.tube.rise_m);
}

std::string shut_words(const RigSetup& setup, output::Units units) {
  const model::Valve& valve = setup.part.valve;
  const OpeningCurrent current = opening_current(setup);
  const double missing_n = model::pull_of_current_n(valve.coil, current.needed_a, 0.0) -
                           model::pull_of_current_n(valve.coil, current.reached_a, 0.0);
  const double highest_pa = setup.supply_pa - missing_n / model::seat_area_m2(valve.seat);
  std::string words = cannot_open_words(setup);
  words.front() = 'T';
  words += fmt::format(". It would open with more than {:.3g} A (raise {})", current.needed_a,
                       current.limited ? "valve.coil.current_limit" : "valve.coil.supply");
  return words + (highest_pa > 0.0 ? " or below " + pressure_words(highest_pa, units) +
                                         " (lower supply.pressure)"
                                   : " or with a weaker spring (lower valve.plunger.preload)");
}

}  // namespace

std::string nothing_passes_words(const RigResult& result, output::Units units) {
  const RigSetup& setup = result.setup;
  if (setup.inlet != RigInlet::kChain || result.pulses.empty()) return {};
  if (!opening_current(setup).opens()) return shut_words(setup, units);
  if (result.steady_flow_m3ps <= 0.0 && setup.end.kind == model::EndKind::kOrifice)
    return fmt::format(
        "Nothing passes: the outlet lies {:.3g} m above the supply, which takes {}, and the supply "
        "gives {}. Raise supply.pressure above {} or lower hose.rise and tube.rise",
        setup.part.hose.rise_m + setup.part.tube.rise_m, pressure_words(head_pa(setup), units),
        pressure_words(setup.supply_pa, units), pressure_words(head_pa(setup), units));
  if (std::any_of(result.pulses.begin(), result.pulses.end(),
                  [](const RigPulse& pulse) { return std::isfinite(pulse.lead_s); }))
    return {};
  double lift_m = 0.0;
  for (const double one_m : result.series.lift_m) lift_m = std::max(lift_m, one_m);
  return fmt::format(
      "No pulse reaches half of the outlet's steady flow of {}: the plunger lifts {} of its travel "
      "of {} while the command is on for {}. A longer drive.on_time or a higher valve.coil.supply "
      "opens it further",
      output::shown(result.steady_flow_m3ps, output::Measure::kFlow, units, 3),
      output::shown(lift_m, output::Measure::kBore, units),
      output::shown(setup.part.valve.plunger.travel_m, output::Measure::kBore, units),
      output::shown(setup.drive.on_time_s, output::Measure::kTime, units, 2));
}

}  // namespace sim::rig
