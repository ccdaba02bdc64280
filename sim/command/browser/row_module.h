// One row in a browser: model, controller, bench and measures behind one question and one answer in
// text. The program compiles these sources as well; sim/command/browser/wasm_exports.cc makes the
// module of them.
//
//   question   first line "run", "full", "coarse" or "contents", then lines KEY=VALUE
//   run        summary.json without its hashes, and seeds.csv: what `run` takes its result hash of
//   full       as the page's full answer (sim/study/page/page_row.h), coarse likewise
//   contents   what the module knows now, with what its last full answer found
//
//   Set may be the keys from which no other key follows (kOwnKeys); every other one needs the
//   catalogs, which stay with the program.
//
// Errors   InputError: another question, a key that the module does not set, a value out of range;
//          those of run_scenario
// Checked  tests/sim/command/row_module_test.cc, tests/sim/command/row_module_slow_test.cc
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "sim/command/browser/row_contents.h"
#include "sim/study/page/page_row.h"

namespace sim::command {

class RowModule {
 public:
  explicit RowModule(const std::string& contents);
  std::string answer(const std::string& question);

 private:
  RowContents contents_;
  page::RowDesk desk_;
};

/// Keys that the module sets.
std::span<const std::string_view> module_keys();
/// The scenario with these values (as a person writes them) in place of its own.
scenario::Scenario with_settings(const scenario::Scenario& scenario,
                                 const std::vector<page::Setting>& settings);

}  // namespace sim::command
