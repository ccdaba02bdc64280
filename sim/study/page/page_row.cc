#include "sim/study/page/page_row.h"

#include "sim/bench/line_form.h"
#include "sim/bench/pass.h"
#include "sim/scenario/table_seal.h"

namespace sim::page {
namespace {

/// The part of b that is known without tuning.
double known_distance_m(const scenario::Scenario& scenario) {
  const model::DeliveryParams& delivery = scenario.delivery;
  const bool geared = delivery.kind == model::DeliveryKind::kConveyorGeared;
  return scenario.attachment.outlet_offset_m + scenario.controller.delay_distance_error_m +
         (geared ? delivery.path_m / delivery.gear_ratio : 0.0);
}

/// A table tuned for `before`, with what is known of `now` without tuning.
tune::TunedTable carried_over(tune::TunedTable tuned, const scenario::Scenario& before,
                              const scenario::Scenario& now) {
  const double time_s = now.controller.delay_time_error_s - before.controller.delay_time_error_s;
  const double distance_m = known_distance_m(now) - known_distance_m(before);
  tuned.delay_time_s += time_s;
  tuned.delay_distance_m += distance_m;
  tuned.delay_at_speed_s =
      tuned.delay_time_s + tuned.delay_distance_m / tune::judged_speed_mps(now);
  tuned.table.delay_time_us += static_cast<std::int32_t>(std::llround(time_s * 1e6));
  tuned.table.delay_distance_um += static_cast<std::int32_t>(std::llround(distance_m * 1e6));
  tuned.table = scenario::sealed_table(tuned.table);
  return tuned;
}

constexpr char kFullWords[] =
    "Full answer: the delay table was tuned for this setting, and the command line below gives the "
    "same figures.";
constexpr char kStatedWords[] =
    "Full answer: the controller has the delay that is stated, whatever the attachment is like, "
    "and the command line below gives the same figures.";
constexpr char kCoarseWords[] =
    "Coarse answer: delay table, trim and form of the lines are still those of the last full "
    "answer. The full one follows.";

}  // namespace

std::shared_ptr<const RowDesk::Found> RowDesk::found() const {
  const std::lock_guard lock(mutex_);
  return found_;
}

void RowDesk::keep(const run::RunResult& full) {
  auto found = std::make_shared<Found>(
      Found{full.scenario, bench::with_line_form(full.scenario).solver, full.tuned, full.trim_um});
  const std::lock_guard lock(mutex_);
  found_ = std::move(found);
}

std::optional<run::RunResult> RowDesk::kept() const {
  const std::shared_ptr<const Found> known = found();
  if (known == nullptr || known->scenario.controller.delay != scenario::DelaySource::kTuned)
    return std::nullopt;
  run::RunResult result{.scenario = bench::with_line_form(known->scenario),
                        .tuned = known->tuned,
                        .trim_um = known->trim_um};
  return result;
}

RowAnswer RowDesk::full(const PageInput& input, const std::atomic<bool>* stop) {
  RowAnswer answer{
      .result = run::run_scenario(input.scenario,
                                  {.stop = stop, .keep_idle_faults = true, .keep_fault = true}),
      .full = true,
      .words = input.scenario.controller.delay == scenario::DelaySource::kTuned ? kFullWords
                                                                                : kStatedWords};
  keep(answer.result);
  return answer;
}

RowAnswer RowDesk::coarse(const PageInput& input, const std::atomic<bool>* stop) {
  const std::shared_ptr<const Found> known = found();
  if (known == nullptr || input.scenario.controller.delay != scenario::DelaySource::kTuned ||
      known->scenario.controller.delay != scenario::DelaySource::kTuned)
    return full(input, stop);
  RowAnswer answer{.result = {}, .full = false, .words = kCoarseWords};
  run::RunResult& result = answer.result;
  result.scenario = input.scenario;
  static_cast<model::SolverParams&>(result.scenario.solver) = known->solver;
  result.scenario.solver.automatic = false;
  result.scenario.solver.automatic_step = false;
  result.tuned = carried_over(known->tuned, known->scenario, input.scenario);
  result.trim_um = known->trim_um;
  result.record = bench::run_pass(result.scenario, result.tuned.table, result.trim_um,
                                  {.watch = {}, .stop = stop, .keep_fault = true});
  run::sum_up(result);
  return answer;
}

}  // namespace sim::page
