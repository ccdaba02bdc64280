#include "sim/study/run/wear_lines.h"

#include <nlohmann/json.hpp>

#include "shared/units.h"
#include "sim/measure/valve_life.h"
#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/output/shown_units.h"

namespace sim {
namespace {

ValveLife life_of(const RunResult& result) {
  const TunedTable& tuned = result.tuned;
  // A pulse of the shortest on time, at the flow of a long one: at most this.
  const double shortest_m3 = tuned.flow_m3ps * tuned.table.shortest_on_us * 1e-6;
  return valve_life(result.record.rows, result.scenario, tuned.pressure_pa, shortest_m3);
}

std::string area_text(double area_m2, Units units) {
  return units == Units::kUs ? fixed_text(area_m2 / shared::kAcre_m2, 0) + " ac"
                             : fixed_text(area_m2 / 1e4, 0) + " ha";
}

}  // namespace

std::string wear_line(const RunResult& result, Units units) {
  const ValveLife life = life_of(result);
  std::string line = "Valve of the row that pulsed most: " + fixed_text(life.cycles_ratio, 0) +
                     " cycles and " + shown(life.volume_m3, Measure::kVolume, units) +
                     " so far; share of its life used " +
                     shown(life.used_ratio, Measure::kShare, units) + ". Life left at this rate: ";
  if (life.left.known)
    line += fixed_text(life.left.cycles_ratio, 0) + " cycles, " +
            shown(life.left.volume_m3, Measure::kVolume, units, 0) + ", " +
            fixed_text(life.left.time_s / shared::kHour_s, 0) + " h at work, " +
            area_text(life.left.area_m2, units) + " of one row.";
  else
    line += "not known.";
  return line + " Leak when shut " + shown(life.leak_m3ps, Measure::kFlow, units) +
         ". Smallest dose that repeats " + shown(life.smallest_m3, Measure::kDose, units) + ", " +
         shown(life.smallest_m3 * life.pulse_rate_hz, Measure::kFlow, units) + " at " +
         fixed_text(life.pulse_rate_hz, 1) + " Hz.";
}

nlohmann::ordered_json wear_fields(const RunResult& result) {
  const ValveLife life = life_of(result);
  const auto known = [&](double value) {
    return number_or_null(life.left.known ? value : kNone_ratio);
  };
  return {{"cycles", number_or_null(life.cycles_ratio)},
          {"volume_m3", number_or_null(life.volume_m3)},
          {"used_ratio", number_or_null(life.used_ratio)},
          {"left_cycles", known(life.left.cycles_ratio)},
          {"left_volume_m3", known(life.left.volume_m3)},
          {"left_s", known(life.left.time_s)},
          {"left_m2", known(life.left.area_m2)},
          {"leak_m3ps", number_or_null(life.leak_m3ps)},
          {"smallest_dose_m3", number_or_null(life.smallest_m3)},
          {"pulse_rate_hz", number_or_null(life.pulse_rate_hz)}};
}

}  // namespace sim
