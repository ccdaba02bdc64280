#include "sim/command/machine_pace.h"

#include <fmt/format.h>
#include <oneapi/tbb/global_control.h>
#include <oneapi/tbb/info.h>
#include <oneapi/tbb/task_arena.h>

#include <algorithm>

#include "sim/bench/pass.h"
#include "sim/command/outside_world.h"
#include "sim/study/tune/strip_trim.h"
#include "sim/study/tune/tune.h"

namespace sim::command {
namespace {

/// Long enough that a pulse train has settled and the clock is fine enough for it.
constexpr double kFullPass_s = 5.0;
constexpr int kFullRows = 1;
constexpr double kIdealPass_s = 20.0;
constexpr int kIdealRows = 4;

/// `usual` stays where the scenario cannot run to its end: that is told when it runs.
PhysicsPace measured(scenario::Scenario scenario, const PhysicsPace& usual) {
  const bool full = scenario.row.physics == scenario::RowPhysics::kFull;
  scenario.duration_s = full ? kFullPass_s : kIdealPass_s;
  scenario.row.count = std::min(scenario.row.count, full ? kFullRows : kIdealRows);
  PhysicsPace pace = usual;
  // In one thread, so that no other waits for work and is counted.
  oneapi::tbb::task_arena alone(1);
  try {
    alone.execute([&] {
      const ProcessorTime tuning;
      const tune::TunedTable tuned = tune::tune(scenario);
      pace.tuning_s = tuning.spent_s();
      const ProcessorTime passing;
      const Stopwatch watch;
      const bench::PassRecord record =
          bench::run_pass(scenario, tuned.table, {}, {.keep_fault = true});
      // What a controller in a process of its own takes is not this process' time.
      const bool here = scenario.controller.library.empty();
      const double spent_s = here ? passing.spent_s() : watch.spent_s();
      if (record.fault.text.empty()) pace.row_second_s = spent_s / record.simulated_s;
    });
  } catch (const bench::ControllerError&) {
  } catch (const bench::BenchError&) {
  }
  return pace;
}

}  // namespace

Pace usual_pace() {
  return {.full = {.tuning_s = 0.45, .row_second_s = 0.025},
          .ideal = {.tuning_s = 0.003, .row_second_s = 0.0009}};
}

Pace measured_pace(std::span<const scenario::Scenario> scenarios) {
  Pace pace = usual_pace();
  for (const scenario::RowPhysics physics :
       {scenario::RowPhysics::kFull, scenario::RowPhysics::kIdeal}) {
    std::vector<const scenario::Scenario*> of_kind;
    for (const scenario::Scenario& one : scenarios)
      if (one.row.physics == physics) of_kind.push_back(&one);
    if (of_kind.empty()) continue;
    PhysicsPace& kept = physics == scenario::RowPhysics::kFull ? pace.full : pace.ideal;
    kept = measured(*of_kind[of_kind.size() / 2], kept);
  }
  return pace;
}

double row_time_s(const scenario::Scenario& scenario) {
  const double speed_mps = std::max(tune::judged_speed_mps(scenario), 0.1);
  const double a_row_s = scenario.duration_s > 0.0
                             ? scenario.duration_s
                             : scenario.seeds * scenario.seeding.meter.spacing_m / speed_mps + 2.0;
  const double strip_s =
      scenario.controller.row_trim
          ? scenario.controller.strip_test_bands * scenario.seeding.meter.spacing_m / speed_mps +
                6.0
          : 0.0;
  return (a_row_s + strip_s) * scenario.row.count;
}

double tuned_pass_s(const scenario::Scenario& scenario, const Pace& pace) {
  return row_time_s(scenario) * pace.of(scenario).row_second_s;
}

double pass_s(const scenario::Scenario& scenario, const Pace& pace) {
  const double tunings = scenario.controller.row_trim ? 2.0 : 1.0;  // tidy: unit none
  return tuned_pass_s(scenario, pace) + tunings * pace.of(scenario).tuning_s;
}

int cores_in_use() {
  const auto allowed = oneapi::tbb::global_control::active_value(
      oneapi::tbb::global_control::max_allowed_parallelism);
  return std::max(1, std::min(static_cast<int>(allowed), oneapi::tbb::info::default_concurrency()));
}

double last_end_s(std::span<const double> pieces_s, int cores) {
  std::vector<double> free_s(static_cast<std::size_t>(std::max(1, cores)), 0.0);
  for (const double piece_s : pieces_s) *std::min_element(free_s.begin(), free_s.end()) += piece_s;
  return *std::max_element(free_s.begin(), free_s.end());
}

std::string duration_words(double time_s) {
  struct Step {
    double below_s, unit_s;
    const char* word;
  };
  constexpr Step kSteps[] = {{120.0, 1.0, "s"}, {7200.0, 60.0, "min"}, {172800.0, 3600.0, "h"}};
  for (const Step& step : kSteps) {
    const double shown = time_s / step.unit_s;  // tidy: unit the step's
    if (time_s < step.below_s)
      return fmt::format("{:.{}f} {}", shown, shown < 9.5 ? 1 : 0, step.word);
  }
  return fmt::format("{:.0f} days", time_s / 86400.0);
}

std::string time_words(double processor_s, double wall_s) {
  const int cores = cores_in_use();
  return fmt::format("about {} of processor time, {} on {} core{}, as measured just now",
                     duration_words(processor_s), duration_words(wall_s), cores,
                     cores == 1 ? "" : "s");
}

}  // namespace sim::command
