// `score`: a recording of a real controller's pins, judged against every seed.
#include <fmt/format.h>
#include <sys/resource.h>

#include <cstdio>
#include <memory>

#include "sim/command/commands.h"
#include "sim/command/judged_first.h"
#include "sim/command/kept_findings.h"
#include "sim/command/out_lock.h"
#include "sim/command/progress.h"
#include "sim/command/shown_path.h"
#include "sim/command/shown_requirements.h"
#include "sim/command/size_of_work.h"
#include "sim/output/write_folder.h"
#include "sim/scenario/loader.h"
#include "sim/study/run/sentences.h"
#include "sim/study/run/tables.h"
#include "sim/study/score/score.h"
#include "sim/text/input_error.h"
#include "sim/text/quantity.h"

namespace sim::command {
namespace {

struct ScoreWords : CommonOptions, ScenarioOptions {
  std::string setup;
  std::vector<std::string> signals;   // rowN.sensor=NAME
  std::vector<std::string> inverted;  // rowN.sensor
  std::string start;
  std::string off = "fast";
  bool dry_run = false;
};

void define_score(CommandWords& words, ScoreWords& options) {
  add_common_options(words, options, "CAPTURE",
                     "recording of a controller's pins: VCD, session of sigrok, or CSV with t_s");
  words.text("--row", options.setup,
             "scenario file (TOML) with the set-up around the controller: machine, row, "
             "attachment, liquid, requirements",
             Need::kRequired);
  words.list("--signal", options.signals,
             "SIGNAL=NAME: which name a signal has in the recording, such as row0.sensor=D0; "
             "without it the names rowN.sensor, rowN.drive and rowN.current_a are looked for; a "
             "current is a column of a table, a variable of type real or an analog channel");
  words.list("--invert", options.inverted,
             "a signal whose 0 means 1, such as row0.sensor of a sensor that pulls down");
  words.text("--start", options.start,
             "time of the recording from which on it is judged, such as \"12 s\"");
  words.choice("--off", options.off, {"fast", "slow"},
               "how the coil's current decays when the drive goes off");
  add_dry_run_option(words, options.dry_run);
  add_scenario_options(words, options);
  words.examples(
      {"sillion score out/demo_stimulus/pins.vcd --row scenarios/demo.toml",
       "sillion score capture.sr --row scenarios/demo.toml --signal row0.sensor=D0 --signal "
       "row0.drive=D1 --signal row0.current_a=A0 --invert row0.sensor"});
}

score::CaptureWords capture_words(const ScoreWords& options) {
  score::CaptureWords words;
  for (const std::string& one : options.signals) {
    const std::size_t equals = one.find('=');
    if (equals == std::string::npos || equals == 0 || equals + 1 == one.size())
      throw text::InputError(fmt::format("--signal {}: SIGNAL=NAME, such as row0.sensor=D0", one));
    const auto [known, fresh] = words.names.emplace(one.substr(0, equals), one.substr(equals + 1));
    if (!fresh)
      throw text::InputError(
          fmt::format("--signal {}: {} is {} already", one, known->first, known->second));
  }
  words.inverted = options.inverted;
  return words;
}

double start_s(const ScoreWords& options) {
  if (options.start.empty()) return 0.0;
  const text::Quantity start = text::parse_quantity(options.start, text::Kind::kTime);
  if (!start.error.empty() || start.value_si < 0.0)
    throw text::InputError(fmt::format("--start {}: {}", options.start,
                                       start.error.empty() ? "not before 0" : start.error));
  return start.value_si;
}

/// Reads no more than it takes to know the recording's form and signals.
void print_size_of_score(const ScoreWords& options, const score::CaptureReader& reader,
                         const scenario::Scenario& setup, const std::filesystem::path& out) {
  std::error_code error;
  const auto bytes = std::filesystem::file_size(options.input, error);
  std::fputs(fmt::format("would score {}: {:.1f} MB, {} row{}, {}against {}, into {}\n",
                         shown_path(options.input), error ? 0.0 : static_cast<double>(bytes) * 1e-6,
                         reader.rows(), reader.rows() == 1 ? "" : "s",
                         reader.records_current() ? "with current, " : "", setup.name, out.string())
                 .c_str(),
             stdout);
}

/// What it took, for the person at the terminal.
void tell_memory() {
  struct rusage used{};
  getrusage(RUSAGE_SELF, &used);
  std::fputs(fmt::format("took at most {:.0f} MB of memory\n",
                         static_cast<double>(used.ru_maxrss) / 1024.0)
                 .c_str(),
             stderr);
}

int execute_score(const ScoreWords& options, const std::atomic<bool>& stop) {
  const scenario::Scenario setup = scenario::load_scenario(options.setup, options.sets);
  require_controller(setup);
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / (setup.name + "_score") : options.out;
  const double from_s = start_s(options);
  const std::unique_ptr<score::CaptureReader> reader =
      score::open_capture(options.input, capture_words(options));
  if (options.dry_run) {
    print_size_of_score(options, *reader, setup, out);
    return kHeld;
  }
  const OutLock lock(out, options.typed);
  constexpr std::string_view kResults[] = {"summary.json", "seeds.csv", "applied.csv",
                                           "openings.csv", "report.html"};
  require_free(out, kResults);
  Progress progress(setup.name, {}, options.hides_progress());
  score::Score score = score::score_of(
      setup, *reader,
      {.recording = options.input,
       .folder = out,
       .start_s = from_s,
       .off_decays_fast = options.off == "fast",
       .stop = &stop,
       .on_progress = [&](double done_ratio) { progress.at(done_ratio, 0.0, "pass"); }});
  const run::LongTables tables = score::long_tables(score);
  const run::LongTables* long_ones = tables.seeds.empty() ? nullptr : &tables;
  seal(score.result, long_ones);
  const run::ReportExtras extras{score::recording_extra(score, options.units)};
  run::write_run(score.result, out, options.units, extras, long_ones);
  if (!options.hides_progress()) tell_memory();
  if (options.json) {
    std::fputs(run::summary_json(score.result, extras).c_str(), stdout);
    return code_of_pass(score.result.summary);
  }
  std::fputs((run::run_sentence(score.result, options.units, extras) + "\n").c_str(), stdout);
  print_requirements(score.result.summary, options.units, {});
  for (const std::string& line : score::recording_lines(score, options.units))
    std::fputs((line + "\n").c_str(), stdout);
  std::fputs(fmt::format("report: {}\n", (out / "report.html").string()).c_str(), stdout);
  return code_of_pass(score.result.summary);
}

}  // namespace

Command score_command() {
  const auto options = std::make_shared<ScoreWords>();
  return {
      .name = "score",
      .description = "a recording of a real controller's pins, judged against every seed",
      .define = [options](CommandWords& words) { define_score(words, *options); },
      .execute = [options](const std::atomic<bool>& stop) { return execute_score(*options, stop); },
      .common = options.get(),
      .keeps = [options] { return kept_folder_of(options->out, options->dry_run); }};
}

}  // namespace sim::command
