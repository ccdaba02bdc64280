// `explain`: one seed from sensor edge to placement error.
#include <fmt/format.h>

#include <cstdio>

#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/options.h"
#include "sim/command/progress.h"
#include "sim/command/size_of_work.h"
#include "sim/scenario/loader.h"
#include "sim/study/run/explain.h"
#include "sim/study/run/run.h"
#include "sim/study/run/run_parts.h"
#include "sim/study/run/tables.h"

namespace sim::command {
namespace {

run::RunResult run_watched(const scenario::Scenario& scenario, const CommandOptions& options,
                           const std::atomic<bool>& stop) {
  Progress progress(scenario.name, {.wall_s = pass_s(scenario, usual_pace()) / cores_in_use()},
                    options.quiet || options.json);
  const run::RunParts parts = run::parts_of_run(scenario);
  // What a faulty controller did up to its fault is what is asked for here.
  run::RunOptions run{.watch = {options.row, options.seed},
                      .stop = &stop,
                      .on_progress =
                          [&](double done_ratio) {
                            progress.at(done_ratio, 0.0, run::part_under_way(parts, done_ratio));
                          },
                      .wave = !options.wave.empty(),
                      .until_watched = true,
                      .keep_fault = true};
  run::RunResult result = run::run_scenario(scenario, run);
  if (!run::goes_on(result)) return result;
  run.until_watched = false;
  return run::run_scenario(scenario, run);
}

}  // namespace

int explain_command(const CommandOptions& options, const std::atomic<bool>& stop) {
  const scenario::Scenario scenario = scenario::load_scenario(options.input, options.sets);
  require_controller(scenario);
  require_writable(options.wave);
  if (options.row < 0 || options.row >= scenario.row.count)
    throw text::InputError(fmt::format("--row {}: {} has rows 0 to {}", options.row, scenario.name,
                                       scenario.row.count - 1));
  run::RunResult result = run_watched(scenario, options, stop);
  if (result.record.watched.row < 0)
    throw text::InputError(fmt::format(
        "--seed {}: row {} of {} has seeds 0 to {}", options.seed, options.row, scenario.name,
        result.record.rows[static_cast<std::size_t>(options.row)].seeds.size() - 1));
  std::fputs((options.json ? run::explain_json(result) : run::explain_text(result)).c_str(),
             stdout);
  if (!options.wave.empty()) {
    seal(result);
    write_wave(result, options);
  }
  return result.record.fault.text.empty() ? kHeld : kControllerFailed;
}

}  // namespace sim::command
