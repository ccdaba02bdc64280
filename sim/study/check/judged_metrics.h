// The metrics by which a change of the controller is judged against the accepted results: which
// direction is better, and how much a metric may worsen before that is a failure.
//
//   more, less   the value itself counts
//   near zero    its distance from 0 counts: a bias that only changes its sign has not improved
//
// Margins are defaults that a suite or a command line may replace; they are common practice,
// without a source.
// Errors   none
// Checked  tests/sim/study/check/baseline_test.cc
#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "sim/measure/summary.h"
#include "sim/study/check/suite.h"

namespace sim::check {

enum class Better : std::uint8_t { kMore, kLess, kNearZero };

struct JudgedMetric {
  std::string_view name;  // of sim/measure/catalog.h
  Better better = Better::kMore;
  double margin_si = 0.0;  // tidy: unit is the metric's
};

std::span<const JudgedMetric> judged_metrics();
/// How much `value` is worse than `before`; negative: better. Not-a-number after a number is
/// infinitely worse, after not-a-number not worse.
double worsening_si(Better better, double value_si, double before_si);
/// Margins that the suite states, otherwise the defaults; in the order of judged_metrics().
std::vector<double> margins_of_si(const Suite& suite);
std::vector<double> judged_values_si(const measure::Summary& summary);
std::string_view unit_of_metric(std::string_view metric);

}  // namespace sim::check
