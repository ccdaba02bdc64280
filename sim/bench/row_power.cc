// What one row's electronics drew.
//
//   coil         integral of supply voltage times the current that the driver takes
//   controller   each call keeps it awake for a stated time, at most until the next call
//   radio        sends its own frames, listens in the machine's time slot of each period
//
// Valid    a current limit counts as its full current from the supply, so the coil's part is an
//          upper bound; a bridge that is off draws nothing
#include <algorithm>
#include <cmath>

#include "sim/bench/row_bench.h"

namespace sim::bench {

RowPower RowBench::power() const {
  const scenario::PowerSection& power = scenario_.network.power;
  const scenario::RadioSection& radio = scenario_.network.radio;
  RowPower drew;
  drew.lasted_s = now_.seconds();
  if (drew.lasted_s == 0.0) return drew;
  drew.coil_j = supply_.drawn_j();
  drew.awake_s =
      std::min(drew.lasted_s, static_cast<double>(port_->calls()) * scenario_.network.power.call_s);
  if (radio_) {
    drew.transmit_s = radio_->on_air().seconds();
    drew.receive_s = std::floor(drew.lasted_s / radio.period_s) * radio.slot_s;
  }
  const double charge_as = power.awake_a * drew.awake_s +
                           power.asleep_a * (drew.lasted_s - drew.awake_s) +
                           power.transmit_a * drew.transmit_s + power.receive_a * drew.receive_s;
  const double coil_as = drew.coil_j / scenario_.supply.voltage_v;
  drew.mean_a = (charge_as + coil_as) / drew.lasted_s;
  drew.mean_w = drew.mean_a * scenario_.supply.voltage_v;
  return drew;
}

}  // namespace sim::bench
