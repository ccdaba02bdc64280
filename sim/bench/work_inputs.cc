#include "sim/bench/work_inputs.h"

#include <algorithm>

#include "shared/controller_abi.h"
#include "sim/scenario/faults/catalog.h"

namespace sim::bench {
namespace {

bool toggled(bool at_start, const std::vector<double>& times_s, double time_s) {
  bool on = at_start;
  for (const double toggle_s : times_s)
    if (time_s >= toggle_s) on = !on;
  return on;
}

bool names(const scenario::RowsOff& off, int row) {
  return std::find(off.rows.begin(), off.rows.end(), row) != off.rows.end();
}

bool row_enabled(const scenario::Scenario& scenario, int row, double time_s) {
  return std::none_of(scenario.work.row_off.begin(), scenario.work.row_off.end(),
                      [&](const scenario::RowsOff& off) {
                        return names(off, row) && time_s >= off.from_s && time_s < off.until_s;
                      });
}

}  // namespace

std::uint32_t machine_inputs(const scenario::Scenario& scenario, double time_s) {
  const scenario::WorkSection& work = scenario.work;
  std::uint32_t inputs = SILLION_INPUT_ROW_ENABLED;
  const scenario::InputSeam seam = scenario::inputs_at(scenario, time_s);
  const double lift_seen_s = seam.lift_stuck ? seam.entry_from_s : time_s;
  if (toggled(work.lowered, work.lift_times_s, lift_seen_s)) inputs |= SILLION_INPUT_LOWERED;
  if (toggled(work.run, work.run_times_s, time_s)) inputs |= SILLION_INPUT_RUN;
  return inputs;
}

std::uint32_t row_inputs(const scenario::Scenario& scenario, int row, double time_s) {
  const std::uint32_t inputs = machine_inputs(scenario, time_s);
  return row_enabled(scenario, row, time_s) ? inputs
                                            : inputs & ~std::uint32_t{SILLION_INPUT_ROW_ENABLED};
}

void note_inputs(const scenario::Scenario& scenario, int row, measure::RowSignals& signals) {
  const double end_s = signals.until_s;
  for (const scenario::RowsOff& off : scenario.work.row_off)
    if (names(off, row) && off.from_s < end_s)
      measure::note_on(signals, scenario::OnOff::kRowOff, off.from_s, std::min(off.until_s, end_s));
  std::vector<double> times_s = scenario.work.run_times_s;
  std::sort(times_s.begin(), times_s.end());
  bool run = scenario.work.run;
  double from_s = 0.0;
  for (const double toggle_s : times_s) {
    if (toggle_s >= end_s) break;
    if (!run) measure::note_on(signals, scenario::OnOff::kHold, from_s, toggle_s);
    run = !run;
    from_s = toggle_s;
  }
  if (!run) measure::note_on(signals, scenario::OnOff::kHold, from_s, end_s);
}

}  // namespace sim::bench
