#include "sim/command/red_causes.h"

#include <fmt/format.h>
#include <oneapi/tbb/parallel_for.h>

#include <vector>

#include "sim/scenario/loader.h"
#include "sim/study/check/parting.h"
#include "sim/study/check/parting_words.h"

namespace sim::command {
namespace {

constexpr std::size_t kMostCauses = 5;

/// What a controller can be the cause of.
bool may_have_a_cause(check::Trouble trouble) {
  return trouble >= check::Trouble::kNoData && trouble != check::Trouble::kInput;
}

std::string cause_of(const check::SuiteCase& one, const std::atomic<bool>& stop) {
  scenario::Scenario reference = one.scenario;
  reference.controller.library.clear();
  try {
    return check::parting_line(check::find_parting(reference, one.scenario, &stop));
  } catch (const text::InputError& error) {
    return fmt::format("cannot be run beside the reference: {}", error.what());
  }
}

}  // namespace

void add_red_causes(check::SuiteResult& suite, const std::atomic<bool>& stop) {
  if (suite.controller.empty()) return;
  std::vector<std::size_t> looked_at;
  for (std::size_t index = 0; index < suite.results.size(); ++index) {
    if (!may_have_a_cause(check::trouble_of(suite, index))) continue;
    if (looked_at.size() < kMostCauses)
      looked_at.push_back(index);
    else
      suite.results[index].cause = fmt::format(
          "not run again beside the reference: the first {} red scenarios were", kMostCauses);
  }
  oneapi::tbb::parallel_for(std::size_t{0}, looked_at.size(), [&](std::size_t k) {
    const std::size_t index = looked_at[k];
    suite.results[index].cause = cause_of(suite.suite.cases[index], stop);
  });
}

}  // namespace sim::command
