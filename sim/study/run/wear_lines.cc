#include "sim/study/run/wear_lines.h"

#include <nlohmann/json.hpp>

#include "shared/units.h"
#include "sim/measure/valve_life.h"
#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/output/shown_units.h"

namespace sim::run {
namespace {

measure::ValveLife life_of(const RunResult& result) {
  const tune::TunedTable& tuned = result.tuned;
  // An upper limit: a pulse of the shortest on time with the flow of a long pulse.
  const double shortest_m3 = tuned.flow_m3ps * tuned.table.shortest_on_us * 1e-6;
  return measure::valve_life(result.record.rows, result.scenario, tuned.pressure_pa, shortest_m3);
}

std::string area_text(double area_m2, output::Units units) {
  return units == output::Units::kUs ? output::fixed_text(area_m2 / shared::kAcre_m2, 0) + " ac"
                                     : output::fixed_text(area_m2 / 1e4, 0) + " ha";
}

}  // namespace

std::string wear_line(const RunResult& result, output::Units units) {
  const measure::ValveLife life = life_of(result);
  std::string line =
      "Valve of the row that pulsed most: " + output::fixed_text(life.cycles_ratio, 0) +
      " cycles and " + output::shown(life.volume_m3, output::Measure::kVolume, units) +
      " so far; share of its life used " +
      output::shown(life.used_ratio, output::Measure::kShare, units) + ". Life left at this rate: ";
  if (life.left.known)
    line += output::fixed_text(life.left.cycles_ratio, 0) + " cycles, " +
            output::shown(life.left.volume_m3, output::Measure::kVolume, units, 0) + ", " +
            output::fixed_text(life.left.time_s / shared::kHour_s, 0) + " h at work, " +
            area_text(life.left.area_m2, units) + " of one row.";
  else
    line += "not known.";
  return line + " Leak when shut " + output::shown(life.leak_m3ps, output::Measure::kFlow, units) +
         ". Smallest dose that repeats " +
         output::shown(life.smallest_m3, output::Measure::kDose, units) + ", " +
         output::shown(life.smallest_m3 * life.pulse_rate_hz, output::Measure::kFlow, units) +
         " at " + output::fixed_text(life.pulse_rate_hz, 1) + " Hz.";
}

nlohmann::ordered_json wear_fields(const RunResult& result) {
  const measure::ValveLife life = life_of(result);
  const auto known = [&](double value) {
    return output::number_or_null(life.left.known ? value : statistics::kNone_ratio);
  };
  return {{"cycles", output::number_or_null(life.cycles_ratio)},
          {"volume_m3", output::number_or_null(life.volume_m3)},
          {"used_ratio", output::number_or_null(life.used_ratio)},
          {"left_cycles", known(life.left.cycles_ratio)},
          {"left_volume_m3", known(life.left.volume_m3)},
          {"left_s", known(life.left.time_s)},
          {"left_m2", known(life.left.area_m2)},
          {"leak_m3ps", output::number_or_null(life.leak_m3ps)},
          {"smallest_dose_m3", output::number_or_null(life.smallest_m3)},
          {"pulse_rate_hz", output::number_or_null(life.pulse_rate_hz)}};
}

}  // namespace sim::run
