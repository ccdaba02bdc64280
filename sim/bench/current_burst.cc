#include "sim/bench/current_burst.h"

#include <optional>
#include <utility>

#include "sim/bench/analog_input.h"
#include "sim/bench/pass.h"

namespace sim::bench {

BurstRecorder::BurstRecorder(const sillion_hardware& hardware, double clock_drift_ratio,
                             std::int32_t full_scale_ma)
    : samples_(hardware.burst_samples),
      period_ticks_(hardware.burst_period_ticks),
      bits_(hardware.analog_bits),
      full_scale_ma_(full_scale_ma),
      clock_(hardware, clock_drift_ratio, 0.0) {}

void BurstRecorder::start(shared::Instant at) {
  clock_.start_at(at);
  now_ = {};
  now_.start = at;
  find_next();
}

void BurstRecorder::find_next() {
  next_ = clock_.instant_of_ticks((std::int64_t{now_.count} + 1) * period_ticks_);
}

void BurstRecorder::sample_until(shared::Instant from, shared::Instant to, double from_a,
                                 double to_a) {
  const double lasts_ns = static_cast<double>((to - from).ns);
  while (next_ <= to) {
    const double way_ratio = static_cast<double>((next_ - from).ns) / lasts_ns;
    const double current_a = from_a + way_ratio * (to_a - from_a);
    now_.counts[now_.count++] = counts_of(1e3 * current_a, full_scale_ma_, bits_);
    if (now_.count == samples_) {
      whole_ = now_;
      next_ = kNever;
      return;
    }
    find_next();
  }
}

CurrentBurst BurstRecorder::take() { return std::exchange(whole_, {}); }

BurstRecorder burst_recorder(ControllerHost& host, double clock_drift_ratio,
                             std::int32_t full_scale_ma) {
  try {
    const std::optional<sillion_hardware> hardware = host.describe(SILLION_ROLE_ROW);
    return hardware ? BurstRecorder(*hardware, clock_drift_ratio, full_scale_ma) : BurstRecorder();
  } catch (const HostFault& error) {
    throw ControllerError(error.what());
  }
}

}  // namespace sim::bench
