#include "sim/study/tune/tune_once.h"

#include <fmt/format.h>

#include <optional>

#include "sim/bench/once_table.h"
#include "sim/scenario/loader.h"
#include "sim/study/tune/keeper.h"
#include "sim/study/tune/kept_text.h"
#include "sim/study/tune/tune.h"

namespace sim::tune {
namespace {

/// Limits the memory that a long sweep uses.
constexpr std::size_t kMostInMemory = 64;
constexpr char kTableKind[] = "delay table";

/// Everything on which tune() may depend.
std::string table_inputs(const scenario::Scenario& scenario, const TableSpan& span) {
  scenario::Scenario same = scenario;
  same.travel = {.speed_mps = judged_speed_mps(scenario)};
  same.work = {};
  same.requirements.clear();
  same.faults.clear();
  same.rng_key = 0;
  same.seeds = 1;
  same.duration_s = 0.0;
  same.rate.continuous = false;
  same.noise = {};
  same.clock = {};
  same.sensor = {};
  same.flow_meter = {};
  same.tuning = {};
  same.row.count = 1;
  same.seeding.spacings_m.clear();
  const scenario::ControllerSection plain;
  same.controller.row_trim = plain.row_trim;
  same.controller.opening_trim = plain.opening_trim;
  same.controller.rest_correction = plain.rest_correction;
  same.controller.strip_test_bands = plain.strip_test_bands;
  same.controller.strip_test_reading_m = plain.strip_test_reading_m;
  return scenario::canonical_text(same) + fmt::format("span {:a} {:a} {:a} {:a}\n",
                                                      span.lowest_ratio, span.highest_ratio,
                                                      span.slowest_mps, span.fastest_mps);
}

}  // namespace

TunedTable tune_once(const scenario::Scenario& scenario, const TableSpan& span,
                     const std::function<void(double done_ratio)>& on_progress) {
  // A table from a file needs no tuning.
  if (scenario.controller.delay == scenario::DelaySource::kTable)
    return tune(scenario, span, on_progress);
  static bench::OnceTable<TunedTable> in_memory(kMostInMemory);
  const std::string inputs = table_inputs(scenario, span);
  return in_memory.value_of(inputs, [&] {
    if (const std::optional<std::string> text = found_before(kTableKind, inputs))
      if (const std::optional<TunedTable> kept = table_of_text(*text)) return *kept;
    const TunedTable tuned = tune(scenario, span, on_progress);
    keep_found(kTableKind, inputs, table_text(tuned));
    return tuned;
  });
}

}  // namespace sim::tune
