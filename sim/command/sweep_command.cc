// `sweep`: a study over a grid, its table and report. Every cell is read and judged before the
// first runs. The verdict is that of all cells together: one that violates a requirement, or
// cannot be served, exits 1. A cell whose controller or model fails is told and exits 4 or 3; the
// others go on. Finished cells and passes are in a ledger, from which --resume goes on after a
// kill, and from which the shards of several machines are merged.
#include <memory>

#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/kept_findings.h"
#include "sim/command/out_lock.h"
#include "sim/command/ranks.h"
#include "sim/command/size_of_work.h"
#include "sim/command/study_ledger.h"
#include "sim/command/sweep_keep.h"
#include "sim/command/sweep_options.h"
#include "sim/command/sweep_print.h"
#include "sim/command/sweep_ranks.h"
#include "sim/command/sweep_shards.h"
#include "sim/command/sweep_work.h"
#include "sim/study/sweep/sweep.h"
#include "sim/study/sweep/sweep_ledger.h"
#include "sim/study/sweep/sweep_page.h"
#include "sim/text/read_once.h"

namespace sim::command {
namespace {

void define_sweep(CommandWords& words, SweepOptions& options) {
  add_common_options(words, options, "STUDY", "study file (TOML)");
  add_scenario_options(words, options);
  add_controller_options(words, options);
  add_resume_option(words, options.resume, "cells and passes");
  words.text("--shard", options.shard,
             "i/S: run only the cells of shard i of S, for a merge (default --out "
             "out/NAME-shards-of-S/i)");
  words.list("--merge", options.shards,
             "folders of all shards: write what one sweep would have written; nothing runs but "
             "the pass that the report draws");
  words.list("--keep", options.kept,
             "INDEX of a pass to write whole, with all its seeds, into runs/ of the results: CELL "
             "or CELL/PASS, both from 0, or worst");
  add_dry_run_option(words, options.dry_run);
  words.examples({"sillion sweep scenarios/demo_sweep.toml",
                  "sillion sweep scenarios/demo_sweep.toml --set replicas=1 --out out/quick "
                  "--json",
                  "sillion sweep scenarios/demo_sweep.toml --shard 2/5 --out out/shards/2"});
}

/// The command that goes on with this one; a merge begins anew.
void complete_sweep(SweepOptions& options) {
  if (options.shards.empty()) complete_with_resume(options, options.resume);
}

int execute_whole(const sweep::Study& study, const SweepOptions& options,
                  const std::atomic<bool>& stop) {
  const std::filesystem::path out = out_of(options, study.name);
  const OutLock lock(out, options.typed);
  require_free(out, kSweepFiles);
  judge_first(study, options, stop);
  const auto ledger =
      opened_ledger(out, sweep::owner_of(sweep::hashes_of_study(study)), options.resume);
  clear_results(out);
  tell_how_to_go_on(options);
  sweep::SweepResult result = run_whole(study, {.own = ledger.get()}, options, stop);
  seal(result);
  sweep::write_sweep(result, out, options.units);
  write_kept_passes(options, study, result, out, stop);
  tell_failed(result.cells);
  print_sweep(result, options, out);
  return code_of(result.cells);
}

int execute_sweep(const SweepOptions& options, const std::atomic<bool>& stop) {
  const text::ReadOnce once;
  require_one_part(options);
  const bool in_parts = !options.shard.empty() || !options.shards.empty();
  if (!in_parts && are_ranks()) return execute_in_ranks(options, stop);
  const sweep::Study study =
      sweep::load_study(options.input, sets_with_controller(options, options));
  require_keepable(options, study);
  if (options.dry_run) {
    print_size_of_sweep(study, out_of(options, study.name));
    if (!options.shard.empty()) print_size_of_shard(study, options);
    return kHeld;
  }
  if (!options.shard.empty()) return execute_shard(study, options, stop);
  if (!options.shards.empty()) return execute_merge(study, options, stop);
  return execute_whole(study, options, stop);
}

}  // namespace

Command sweep_command() {
  const auto options = std::make_shared<SweepOptions>();
  return {
      .name = "sweep",
      .description = "many passes over values of ground speed, spacing or any other key",
      .define = [options](CommandWords& words) { define_sweep(words, *options); },
      .execute = [options](const std::atomic<bool>& stop) { return execute_sweep(*options, stop); },
      .common = options.get(),
      .controller = options.get(),
      .keeps = [options] { return kept_folder_of(options->out, options->dry_run); },
      .complete = [options] { complete_sweep(*options); },
      .many_passes = true};
}

}  // namespace sim::command
