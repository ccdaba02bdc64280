#include "sim/study/page/page_field.h"

#include <algorithm>
#include <cmath>

#include "sim/bench/judged_work.h"

namespace sim::page {
namespace {

constexpr long long kFewestSeeds = 30;
constexpr long long kMostSeeds = 400;

long long seeds_of(const scenario::Scenario& scenario) {
  const double seeds_ratio =
      kPageField_s * bench::judged_speed_mps(scenario) / scenario.seeding.meter.spacing_m;
  return std::clamp(std::llround(std::min(seeds_ratio, 1e6)), kFewestSeeds, kMostSeeds);
}

}  // namespace

std::vector<std::string> take_page_field(scenario::Scenario& scenario) {
  std::vector<std::string> sets;
  if (scenario.duration_s > 0.0) {
    sets.emplace_back("duration=0 s");
    scenario.duration_s = 0.0;
  }
  scenario.seeds = static_cast<int>(seeds_of(scenario));
  sets.push_back("seeds=" + std::to_string(scenario.seeds));
  return sets;
}

}  // namespace sim::page
