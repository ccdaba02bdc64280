// `explain`: one seed from sensor edge to placement error.
#include <fmt/format.h>

#include <cstdio>
#include <memory>

#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/progress.h"
#include "sim/command/size_of_work.h"
#include "sim/command/wave_option.h"
#include "sim/scenario/loader.h"
#include "sim/study/run/explain.h"
#include "sim/study/run/run.h"
#include "sim/study/run/run_parts.h"
#include "sim/study/run/tables.h"

namespace sim::command {
namespace {

struct ExplainOptions : CommonOptions, ScenarioOptions, ControllerOptions {
  int row = -1;
  int seed = -1;
  std::filesystem::path wave;  // waveform of the seed, and the same as CSV beside it
};

void define_explain(CommandWords& words, ExplainOptions& options) {
  add_common_options(words, options, "SCENARIO", "scenario file (TOML)");
  add_scenario_options(words, options);
  words.number("--row", options.row, "row, counted from 0", Need::kRequired);
  words.number("--seed", options.seed, "seed of that row, counted from 0", Need::kRequired);
  add_controller_options(words, options);
  add_wave_option(words, options.wave);
  words.examples({"sillion explain scenarios/demo.toml --row 3 --seed 17",
                  "sillion explain scenarios/demo.toml --row 0 --seed 100 --wave out/seed.vcd"});
}

run::RunResult run_watched(const scenario::Scenario& scenario, const ExplainOptions& options,
                           const std::atomic<bool>& stop) {
  Progress progress(scenario.name, {.wall_s = pass_s(scenario, usual_pace()) / cores_in_use()},
                    options.hides_progress());
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

int execute_explain(const ExplainOptions& options, const std::atomic<bool>& stop) {
  const scenario::Scenario scenario =
      scenario::load_scenario(options.input, sets_with_controller(options, options));
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
    const std::string written = write_wave(result, options.wave);
    if (!options.json) std::fputs(written.c_str(), stdout);
  }
  return result.record.fault.text.empty() ? kHeld : kControllerFailed;
}

}  // namespace

Command explain_command() {
  const auto options = std::make_shared<ExplainOptions>();
  return {.name = "explain",
          .description = "one seed from sensor edge to placement error, with numbers",
          .define = [options](CommandWords& words) { define_explain(words, *options); },
          .execute =
              [options](const std::atomic<bool>& stop) { return execute_explain(*options, stop); },
          .common = options.get(),
          .controller = options.get()};
}

}  // namespace sim::command
