// Passes that go through their slots together, so that rows of several passes stand side by side in
// lanes (row_team.h): a machine of 1 to 7 rows leaves lanes empty.
//
//   every slot:  each pass' machine controller, frames and supply -> rows of all passes, in teams
//                -> each pass takes what its rows hand over
//
//   A pass that is over, has failed or is asked to stop leaves, and the teams are formed anew from
//   the rows that are left. Machines, frames and regulators are those of each pass: what a pass
//   gives does not depend on its company, neither its record nor its error.
//   All of it runs on the thread that calls. Whoever has threads to fill calls it from each with a
//   group of passes.
//
// Alone    a pass runs as by run_pass where its controllers run apart, its rows share a supply, a
//          fault or all calls are kept, it ends with a watched seed, its work is watched or its
//          column is ideally still; and where no other is left to go with it
// Errors   those of each pass are in its outcome
// Checked  tests/sim/bench/pass_company_test.cc
#pragma once

#include <exception>
#include <functional>
#include <span>
#include <vector>

#include "sim/bench/pass.h"

namespace sim::bench {

struct PassJob {
  scenario::Scenario scenario;
  sillion_attachment_table table;
  std::vector<int> trim_um;  // as for run_pass
  PassOptions options;
};

struct PassOutcome {
  PassRecord record;
  std::exception_ptr failed;  // instead of the record
};

/// The outcomes in the order of the jobs.
std::vector<PassOutcome> run_passes(std::span<const PassJob> jobs);

}  // namespace sim::bench
