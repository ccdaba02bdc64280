#include "sim/study/check/case_result.h"

#include <algorithm>
#include <limits>

#include "sim/measure/tightness.h"
#include "sim/study/check/judged_metrics.h"

namespace sim::check {
measure::Witness fault_witness(const run::RunResult& result) {
  const bench::PassFault& fault = result.record.fault;
  measure::Witness at{.row = fault.row, .seed = -1, .at_s = fault.at_s};
  const auto row = static_cast<std::size_t>(std::max(0, fault.row));
  if (row >= result.record.rows.size()) return at;
  const std::vector<measure::SeedRecord>& seeds = result.record.rows[row].seeds;
  at.seed = seeds.empty() ? -1 : 0;
  for (std::size_t seed = 0; seed < seeds.size() && seeds[seed].edge_s <= fault.at_s; ++seed)
    at.seed = static_cast<int>(seed);
  return at;
}

CaseResult case_result_of(const SuiteCase& one, const CaseOutcome& outcome) {
  CaseResult result{.id = one.id, .state = outcome.state, .inputs = {}};
  result.fault = outcome.fault;
  result.spent_s = outcome.spent_s;
  if (result.state == CaseState::kControllerFault) result.fault_at = fault_witness(outcome.result);
  if (result.state != CaseState::kJudged) return result;
  const measure::Summary& summary = outcome.result.summary;
  result.verdict = summary.verdict;
  result.requirements = summary.requirements;
  result.figures_si = judged_values_si(summary);
  result.seeds_placed = summary.all.seeds.placed;
  result.simulated_s = summary.simulated_s;
  result.hashes = outcome.result.hashes;
  return result;
}

double tightness_ratio(const CaseResult& result) {
  if (result.state != CaseState::kJudged) return -std::numeric_limits<double>::infinity();
  double least_ratio = std::numeric_limits<double>::infinity();
  for (const measure::RequirementResult& one : result.requirements)
    least_ratio = std::min(least_ratio, measure::tightness_ratio(one));
  return least_ratio;
}

}  // namespace sim::check
