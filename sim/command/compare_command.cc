// `compare`: two builds of a controller over one scenario, on the same seeds.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <memory>

#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/out_lock.h"
#include "sim/command/progress.h"
#include "sim/command/size_of_work.h"
#include "sim/output/write_folder.h"
#include "sim/scenario/loader.h"
#include "sim/scenario/requirements.h"
#include "sim/study/check/compare_builds.h"
#include "sim/study/check/comparison_text.h"
#include "sim/text/document.h"
#include "sim/text/reader.h"

namespace sim::command {
namespace {

struct CompareOptions : CommonOptions, ScenarioOptions, ControllerOptions {
  std::string against;  // the old build; empty: the reference
  int runs = 8;
  std::vector<std::string> margins;  // METRIC=VALUE
  bool strict = false;               // builds that differ in a byte are exit 6
  bool dry_run = false;
};

void define_compare(CommandWords& words, CompareOptions& options) {
  add_common_options(words, options, "SCENARIO", "scenario file (TOML)");
  add_scenario_options(words, options);
  add_controller_options(words, options);
  words.text("--against", options.against,
             "the build to compare with: a shared library (else the reference controller)");
  words.number("--runs", options.runs, {2, 10'000},
               "number of runs, each with seeds and noise of its own", Default::kShown);
  words.list("--margin", options.margins,
             "METRIC=VALUE: how much that metric may shift, such as "
             "placement_error_abs_p95=\"1 mm\"");
  words.flag("--strict", options.strict, "exit with code 6 where the builds differ at all");
  add_dry_run_option(words, options.dry_run);
  words.examples(
      {"sillion compare scenarios/pull_request_row.toml --controller "
       "build/release/libsillion_reference.so",
       "sillion compare scenarios/pull_request_still.toml --controller "
       "build/release/libsillion_reference.so --runs 20 --json"});
}

/// METRIC=VALUE, as a suite's [margin] has it.
check::StatedMargin read_margin(const std::string& text) {
  const text::Place place{.file = "--margin", .line = 0, .set_key = {}};
  const std::size_t equals = text.find('=');
  if (equals == std::string::npos)
    throw text::InputError(fmt::format("--margin {}: must be METRIC=VALUE", text));
  const std::string name = text.substr(0, equals);
  const scenario::MetricName& metric = scenario::read_metric(text::text_node(name, place), name);
  const auto judged = check::judged_metrics();
  if (std::none_of(judged.begin(), judged.end(),
                   [&](const check::JudgedMetric& one) { return one.name == name; })) {
    std::string all;
    for (const check::JudgedMetric& one : judged)
      all += (all.empty() ? "" : ", ") + std::string(one.name);
    throw text::InputError(fmt::format("--margin {}: not compared; the metrics are {}", name, all));
  }
  return {name, text::read_quantity_si(text::parse_value(text.substr(equals + 1), place), name,
                                       scenario::kind_of_metric(metric.unit), {0.0, 1e30})};
}

int code_of(const check::Comparison& comparison, bool strict) {
  const auto any = [&](check::ShiftVerdict verdict) {
    return std::any_of(comparison.shifts.begin(), comparison.shifts.end(),
                       [&](const check::MetricShift& one) { return one.verdict == verdict; });
  };
  if (any(check::ShiftVerdict::kShifted)) return kViolated;
  if (any(check::ShiftVerdict::kUnclear)) return kNothingToJudge;
  return strict && !comparison.same_bytes ? kChanged : kHeld;
}

int execute_compare(const CompareOptions& options, const std::atomic<bool>& stop) {
  check::Suite margins;
  for (const std::string& text : options.margins) margins.margins.push_back(read_margin(text));
  const scenario::Scenario new_build =
      scenario::load_scenario(options.input, sets_with_controller(options, options));
  scenario::Scenario old_build = new_build;
  old_build.controller.library =
      options.against.empty() ? "" : std::filesystem::absolute(options.against).string();
  require_controller(new_build);
  require_controller(old_build);
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / (new_build.name + ".compare")
                          : options.out;
  const double all_s = 2.0 * row_time_s(new_build) * options.runs;
  if (options.dry_run) {
    const std::vector<double> pieces_s(2 * static_cast<std::size_t>(options.runs),
                                       pass_s(new_build, measured_pace({&new_build, 1})));
    std::fputs(fmt::format("would run {} runs of two builds: {:.0f} row-seconds, {}, 0.1 MB into "
                           "{}\n",
                           options.runs, all_s,
                           time_words(pieces_s.front() * static_cast<double>(pieces_s.size()),
                                      last_end_s(pieces_s, cores_in_use())),
                           out.string())
                   .c_str(),
               stdout);
    return kHeld;
  }
  const OutLock lock(out, options.typed);
  Progress progress(
      new_build.name,
      {.row_s = all_s,
       .wall_s = 2.0 * options.runs * pass_s(new_build, usual_pace()) / cores_in_use()},
      options.hides_progress());
  const check::Comparison comparison =
      check::compare_builds(old_build, new_build,
                            {.runs = options.runs,
                             .margins_si = check::margins_of_si(margins),
                             .stop = &stop,
                             .on_progress = [&](double done_ratio) { progress.at(done_ratio); }});
  const std::array<output::ResultFile, 2> files = {
      {{"comparison.json", check::comparison_json(comparison)},
       {"comparison.txt", check::comparison_text(comparison, options.units)}}};
  output::write_folder(files, out);
  std::fputs((options.json ? files[0].bytes : files[1].bytes).c_str(), stdout);
  return code_of(comparison, options.strict);
}

}  // namespace

Command compare_command() {
  const auto options = std::make_shared<CompareOptions>();
  return {.name = "compare",
          .description = "compare two builds of a controller on the same seeds: which results move",
          .define = [options](CommandWords& words) { define_compare(words, *options); },
          .execute =
              [options](const std::atomic<bool>& stop) { return execute_compare(*options, stop); },
          .common = options.get(),
          .controller = options.get()};
}

}  // namespace sim::command
