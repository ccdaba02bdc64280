#include "sim/command/common_options.h"

namespace sim::command {

void add_common_options(CommandWords& words, CommonOptions& options, const std::string& input,
                        const std::string& input_help, Need need) {
  words.input(input, options.input, input_help, need);
  words.flag("--json", options.json,
             "print one JSON document on standard output, and everything else on standard error");
  words.number("--threads", options.threads, {0, 1024},
               "number of worker threads (0: all cores); it changes no byte of a result");
  words.number("--lanes", options.lanes, {0, 64},
               "number of rows that step side by side in one register of the processor (0: as "
               "many as suit; 1: none); it changes no byte of a result");
  words.flag("--quiet", options.quiet, "show no progress");
}

void add_scenario_options(CommandWords& words, ScenarioOptions& options) {
  words.list("--set", options.sets,
             "KEY=VALUE that replaces a value of the file, such as --set travel.speed=\"12 km/h\"");
  words.path(
      "--out", options.out,
      "folder for the results (default out/NAME); where it lies below out, tables and trims that "
      "take long to compute are kept in out/kept for the next command; that folder may be deleted");
  add_units_option(words, options.units);
}

void add_controller_options(CommandWords& words, ControllerOptions& options) {
  words.text("--controller", options.controller,
             "controller under test: a shared library that exports the functions of "
             "shared/controller_abi.h (else the reference controller)");
  words.flag("--trust", options.trust, "run the controller in this process: faster, but not safe");
  words.flag("--apart", options.apart,
             "run the reference controller in a process of its own as well");
}

std::vector<std::string> sets_with_controller(const ScenarioOptions& scenario,
                                              const ControllerOptions& controller) {
  std::vector<std::string> sets = scenario.sets;
  // A path on the command line is seen from where one stands; one in a --set from the scenario.
  if (!controller.controller.empty())
    sets.push_back("controller.library=" +
                   std::filesystem::absolute(controller.controller).string());
  return sets;
}

void add_attachment_options(CommandWords& words, AttachmentOptions& options) {
  add_common_options(words, options, "ATTACHMENT",
                     "a name in the catalog, or a file with [attachment]: changes to one of the "
                     "catalog, or a whole attachment of your own");
  add_scenario_options(words, options);
  words.path("--scenario", options.scenario,
             "scenario file of the machine around the attachment (else the defaults; then state "
             "rate.in_band by --set)");
}

void add_units_option(CommandWords& words, output::Units& units) {
  words.choice(
      "--units", {"us", "metric"},
      [&units](const std::string& word) {
        units = word == "us" ? output::Units::kUs : output::Units::kMetric;
      },
      "units of text and report: us or metric (JSON and CSV are always SI)");
}

void add_dry_run_option(CommandWords& words, bool& dry_run) {
  words.flag("--dry-run", dry_run,
             "say what would run, how long it would take and how much disk space it would need; "
             "run nothing");
}

}  // namespace sim::command
