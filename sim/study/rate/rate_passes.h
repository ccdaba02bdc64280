// A plan compared with passes over seeds: the same rates from the bench.
//
//   ideal row      fixed delays, no sensor faults, no scatter except the meter's: the plan with the
//                  spacings as they fell must give the field-average rate of the pass
//   full physics   valve, column and noise as the scenario has them: they cause the difference
//
// Both are compared at the seeds' places at rest; spacings are taken between neighbours of a row.
// Errors   InputError, BenchError, ControllerError, Interrupted
// Checked  tests/sim/study/rate/rate_plan_test.cc
#pragma once

#include <atomic>

#include "sim/study/rate/rate_study.h"

namespace sim::rate {

struct RatePass {
  double treated_ratio = 0.0;  // of the spacings as they fell
  double planned_m3pm2 = 0.0;  // in-band rate times treated_ratio
  double passed_m3pm2 = 0.0;   // field rate of the pass
  double difference_ratio() const { return passed_m3pm2 / planned_m3pm2 - 1.0; }
};

struct RatePasses {
  RatePass ideal, full;
};

RatePasses pass_rates(const RateResult& result, const std::atomic<bool>* stop);

}  // namespace sim::rate
