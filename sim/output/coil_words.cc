#include "sim/output/coil_words.h"

#include "sim/text/quantity.h"

namespace sim::output {

std::vector<CoilKey> coil_keys(const model::Coil& coil, Units units) {
  std::vector<CoilKey> keys;
  const char* const length = units == Units::kUs ? "in" : "mm";
  const auto add = [&](const char* key, double value_si, text::Kind kind, const char* unit) {
    if (value_si > 0.0) keys.push_back({key, text::format_quantity(value_si, kind, unit, 4)});
  };
  const auto inductance = [&] {
    add("inductance", coil.inductance_h, text::Kind::kInductance, "mH");
  };
  const model::Reluctance& iron = coil.reluctance;
  const auto eddies = [&] {
    add("eddy_resistance", iron.eddy_ohm, text::Kind::kResistance, "ohm");
  };
  switch (coil.force_law) {
    case model::ForceLaw::kLinear:
      keys.push_back({"force_law", "linear"});
      add("force_constant", coil.force_constant_npa, text::Kind::kForceConstant, "N/A");
      inductance();
      break;
    case model::ForceLaw::kReluctance:
      keys.push_back({"force_law", "reluctance"});
      inductance();
      add("gap", iron.gap_m, text::Kind::kLength, length);
      add("leakage", iron.leakage_h, text::Kind::kInductance, "mH");
      add("saturation", iron.saturation_vs, text::Kind::kFluxLinkage, "mWb");
      add("half_current", iron.half_current_a, text::Kind::kCurrent, "A");
      add("remanence", iron.remanence_a, text::Kind::kCurrent, "A");
      eddies();
      break;
    case model::ForceLaw::kTable: {
      const model::LinkageTable& table = coil.table;
      keys.push_back({"force_law", "table"});
      if (!table.lift_m.empty())
        keys.push_back(
            {"table",
             std::to_string(table.lift_m.size()) + " lifts to " +
                 text::format_quantity(table.lift_m.back(), text::Kind::kLength, length, 4) + ", " +
                 std::to_string(table.current_a.size()) + " currents to " +
                 text::format_quantity(table.current_a.back(), text::Kind::kCurrent, "A", 4)});
      eddies();
      break;
    }
  }
  add("clamp", coil.clamp_v, text::Kind::kVoltage, "V");
  add("diode", coil.diode_v, text::Kind::kVoltage, "V");
  add("chop", coil.chop_hz, text::Kind::kFrequency, "kHz");
  return keys;
}

std::string coil_line(const model::Coil& coil, Units units) {
  std::string line;
  for (const CoilKey& one : coil_keys(coil, units))
    line += (line.empty() ? "" : ", ") + one.key + " " + one.value;
  return line;
}

}  // namespace sim::output
