#include "model/machine/flow_meter.h"

#include <cmath>

#include "shared/check.h"

namespace model {

bool turn(FlowMeterState& state, double volume_m3, double step_s, const FlowMeter& meter) {
  EXPECTS(meter.pulse_m3 > 0.0 && meter.minimum_m3ps >= 0.0 && step_s > 0.0);
  state.passed_m3 += volume_m3;
  if (state.passed_m3 <= 0.0) {
    state.waited_s = 0.0;
    return false;
  }
  state.waited_s += step_s;
  const double whole = std::floor(state.passed_m3 / meter.pulse_m3);
  const double mean_m3ps = state.passed_m3 / state.waited_s;
  const bool turns = mean_m3ps >= meter.minimum_m3ps;
  if (whole >= 1.0 && turns) {
    state.passed_m3 -= whole * meter.pulse_m3;
    state.waited_s = 0.0;
    state.pulses += static_cast<std::uint32_t>(whole);
    return true;
  }
  if (!turns && state.waited_s * meter.minimum_m3ps >= meter.pulse_m3) {
    state.passed_m3 = 0.0;
    state.waited_s = 0.0;
  }
  return false;
}

}  // namespace model
