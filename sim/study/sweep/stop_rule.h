// When a study has run enough passes: a pure function of its finished batches.
//
//   look        after every whole batch that leaves two observations or more; L looks are planned
//   interval    mean +- t(miss/2, n-1) * sd / sqrt(n) at miss = 5 % / L (Bonferroni), so that the
//               intervals of all looks hold together with at least 95 %, and so does the one at
//               which the rule stops
//   shares      for a share of counted seeds the interval is never narrower than Wilson's of the
//               pooled counts: passes that agree by chance, for instance all good, show no spread
//   stop        as soon as both ends of the interval are within the half width of the mean, or when
//               all batches have run
//
// An observation is a pass (not a row, because rows share speed signal and drop height), a sample,
// or a net of samples. If one is not-a-number there is no interval: missing data is never enough.
// Source   Bonferroni's inequality; E. B. Wilson, J. Am. Stat. Assoc. 22, 1927 (from memory)
// Checked  tests/sim/study/sweep/stop_rule_test.cc
#pragma once

#include <cstdint>
#include <span>

#include "sim/measure/record.h"

namespace sim::sweep {

struct Observation {
  double value_si = statistics::kNone_ratio;
  long long trials = 0;  // number of seeds behind a share; 0: not a share of seeds
};

/// Counted in observations. most = 0: nothing is added; the only look uses what is there.
struct StopPlan {
  double half_width_si = 0.0;
  int batch = 1;
  int most = 0;
};

struct MeanInterval {
  double mean_si = statistics::kNone_ratio;
  double low_si = statistics::kNone_ratio;
  double high_si = statistics::kNone_ratio;
  double half_width_si = statistics::kNone_ratio;  // of the wider side
};

enum class StopState : std::uint8_t {
  kGoesOn,
  kEnough,     // the interval is narrow enough
  kNotEnough,  // all batches have run
};

/// Number of looks of the plan, at least 1.
int looks_of(const StopPlan& plan);
/// Probability with which the interval of one look may miss the mean.
double look_miss_ratio(const StopPlan& plan);
/// With fewer than two observations only the mean; all not-a-number if one observation is.
MeanInterval mean_interval(std::span<const Observation> seen, double miss_ratio);
/// State after a whole batch; `last`: no further batch may run.
StopState stop_state(std::span<const Observation> seen, const StopPlan& plan, bool last);
/// Number of observations that would be enough if they scatter like the present ones; 0: not known,
/// because there are fewer than two or one is not-a-number.
int needed_of(std::span<const Observation> seen, const StopPlan& plan);

}  // namespace sim::sweep
