// What a command line asked for, common to all commands.
#pragma once

#include <atomic>
#include <filesystem>
#include <string>
#include <vector>

#include "sim/command/outlet_options.h"
#include "sim/command/suite_options.h"
#include "sim/study/budget/budget.h"
#include "sim/study/run/report.h"

namespace sim::command {

struct CommandOptions {
  std::string command;
  std::string input;              // scenario, study or kind
  std::filesystem::path out;      // empty: out/NAME
  std::vector<std::string> sets;  // KEY=VALUE
  output::Units units = output::Units::kMetric;
  bool json = false;
  bool dry_run = false;
  bool quiet = false;
  bool plot = false;    // rig: also a page of plots
  bool budget = false;  // run: also whose error it is
  int orders = budget::kUsualOrders;
  int seeds = 0;            // budget: a row; 0 takes the scenario's
  int threads = 0;          // 0: all cores
  int budget_seeds = 100;   // run --budget: of each row, at most
  bool run_outlet = false;  // run: also the outlet study of its attachment
  int row = -1;             // -1, run --wave: where a requirement is worst
  int seed = -1;
  std::filesystem::path scenario;  // of an attachment: the machine around it
  std::filesystem::path table;     // today: a delay table's file
  std::filesystem::path points;    // delay: measured points to join in
  std::filesystem::path readings;  // delay --strip-test: tape readings
  bool strip_test = false;
  std::string grade = "simulated", date;       // delay --points
  std::string temperature, pressure, voltage;  // today, with units
  std::filesystem::path trace, limits;         // valve; rig: where an invented trace goes
  std::string live;                            // valve: a device, or - for standard input
  int live_pulses = 0;                         // valve --live: ends after so many; 0: by itself
  std::string against;                         // compare: the old build; empty: the reference
  int runs = 8;                                // compare
  std::vector<std::string> margins;            // compare: METRIC=VALUE
  bool catch_test = false;                     // rate
  bool passes = false;                         // rate: against passes over seeds
  OutletWords outlet;
  SuiteOptions suite;
  std::string controller;      // a shared library; also stands in `sets`
  bool trust = false;          // it runs in this process
  bool apart = false;          // the reference runs in a process of its own too
  std::filesystem::path wave;  // run, explain: waveform of one seed, and the same as CSV beside it
  std::filesystem::path furrow;  // run: also write the furrow drawing there
  std::string typed;             // the command line
  std::string again;             // the same, so that it goes on after an interruption
};

int run_command(const CommandOptions& options, const std::atomic<bool>& stop);
int sweep_command(const CommandOptions& options, const std::atomic<bool>& stop);
int explain_command(const CommandOptions& options, const std::atomic<bool>& stop);
int delay_command(const CommandOptions& options, const std::atomic<bool>& stop);
int today_command(const CommandOptions& options, const std::atomic<bool>& stop);
int rig_command(const CommandOptions& options, const std::atomic<bool>& stop);
int valve_command(const CommandOptions& options, const std::atomic<bool>& stop);
int outlet_command(const CommandOptions& options, const std::atomic<bool>& stop);
int check_command(const CommandOptions& options, const std::atomic<bool>& stop);
int compare_command(const CommandOptions& options, const std::atomic<bool>& stop);
int rate_command(const CommandOptions& options, const std::atomic<bool>& stop);
int accept_command(const CommandOptions& options, const std::atomic<bool>& stop);
int list_command(const CommandOptions& options);
/// Writes `options.wave` and the CSV beside it, whole or not at all; tells the path.
void write_wave(const run::RunResult& result, const CommandOptions& options);
/// The command that repeats what `options` asks of its input: "sillion explain X --row 3 ...".
std::string command_line_of(const std::string& command, const CommandOptions& options,
                            const std::string& more);
int budget_command(const CommandOptions& options, const std::atomic<bool>& stop);
/// The sealed budget of a scenario, with progress: what `budget` and `run --budget` show.
budget::BudgetResult budget_of(const scenario::Scenario& scenario, const CommandOptions& options,
                               const std::atomic<bool>& stop);
/// The sealed outlet study of a scenario's attachment, with progress: what `outlet` and `run
/// --outlet` show.
outlet::OutletResult outlet_of(const scenario::Scenario& scenario, const CommandOptions& options,
                               const std::atomic<bool>& stop);

}  // namespace sim::command
