#include "sim/measure/row_signals.h"

namespace sim::measure {
namespace {

void widen(Extremes& extremes, double value_si, double time_s) {  // tidy: unit the signal's
  if (value_si < extremes.least_si) extremes.least_si = value_si, extremes.least_at_s = time_s;
  if (value_si > extremes.largest_si)
    extremes.largest_si = value_si, extremes.largest_at_s = time_s;
}

}  // namespace

void note_on(RowSignals& signals, scenario::OnOff signal, double from_s, double to_s) {
  std::vector<OnInterval>& on = signals.on[static_cast<std::size_t>(signal)];
  // A step that follows the last one extends its interval.
  if (!on.empty() && from_s <= on.back().to_s && to_s >= on.back().to_s && from_s < to_s)
    on.back().to_s = to_s;
  else
    on.push_back({from_s, to_s});
}

void note_step(RowSignals& signals, const SignalStep& step) {
  signals.until_s = step.to_s;
  for (std::size_t gate = 0; gate < kGates.size(); ++gate) {
    if (!step.gates[gate]) continue;
    note_on(signals, kGates[gate], step.from_s, step.to_s);
    for (std::size_t real = 0; real < kRealCount; ++real)
      widen(signals.extremes[real][gate], step.reals_si[real], step.from_s);
  }
  for (std::size_t real = 0; real < kRealCount; ++real)
    widen(signals.extremes[real][kUngated], step.reals_si[real], step.from_s);
}

}  // namespace sim::measure
