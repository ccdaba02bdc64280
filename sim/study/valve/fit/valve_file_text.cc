#include <fmt/format.h>

#include "sim/scenario/sections.h"
#include "sim/study/valve/fit/valve_fit.h"
#include "sim/text/quantity.h"

namespace sim::valve {
namespace {

/// The comment above a key: told with its interval, held with the reason, or as the setup says.
std::string evidence(const ValveFit& fit, const std::string& key) {
  for (const FittedValue& value : fit.values) {
    if (value.key != key) continue;
    if (!value.told && value.half_width_si > 0.0)
      return fmt::format("hardly told: +- {:.2g} % (95 %); setup {}; {}",
                         100.0 * value.half_width_si / value.value_si,
                         text::shortest_text(value.setup_si), value.why_held);
    if (!value.told) return "held: " + value.why_held;
    return fmt::format("told: +- {:.2g} % (95 %); setup {}",
                       100.0 * value.half_width_si / value.value_si,
                       text::shortest_text(value.setup_si));
  }
  return "as the setup says";
}

struct Line {
  const char* key;
  double value_si;  // tidy: unit `unit`
  const char* unit;
};

std::string table(const ValveFit& fit, const std::string& name, std::initializer_list<Line> lines) {
  std::string text = fmt::format("\n[{}]\n", name);
  for (const Line& line : lines) {
    const std::string number = text::shortest_text(line.value_si);
    text += fmt::format("# {}\n{} = ", evidence(fit, name + "." + line.key), line.key);
    text += *line.unit == '\0' ? number + "\n" : fmt::format("\"{} {}\"\n", number, line.unit);
  }
  return text;
}

}  // namespace

std::string valve_file_text(const ValveFit& fit, const std::string& setup_name) {
  const model::Coil& coil = fit.valve.coil;
  const model::Plunger& plunger = fit.valve.plunger;
  const model::Seat& seat = fit.valve.seat;
  std::string text = fmt::format(
      "# Valve of the setup {}, fitted to a trace: {} pulses, residual {:.2g} of the noise{}.\n",
      setup_name, fit.pulses, fit.misfit_ratio,
      fit.misfit ? "; the model does not explain all of it" : "");
  text += fmt::format("# Probe gain: +- {} %.\n",
                      text::shortest_text(100.0 * fit.probe_gain_tolerance_ratio));
  if (coil.force_law == model::ForceLaw::kLinear) {
    text += table(fit, "coil",
                  {{"resistance", coil.resistance_ohm, "ohm"},
                   {"inductance", coil.inductance_h, "H"},
                   {"force_constant", coil.force_constant_npa, "N/A"}});
    text += "# the law that these keys belong to\nforce_law = \"linear\"\n";
  } else {
    const model::Reluctance& iron = coil.reluctance;
    text += table(fit, "coil",
                  {{"resistance", coil.resistance_ohm, "ohm"},
                   {"inductance", coil.inductance_h, "H"},
                   {"gap", iron.gap_m, "m"},
                   {"leakage", iron.leakage_h, "H"},
                   {"saturation", iron.saturation_vs, "Wb"},
                   {"half_current", iron.half_current_a, "A"},
                   {"remanence", iron.remanence_a, "A"},
                   {"eddy_resistance", iron.eddy_ohm, "ohm"}});
    text += "# the law that these keys belong to\nforce_law = \"reluctance\"\n";
  }
  text += table(fit, "plunger",
                {{"mass", plunger.mass_kg, "kg"},
                 {"preload", plunger.preload_n, "N"},
                 {"spring_rate", plunger.spring_rate_npm, "N/m"},
                 {"damping", plunger.damping_nspm, "N s/m"},
                 {"coulomb_friction", plunger.coulomb_friction_n, "N"},
                 {"travel", plunger.travel_m, "m"},
                 {"restitution", plunger.restitution_ratio, ""}});
  text += table(fit, "seat",
                {{"diameter", seat.diameter_m, "m"},
                 {"half_angle", seat.half_angle_rad, "rad"},
                 {"discharge_coefficient", seat.discharge_coefficient_ratio, ""},
                 {"laminar_coefficient", seat.laminar_coefficient_ratio, ""},
                 {"flow_force", seat.flow_force_ratio, ""}});
  return text;
}

}  // namespace sim::valve
