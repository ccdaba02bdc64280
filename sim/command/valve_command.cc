// `valve`: is this valve in order? By its model, by a trace, or live.
#include <fmt/format.h>
#include <unistd.h>

#include <cstdio>
#include <memory>

#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/out_lock.h"
#include "sim/command/progress.h"
#include "sim/command/valve_live.h"
#include "sim/output/write_folder.h"
#include "sim/scenario/loader.h"
#include "sim/study/valve/valve_sheet.h"

namespace sim::command {
namespace {

struct ValveOptions : CommonOptions, ScenarioOptions {
  std::filesystem::path trace;
  std::filesystem::path limits;  // empty: the setup's
  std::string live;              // a device, or - for standard input
  int live_pulses = 0;           // with live: ends after so many; 0: by itself
};

void define_valve(CommandWords& words, ValveOptions& options) {
  add_common_options(words, options, "SETUP",
                     "rig setup file (TOML); its keys: `sillion list rig`");
  add_scenario_options(words, options);
  words.path("--trace", options.trace,
             "CSV from a bench: time, command or voltage, and current, with units in the header");
  words.text("--live", options.live,
             "read the same CSV while it is recorded: - for standard input, or a serial device");
  words.number(
      "--pulses", options.live_pulses, {1, 1'000'000},
      "with --live: stop after this number of pulses (else when the samples or pulses end)");
  words.path("--limits", options.limits, "file of limits (else the setup's bench.limits)");
  words.examples({"sillion valve scenarios/demo_valve.toml",
                  "sillion rig scenarios/demo_valve_worn.toml --trace worn.csv",
                  "sillion valve scenarios/demo_valve.toml --trace worn.csv"});
}

int exit_code_of(const valve::ValveCheck& check) {
  switch (check.verdict.standing) {
    case valve::ValveStanding::kInOrder: return kHeld;
    case valve::ValveStanding::kNotInOrder: return kViolated;
    case valve::ValveStanding::kNoVerdict: return kNothingToJudge;
  }
  return kNothingToJudge;
}

void print_lines(const std::vector<std::vector<std::string>>& lines) {
  for (const std::vector<std::string>& line : lines) {
    std::string text = fmt::format("  {:<46} ", line[0]);
    for (std::size_t k = 1; k < line.size(); ++k)
      if (!line[k].empty()) text += (k == 1 ? "" : "; ") + line[k];
    std::fputs((text + "\n").c_str(), stdout);
  }
}

LiveRecord take_live(const ValveOptions& options, const rig::RigSetup& setup,
                     const std::atomic<bool>& stop) {
  const bool terminal = isatty(STDERR_FILENO) != 0;
  const auto show = [&](const std::string& line) {
    if (options.quiet) return;
    std::fputs(((terminal ? "\r\033[K" : "") + line + (terminal ? "" : "\n")).c_str(), stderr);
  };
  LiveRecord record = read_live(
      {.source = options.live, .pulses = options.live_pulses, .reading = valve::reading_of(setup)},
      show, stop);
  if (!options.quiet)
    std::fputs(((terminal ? "\n" : "") + record.why_ended + "\n").c_str(), stderr);
  return record;
}

int execute_valve(const ValveOptions& options, const std::atomic<bool>& stop) {
  const rig::RigSetup setup = rig::load_rig_setup(options.input, options.sets);
  if (!options.trace.empty() && !options.live.empty())
    throw text::InputError("--trace and --live: state one of them");
  const std::filesystem::path limits_file =
      options.limits.empty() ? std::filesystem::path(setup.bench.limits) : options.limits;
  const valve::ValveLimits limits =
      limits_file.empty() ? valve::ValveLimits{} : valve::read_valve_limits(limits_file);
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / setup.name : options.out;
  const OutLock lock(out, options.typed);
  valve::ValveCheck check;
  std::string recorded;
  if (!options.live.empty()) {
    LiveRecord record = take_live(options, setup, stop);
    check = valve::check_trace(setup, limits, record.trace, "live", &stop);
    recorded = std::move(record.text);
  } else if (!options.trace.empty()) {
    const Progress progress(setup.name + ", reading and fitting the trace", {},
                            options.hides_progress());
    const valve::ValveTrace trace = valve::read_valve_trace(options.trace);
    check = valve::check_trace(setup, limits, trace, options.trace.filename().string(), &stop);
  } else {
    const Progress progress(setup.name + ", the standard programme", {}, options.hides_progress());
    check = valve::check_model(setup, limits, &stop);
  }
  valve::write_valve(check, out, options.units);
  if (!recorded.empty()) output::write_file(out / "trace.csv", recorded);
  if (options.json) {
    std::fputs(valve::valve_json(check).c_str(), stdout);
    return exit_code_of(check);
  }
  std::fputs((valve::valve_sentence(check, options.units) + "\n").c_str(), stdout);
  std::vector<std::vector<std::string>> held = valve::limit_lines(check, options.units);
  for (std::vector<std::string>& line : held)
    if (!line[4].empty()) line[4] = "margin " + line[4];
  print_lines(held);
  print_lines(valve::figure_lines(check, options.units));
  if (check.findings)
    for (const std::string& line : check.findings->cannot_tell)
      std::fputs(("  " + line + "\n").c_str(), stdout);
  if (check.fit && check.fit->misfit)
    std::fputs("  MISFIT: the model lacks something that this trace shows\n", stdout);
  if (!check.fit_refused.empty())
    std::fputs(("  no fit: " + check.fit_refused + "\n").c_str(), stdout);
  std::fputs(fmt::format("sheet: {}\n", (out / "sheet.html").string()).c_str(), stdout);
  return exit_code_of(check);
}

}  // namespace

Command valve_command() {
  const auto options = std::make_shared<ValveOptions>();
  return {
      .name = "valve",
      .description =
          "whether a valve is in order: its sheet from the model, from a bench trace, or live",
      .define = [options](CommandWords& words) { define_valve(words, *options); },
      .execute = [options](const std::atomic<bool>& stop) { return execute_valve(*options, stop); },
      .common = options.get()};
}

}  // namespace sim::command
