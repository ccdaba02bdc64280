#include "sim/command/common_options.h"

#include <CLI/CLI.hpp>

namespace sim {

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
            options.units = word == "us" ? Units::kUs : Units::kMetric;
          },
          "units of text and report: us or metric (JSON and CSV are always SI)")
      ->check(CLI::IsMember({"us", "metric"}));
}

void scenario_options(CLI::App& command, CommandOptions& options) {
  command
      .add_option("--set", options.sets,
                  "KEY=VALUE over the file's, such as --set travel.speed=\"12 km/h\"")
      ->take_all();
  command.add_option("--out", options.out, "folder for the results (default out/NAME)");
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

}  // namespace sim
