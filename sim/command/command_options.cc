#include "sim/command/command_options.h"

#include <spdlog/spdlog.h>

#include <CLI/CLI.hpp>
#include <algorithm>

#include "sim/command/exit_code.h"
#include "sim/command/typed_words.h"
#include "sim/output/cautions.h"
#include "sim/text/nearest.h"

namespace sim::command {
namespace {

constexpr const char* kAttachmentHelp =
    "a name of the catalog, or a file with [attachment]: a whole part of your own, or changes";

void common_options(CLI::App& command, CommandOptions& options, const char* input,
                    const char* input_help) {
  command.add_option(input, options.input, input_help)->required();
  command.add_flag("--json", options.json,
                   "one JSON document on standard output, everything else on standard error");
  command.add_option("--threads", options.threads, "worker threads; 0: all cores; same bytes")
      ->check(CLI::Range(0, 1024));
  command.add_flag("--quiet", options.quiet, "no progress");
}

void units_option(CLI::App& command, CommandOptions& options) {
  command
      .add_option_function<std::string>(
          "--units",
          [&options](const std::string& word) {
            options.units = word == "us" ? output::Units::kUs : output::Units::kMetric;
          },
          "units of text and report: us or metric (JSON and CSV are always SI)")
      ->check(CLI::IsMember({"us", "metric"}));
}

void scenario_options(CLI::App& command, CommandOptions& options) {
  command
      .add_option("--set", options.sets,
                  "KEY=VALUE over the file's, such as --set travel.speed=\"12 km/h\"")
      ->take_all();
  command.add_option("--out", options.out,
                     "folder for the results (default out/NAME); below out, what takes long to "
                     "find is kept in out/kept for the next command; that folder may be deleted");
  units_option(command, options);
}

void controller_option(CLI::App& command, CommandOptions& options) {
  command.add_option("--controller", options.controller,
                     "controller under test: a shared library that exports "
                     "shared/controller_abi.h (else the reference)");
  command.add_flag("--trust", options.trust, "run it in this process: faster, and not safe");
  command.add_flag("--apart", options.apart, "run the reference in a process of its own too");
}

void dry_run_option(CLI::App& command, CommandOptions& options) {
  command.add_flag("--dry-run", options.dry_run,
                   "say what would run, how long and how much disk; run nothing");
}

void machine_option(CLI::App& command, CommandOptions& options) {
  command.add_option("--scenario", options.scenario,
                     "the machine around it (else the defaults; state rate.in_band by --set)");
}

void wave_option(CLI::App& command, CommandOptions& options) {
  command.add_option("--wave", options.wave,
                     "also write that seed's waveform: FILE.vcd (IEEE 1364) and FILE.csv");
}

void order_option(CLI::App& command, CommandOptions& options) {
  command.add_option("--orders", options.orders, "orders of the effects; more differ less")
      ->check(CLI::Range(2, 1000))
      ->capture_default_str();
}

void define_budget(CLI::App& app, CommandOptions& options) {
  CLI::App* budget =
      app.add_subcommand("budget", "which part of the placement error is whose, seed by seed");
  common_options(*budget, options, "SCENARIO", "scenario file (TOML)");
  scenario_options(*budget, options);
  controller_option(*budget, options);
  order_option(*budget, options);
  budget
      ->add_option(
          "--seeds", options.seeds,
          "the first so many seeds of each row instead of the scenario's seeds or duration")
      ->check(CLI::Range(1, 1'000'000));
  dry_run_option(*budget, options);
  budget->footer(
      "Examples:\n  sillion budget scenarios/demo.toml --seeds 100\n"
      "  sillion budget scenarios/demo_gravity.toml --seeds 100 --orders 2 --units us");
}

void define_outlet(CLI::App& app, CommandOptions& options) {
  CLI::App* outlet = app.add_subcommand(
      "outlet", "outlet, tube, pressure: bands with sharp ends, and a tube that holds its liquid");
  common_options(*outlet, options, "ATTACHMENT", kAttachmentHelp);
  scenario_options(*outlet, options);
  machine_option(*outlet, options);
  dry_run_option(*outlet, options);
  OutletWords& words = options.outlet;
  const auto list = [&](const char* name, std::string& kept, const char* help) {
    outlet->add_option(name, kept, help);
  };
  list("--bores", words.bores, "outlet bores, such as \"1.2 mm, 1.4 mm\" (else around the stated)");
  list("--tube-bores", words.tube_bores, "tube bores");
  list("--tube-lengths", words.tube_lengths, "tube lengths");
  list("--hose-bores", words.hose_bores, "hose bores");
  list("--hose-lengths", words.hose_lengths, "hose lengths (else the stated one)");
  list("--walls", words.walls, "walls of the tube, such as \"as stated, polyamide 12\"");
  list("--hose-walls", words.hose_walls, "walls of the hose (else as stated)");
  list("--strainer", words.strainer, "mesh of the strainer ahead of it (else 50)");
  list("--stop", words.stop, "how long the machine stands (else \"300 s\")");
  list("--pause", words.pause, "without pulses at the end of a pass (else \"20 s\")");
  outlet->footer(
      "Examples:\n  sillion outlet \"short rake\" --scenario scenarios/demo.toml\n"
      "  sillion outlet \"swan neck\" --set rate.in_band=\"6 gal/ac\" --bores \"1.4 mm, 1.6 mm\" "
      "--walls \"polyamide 12\"");
}

void define_delay(CLI::App& app, CommandOptions& options) {
  CLI::App* delay =
      app.add_subcommand("delay", "delay table over speeds with residuals, intervals and limits");
  common_options(*delay, options, "ATTACHMENT", kAttachmentHelp);
  scenario_options(*delay, options);
  machine_option(*delay, options);
  delay->add_option("--points", options.points,
                    "CSV of measured points to join in: speed, delay, offset, uncertainty");
  delay
      ->add_option("--grade", options.grade,
                   "what the points make of the table: simulated, bench or field")
      ->check(CLI::IsMember({"simulated", "bench", "field"}));
  delay->add_option("--date", options.date, "of the measurement, for a measured grade");
  delay->add_flag("--strip-test", options.strip_test,
                  "plan a strip test with dyed water and print its sheet; run no study");
  delay->add_option("--readings", options.readings,
                    "with --strip-test: the CSV of tape readings, filled in");
  dry_run_option(*delay, options);
  delay->footer(
      "Examples:\n  sillion delay \"short rake\" --scenario scenarios/demo.toml\n"
      "  sillion delay \"swan neck\" --scenario scenarios/demo.toml --set tuning.speeds=6 --json");
}

void define_today(CLI::App& app, CommandOptions& options) {
  CLI::App* today = app.add_subcommand(
      "today", "the fastest speed that holds the tolerance today, and what limits it");
  common_options(*today, options, "ATTACHMENT", kAttachmentHelp);
  scenario_options(*today, options);
  machine_option(*today, options);
  today->add_option("--temperature", options.temperature, "of the liquid today, such as 6C");
  today->add_option("--pressure", options.pressure,
                    "the most that the pump holds, such as \"3 bar\"");
  today->add_option("--voltage", options.voltage, "of the supply, such as 11.5V");
  today->add_option("--table", options.table, "a delay table (else the catalog's beside it)");
  today->footer(
      "Examples:\n  sillion today \"short rake\" --scenario scenarios/demo.toml --temperature 6C\n"
      "  sillion today \"swan neck\" --scenario scenarios/demo.toml --pressure \"2 bar\" --json");
}

void define_valve(CLI::App& app, CommandOptions& options) {
  CLI::App* valve = app.add_subcommand(
      "valve", "is this valve in order? Its sheet by the model, by a bench trace, or live");
  common_options(*valve, options, "SETUP", "rig setup file (TOML); its keys: `sillion list rig`");
  scenario_options(*valve, options);
  valve->add_option("--trace", options.trace,
                    "CSV of a bench: time, command or voltage, current, units in the header");
  valve->add_option("--live", options.live,
                    "the same CSV as it comes: - for standard input, or a serial device");
  valve
      ->add_option("--pulses", options.live_pulses,
                   "with --live: stop after so many pulses (else when the samples or pulses end)")
      ->check(CLI::Range(1, 1'000'000));
  valve->add_option("--limits", options.limits, "limits file (else the setup's bench.limits)");
  valve->footer(
      "Examples:\n  sillion valve scenarios/demo_valve.toml\n"
      "  sillion rig scenarios/demo_valve_worn.toml --trace worn.csv\n"
      "  sillion valve scenarios/demo_valve.toml --trace worn.csv");
}

void suite_options(CLI::App& command, CommandOptions& options) {
  common_options(command, options, "SUITE", "suite file (TOML)");
  controller_option(command, options);
  command.add_option("--out", options.out, "folder for the results (default out/NAME)");
  command.add_option("--baseline", options.suite.baseline,
                     "accepted results (else the suite's `baseline`)");
}

void define_check(CLI::App& app, CommandOptions& options) {
  CLI::App* check = app.add_subcommand(
      "check", "red or green: a suite against its requirements and the accepted results");
  suite_options(*check, options);
  SuiteOptions& suite = options.suite;
  units_option(*check, options);
  check->add_option("--budget", suite.budget,
                    "start no further scenario after this time, such as 120s");
  check->add_option("--only", suite.only,
                    "only the scenarios of that name (* and ?): no verdict of the whole suite");
  check->add_flag("--strict", suite.strict, "exit 6 where behaviour waits for acceptance");
  check->add_flag("--resume", suite.resume, "keep the scenarios that a killed check has finished");
  check->add_flag("--fresh-keys", suite.fresh_keys,
                  "other seeds and noise in every scenario; the number they come from is told");
  check->add_option("--keys", suite.keys, "the keys of that number once more");
  dry_run_option(*check, options);
  check->footer(
      "Examples:\n  sillion check scenarios/pull_request.toml --budget 180s --strict\n"
      "  sillion check scenarios/pull_request.toml --only 'row, curve/*' --controller "
      "build/release/libsillion_reference.so");
}

void define_accept(CLI::App& app, CommandOptions& options) {
  CLI::App* accept =
      app.add_subcommand("accept", "take the last results of `check` as the accepted ones");
  suite_options(*accept, options);
  SuiteOptions& suite = options.suite;
  accept->add_option("--only", suite.only, "which scenarios: a name, * and ? allowed")->required();
  accept->add_option("--reason", suite.reason, "why this is right; kept in the baseline")
      ->required();
  accept->add_flag("--bulk", suite.bulk, "more than a tenth of the accepted scenarios may move");
  accept->add_flag("--release", suite.release,
                   "mark what is accepted as released: drift counts from here");
  accept->footer(
      "Examples:\n  sillion accept scenarios/pull_request.toml --only 'row, ramp*' --reason \"the "
      "lag "
      "is compensated now\"\n"
      "  sillion accept scenarios/pull_request.toml --only '*' --release --reason \"version 1.4\"");
}

void define_compare(CLI::App& app, CommandOptions& options) {
  CLI::App* compare =
      app.add_subcommand("compare", "two builds of a controller on the same seeds: what moves");
  common_options(*compare, options, "SCENARIO", "scenario file (TOML)");
  scenario_options(*compare, options);
  controller_option(*compare, options);
  compare->add_option("--against", options.against,
                      "the build to compare with: a shared library (else the reference)");
  compare->add_option("--runs", options.runs, "runs, each with its own seeds and noise")
      ->check(CLI::Range(2, 10'000))
      ->capture_default_str();
  compare
      ->add_option("--margin", options.margins,
                   "METRIC=VALUE: how much that metric may shift, such as "
                   "placement_error_abs_p95=\"1 mm\"")
      ->take_all();
  compare->add_flag("--strict", options.suite.strict, "exit 6 where the builds differ at all");
  dry_run_option(*compare, options);
  compare->footer(
      "Examples:\n  sillion compare scenarios/pull_request_row.toml --controller "
      "build/release/libsillion_reference.so\n"
      "  sillion compare scenarios/pull_request_still.toml --controller "
      "build/release/libsillion_reference.so --runs 20 --json");
}

void define_rate(CLI::App& app, CommandOptions& options) {
  CLI::App* rate = app.add_subcommand(
      "rate", "what rate to set, what leaves the tank, what stays in it, and what the seed meets");
  common_options(*rate, options, "PLAN", "plan file (TOML): a scenario with field, product, crop");
  scenario_options(*rate, options);
  rate->add_flag("--catch-test", options.catch_test,
                 "also what to collect below each row in 30 s and in 500 pulses");
  rate->add_flag("--passes", options.passes,
                 "also hold the plan against passes over its seeds, ideal and with full physics");
  rate->footer(
      "Examples:\n  sillion rate scenarios/demo_plan.toml --units us --catch-test\n"
      "  sillion rate scenarios/demo_plan.toml --set plan.concentrate=0 --json");
}

void define_run(CLI::App& app, CommandOptions& options) {
  CLI::App* run =
      app.add_subcommand("run", "one pass over the field: each band against its own seed");
  common_options(*run, options, "SCENARIO", "scenario file (TOML)");
  scenario_options(*run, options);
  dry_run_option(*run, options);
  run->add_option("--furrow", options.furrow,
                  "also write the drawing of the furrow as SVG to this file");
  controller_option(*run, options);
  wave_option(*run, options);
  run->add_option("--row", options.row, "with --wave: row (else where a requirement is worst)");
  run->add_option("--seed", options.seed, "with --wave: seed of that row");
  run->add_flag("--budget", options.budget,
                "also share the error out among its causes, as `sillion budget` does");
  order_option(*run, options);
  run->add_option("--budget-seeds", options.budget_seeds,
                  "with --budget: at most so many seeds of each row")
      ->check(CLI::Range(1, 1'000'000))
      ->capture_default_str();
  run->add_flag("--outlet", options.run_outlet,
                "also choose outlet, tube and hose for its attachment, as `sillion outlet` does");
  run->footer(
      "Examples:\n  sillion run scenarios/demo.toml\n"
      "  sillion run scenarios/demo.toml --set travel.speed=\"12 km/h\" --out out/slower --units "
      "us");
}

void define_sweep(CLI::App& app, CommandOptions& options) {
  CLI::App* sweep =
      app.add_subcommand("sweep", "many passes over ground speed, spacing or any other key");
  common_options(*sweep, options, "STUDY", "study file (TOML)");
  scenario_options(*sweep, options);
  controller_option(*sweep, options);
  sweep->add_flag("--resume", options.suite.resume, "keep what a killed sweep has finished");
  dry_run_option(*sweep, options);
  sweep->footer(
      "Examples:\n  sillion sweep scenarios/demo_sweep.toml\n"
      "  sillion sweep scenarios/demo_sweep.toml --set replicas=1 --out out/quick --json");
}

void define_rig(CLI::App& app, CommandOptions& options) {
  CLI::App* rig = app.add_subcommand(
      "rig", "one valve, line and outlet on the bench, no planter; parts can be ideal");
  common_options(*rig, options, "SETUP", "rig setup file (TOML); its keys: `sillion list rig`");
  scenario_options(*rig, options);
  rig->add_flag("--plot", options.plot, "also write a page of the histories, rig.html");
  rig->add_option("--trace", options.trace,
                  "write an invented bench trace of the valve to this file, and nothing else");
  rig->footer(
      "Examples:\n  sillion rig scenarios/demo_rig.toml --plot\n"
      "  sillion rig tests/published/setups/stop_oil.toml --set solver.step=\"100 us\" --json");
}

void define_explain(CLI::App& app, CommandOptions& options) {
  CLI::App* explain =
      app.add_subcommand("explain", "one seed from sensor edge to placement error, with numbers");
  common_options(*explain, options, "SCENARIO", "scenario file (TOML)");
  scenario_options(*explain, options);
  explain->add_option("--row", options.row, "row, counted from 0")->required();
  explain->add_option("--seed", options.seed, "seed of that row, counted from 0")->required();
  controller_option(*explain, options);
  wave_option(*explain, options);
  explain->footer(
      "Examples:\n  sillion explain scenarios/demo.toml --row 3 --seed 17\n"
      "  sillion explain scenarios/demo.toml --row 0 --seed 100 --wave out/seed.vcd");
}

void define_list(CLI::App& app, CommandOptions& options) {
  CLI::App* list = app.add_subcommand(
      "list", "what may be named: catalogs, signals, units, keys, crops' limits");
  common_options(*list, options, "KIND",
                 "one of: liquids, attachments, faults, metrics, signals, frames, units, schemas, "
                 "keys, rig, crops");
  list->footer("Examples:\n  sillion list attachments\n  sillion list metrics --json");
}

/// In the order in which --help lists them.
void define_commands(CLI::App& app, CommandOptions& options) {
  define_run(app, options);
  define_budget(app, options);
  define_check(app, options);
  define_accept(app, options);
  define_compare(app, options);
  define_rate(app, options);
  define_sweep(app, options);
  define_rig(app, options);
  define_delay(app, options);
  define_today(app, options);
  define_outlet(app, options);
  define_valve(app, options);
  define_explain(app, options);
  define_list(app, options);
}

}  // namespace

int parse_command_line(int argc, char** argv, CommandOptions& options) {
  options.again = options.typed = as_typed(argc, argv);
  CLI::App app{
      "sillion: physical model of a planter row's starter bands, with the controller under test in "
      "the loop.\n" +
          std::string(output::words_of(output::Caution::kDesignAid)),
      "sillion"};
  app.require_subcommand(1);
  app.footer("Examples:\n  sillion run scenarios/demo.toml\n  sillion list attachments");
  define_commands(app, options);
  if (argc > 1 && argv[1][0] != '-') {
    std::vector<std::string> names;
    for (const CLI::App* command : app.get_subcommands({})) names.push_back(command->get_name());
    if (std::find(names.begin(), names.end(), argv[1]) == names.end()) {
      const std::string nearest = text::nearest_name(argv[1], names);
      spdlog::error(
          "unknown command `{}`{}", argv[1],
          nearest.empty() ? "; --help names them all" : "; nearest valid name: `" + nearest + "`");
      return kBadInput;
    }
  }
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? kHeld : kBadInput;
  }
  options.command = app.get_subcommands().front()->get_name();
  complete_words(options);
  return kGoOn;
}

}  // namespace sim::command
