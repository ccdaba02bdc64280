#include "sim/command/shown_requirements.h"

#include <fmt/format.h>

#include <cstdio>

#include "sim/study/run/sentences.h"

namespace sim::command {

void print_requirements(const measure::Summary& summary, output::Units units,
                        const std::function<std::string(const measure::Witness&)>& see) {
  for (const measure::RequirementResult& one : summary.requirements) {
    const output::Measure measure = output::measure_of(one.unit);
    std::string line = fmt::format(
        "  {:<44} limit {:>10}  value {:>10}  margin {:>10}  {}\n", one.name,
        output::shown_plain(one.limit, measure, units, 1),
        one.seen ? output::shown_beside(one.value, one.limit, measure, units) : "",
        one.seen ? run::margin_words(one.margin, measure, units) : "", run::requirement_word(one));
    if (one.seen && !one.holds && one.worst.row >= 0 && one.worst.seed >= 0) {
      const std::string command = see ? see(one.worst) : "";
      line += fmt::format("    worst at row {}, seed {}, {:.3f} s{}{}\n", one.worst.row,
                          one.worst.seed, one.worst.at_s, command.empty() ? "" : ": ", command);
    }
    std::fputs(line.c_str(), stdout);
  }
}

ExitCode code_of_pass(const measure::Summary& summary) {
  switch (summary.verdict) {
    case measure::Verdict::kHold: return kHeld;
    case measure::Verdict::kFail:
    case measure::Verdict::kWrongSeed: return kViolated;
    case measure::Verdict::kNoData: return kNothingToJudge;
    case measure::Verdict::kNone: break;
  }
  return summary.all.seeds.placed == 0 ? kNothingToJudge : kHeld;
}

}  // namespace sim::command
