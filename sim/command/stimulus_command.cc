// `stimulus`: the signals of a pass, to be played into a real controller.
#include <fmt/format.h>

#include <cstdio>
#include <memory>

#include "sim/command/commands.h"
#include "sim/command/judged_first.h"
#include "sim/command/kept_findings.h"
#include "sim/command/out_lock.h"
#include "sim/command/progress.h"
#include "sim/command/size_of_work.h"
#include "sim/output/write_folder.h"
#include "sim/scenario/loader.h"
#include "sim/study/score/stimulus.h"
#include "sim/text/input_error.h"

namespace sim::command {
namespace {

struct StimulusWords : CommonOptions, ScenarioOptions, ControllerOptions {
  bool drives = false;
  bool wav = false;
  bool raw = false;
  int rate_hz = 48'000;
  int current_hz = 0;
  bool dry_run = false;
};

void define_stimulus(CommandWords& words, StimulusWords& options) {
  add_common_options(words, options, "SCENARIO", "scenario file (TOML)");
  add_scenario_options(words, options);
  words.flag("--drive", options.drives,
             "also run the pass and write what its controller drove, as a recording of all pins");
  words.number(
      "--current", options.current_hz, {0, 1'000'000},
      "with --drive: also sample the coils' current so often per second, into pins.csv; 0: "
      "not at all");
  words.flag("--wav", options.wav, "also write pins.wav: 16-bit PCM, a channel per signal");
  words.flag("--raw", options.raw, "also write pins.raw: one byte per sample, a bit per signal");
  words.number("--sample-rate", options.rate_hz, {1'000, 10'000'000},
               "samples per second of pins.wav and pins.raw", Default::kShown);
  add_controller_options(words, options);
  add_dry_run_option(words, options.dry_run);
  words.examples({"sillion stimulus scenarios/demo.toml --drive --out out/demo_stimulus",
                  "sillion stimulus scenarios/demo.toml --wav --sample-rate 192000"});
}

int execute_stimulus(const StimulusWords& options, const std::atomic<bool>& stop) {
  const scenario::Scenario scenario =
      scenario::load_scenario(options.input, sets_with_controller(options, options));
  if (options.drives) require_controller(scenario);
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / (scenario.name + "_stimulus")
                          : options.out;
  if (options.current_hz > 0 && !options.drives)
    throw text::InputError("--current needs --drive: without a pass no coil has a current");
  if (options.current_hz > 0 && 1'000'000'000 % options.current_hz != 0)
    throw text::InputError(fmt::format(
        "--current {}: samples lie whole nanoseconds apart, so a divisor of 1000000000 is needed, "
        "such as 20000",
        options.current_hz));
  if (options.dry_run) {
    if (options.drives) print_size_of_run(scenario, out);
    std::fputs(fmt::format("would write pins.vcd, pins.csv{}{} of {} row{} into {}\n",
                           options.wav ? ", pins.wav" : "", options.raw ? ", pins.raw" : "",
                           scenario.row.count, scenario.row.count == 1 ? "" : "s", out.string())
                   .c_str(),
               stdout);
    return kHeld;
  }
  const OutLock lock(out, options.typed);
  constexpr std::string_view kResults[] = {"pins.vcd", "pins.csv", "pins.wav", "pins.raw"};
  require_free(out, kResults);
  Progress progress(scenario.name, {.wall_s = pass_s(scenario, usual_pace()) / cores_in_use()},
                    options.hides_progress() || !options.drives);
  const score::Pins pins = score::stimulus_of(
      scenario, {.drives = options.drives,
                 .current_step_ns = options.current_hz > 0 ? 1'000'000'000 / options.current_hz : 0,
                 .stop = &stop,
                 .on_progress = [&](double done_ratio) { progress.at(done_ratio, 0.0, "pass"); }});
  const auto rate_hz = static_cast<std::uint32_t>(options.rate_hz);
  std::vector<output::ResultFile> files{{"pins.vcd", score::pins_vcd(pins)},
                                        {"pins.csv", score::pins_csv(pins)}};
  if (options.wav) files.push_back({"pins.wav", score::pins_wav(pins, rate_hz)});
  if (options.raw) files.push_back({"pins.raw", score::pins_raw(pins, rate_hz)});
  output::write_folder(files, out);
  if (options.json) {
    std::fputs(score::pins_json(pins).c_str(), stdout);
    return kHeld;
  }
  std::string line =
      fmt::format("{} signals over {:.1f} s:", pins.pins.size() + pins.current_a.size(),
                  static_cast<double>(pins.end_ns) * 1e-9);
  for (const score::Pin& pin : pins.pins) line += fmt::format(" {}.{}", pin.scope, pin.name);
  for (std::size_t row = 0; row < pins.current_a.size(); ++row)
    line += fmt::format(" row{}.current_a", row);
  std::fputs((line + "\n").c_str(), stdout);
  if (options.wav || options.raw)
    std::fputs(fmt::format("samples: an edge lies up to {:.2f} us beside its instant\n",
                           0.5e6 / options.rate_hz)
                   .c_str(),
               stdout);
  for (const output::ResultFile& file : files)
    std::fputs(fmt::format("{}: {}\n", file.name, (out / file.name).string()).c_str(), stdout);
  return kHeld;
}

}  // namespace

Command stimulus_command() {
  const auto options = std::make_shared<StimulusWords>();
  return {.name = "stimulus",
          .description = "the signals of a pass as files, to be played into a real controller",
          .define = [options](CommandWords& words) { define_stimulus(words, *options); },
          .execute =
              [options](const std::atomic<bool>& stop) { return execute_stimulus(*options, stop); },
          .common = options.get(),
          .controller = options.get(),
          .keeps = [options] { return kept_folder_of(options->out, options->dry_run); }};
}

}  // namespace sim::command
