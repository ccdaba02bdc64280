#include "sim/command/sweep_shards.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <cstdio>
#include <map>
#include <mutex>

#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/out_lock.h"
#include "sim/command/shard_words.h"
#include "sim/command/study_ledger.h"
#include "sim/command/sweep_keep.h"
#include "sim/command/sweep_print.h"
#include "sim/command/sweep_work.h"
#include "sim/output/write_folder.h"
#include "sim/study/sweep/cell_record.h"
#include "sim/study/sweep/merge.h"
#include "sim/study/sweep/sweep_ledger.h"
#include "sim/study/sweep/sweep_page.h"
#include "sim/study/sweep/sweep_words.h"
#include "sim/text/input_error.h"

namespace sim::command {
namespace {

namespace fs = std::filesystem;

/// A shard that another run left here is not overwritten by one with another number.
void require_own_folder(const fs::path& out, const sweep::ShardNote& note) {
  const std::optional<sweep::ShardNote> there = sweep::read_shard_note(out);
  if (!there || there->shard.count != note.shard.count ||
      there->shard.number == note.shard.number ||
      !sweep::differing_hash(there->hashes, note.hashes).empty())
    return;
  throw text::InputError(fmt::format(
      "{}: shard {} of the same study is there; state another folder for shard {} with --out",
      out.string(), there->shard.words(), note.shard.words()));
}

void print_shard(const sweep::ShardNote& note, const std::vector<sweep::SweepCell>& cells,
                 const SweepOptions& options, const fs::path& out) {
  if (options.json) {
    std::fputs(sweep::shard_json(note).c_str(), stdout);
    return;
  }
  const sweep::CellCounts count = sweep::count_cells(cells);
  std::string words = fmt::format("shard {} of {}: {} {} finished", note.shard.words(), note.name,
                                  count.cells, count.cells == 1 ? "cell" : "cells");
  if (count.violated > 0) words += fmt::format(", {} violated", count.violated);
  if (count.not_servable > 0) words += fmt::format(", {} not servable", count.not_servable);
  if (count.failed > 0) words += fmt::format(", {} failed", count.failed);
  std::fputs(fmt::format("{}. Once all shards have run, merge them with:\n  {}\n", words,
                         merge_line(options, note.name, note.shard, out))
                 .c_str(),
             stdout);
}

/// The folder of a shard: known, or beside that of another.
fs::path folder_of(const sweep::Study& study, const sweep::ShardFolders& folders,
                   std::size_t number) {
  const auto known = folders.by_shard.find(number);
  if (known != folders.by_shard.end()) return known->second;
  for (const auto& [other, folder] : folders.by_shard)
    if (const auto beside = folder_beside(folder, other, number)) return *beside;
  return shard_folder(study.name, {number, folders.count});
}

void require_all_shards(const sweep::Study& study, const sweep::ShardFolders& folders,
                        const SweepOptions& options) {
  const std::vector<std::size_t> missing = folders.missing();
  if (missing.empty()) return;
  std::string words;
  for (const std::size_t number : missing) {
    const sweep::Shard shard{number, folders.count};
    words +=
        fmt::format("\n  shard {} is missing; state its folder too, or run it with: {}",
                    shard.words(), shard_line(options, shard, folder_of(study, folders, number)));
  }
  throw text::InputError(fmt::format("--merge: {} of {} shards of {} are stated:{}",
                                     folders.by_shard.size(), folders.count, study.name, words));
}

[[noreturn]] void refuse_missing(const sweep::Study& study, const sweep::ShardFolders& folders,
                                 const SweepOptions& options,
                                 const std::vector<sweep::MissingCell>& missing) {
  struct Lacking {
    std::size_t cells = 0;
    std::string first;
  };
  std::map<std::size_t, Lacking> by_shard;
  for (const sweep::MissingCell& cell : missing) {
    Lacking& lacking = by_shard[cell.shard];
    if (lacking.cells++ > 0) continue;
    for (const std::string& value : cell.values)
      lacking.first += (lacking.first.empty() ? "" : ", ") + value;
  }
  std::string words;
  for (const auto& [number, lacking] : by_shard) {
    const sweep::Shard shard{number, folders.count};
    const fs::path folder = folder_of(study, folders, number);
    words += fmt::format(
        "\n  shard {} in {} lacks {}{}; finish it with: {} --resume", shard.words(),
        folder.string(),
        lacking.cells == 1 ? "the cell " : fmt::format("{} cells, the first ", lacking.cells),
        lacking.first.empty() ? "without axes" : lacking.first, shard_line(options, shard, folder));
  }
  throw text::InputError("--merge: not all cells of " + study.name + " are finished:" + words);
}

/// The cells that a result is made of, as the ledgers of the shards hold them.
class UsedCells {
 public:
  explicit UsedCells(const sweep::ShardFolders& folders) : folders_(folders) {}

  std::optional<sweep::FinishedCell> read(const std::string& inputs) {
    const auto place = folders_.cells.find(inputs);
    if (place == folders_.cells.end()) return {};
    std::optional<sweep::FinishedCell> found = sweep::cell_in(*place->second, inputs);
    const std::lock_guard lock(one_at_a_time_);
    if (found) used_.push_back(inputs);
    return found;
  }
  void copy_to(output::Ledger& ledger) const {
    for (const std::string& inputs : used_)
      if (const std::optional<std::string> record = folders_.cells.at(inputs)->find(inputs))
        ledger.keep(inputs, output::kWhole, *record);
  }

 private:
  const sweep::ShardFolders& folders_;
  std::mutex one_at_a_time_;
  std::vector<std::string> used_;
};

void require_other_folder(const fs::path& out, const std::vector<fs::path>& folders) {
  std::error_code ignored;
  for (const fs::path& folder : folders)
    if (fs::equivalent(folder, out, ignored))
      throw text::InputError(out.string() +
                             ": is the folder of a shard; state another one for the result "
                             "with --out");
}

}  // namespace

void require_one_part(const SweepOptions& options) {
  if (!options.shard.empty()) sweep::read_shard(options.shard);
  if (options.shards.empty()) return;
  const char* other = !options.shard.empty() ? "--shard"
                      : options.resume       ? "--resume"
                      : options.dry_run      ? "--dry-run"
                                             : nullptr;
  if (other != nullptr)
    throw text::InputError(std::string("--merge: does not go with ") + other +
                           ": a merge runs no cell, it reads those that the shards have finished");
}

int execute_shard(const sweep::Study& study, const SweepOptions& options,
                  const std::atomic<bool>& stop) {
  const sweep::Shard shard = sweep::read_shard(options.shard);
  const fs::path out = options.out.empty() ? shard_folder(study.name, shard) : options.out;
  const OutLock lock(out, options.typed);
  require_free(out, kSweepFiles);
  judge_first(study, options, stop);
  const sweep::ShardNote note{study.name, shard, sweep::hashes_of_study(study)};
  require_own_folder(out, note);
  const auto ledger = opened_ledger(out, sweep::owner_of(note.hashes), options.resume);
  clear_results(out);
  output::write_whole_file(sweep::shard_file(out), sweep::shard_json(note));
  tell_how_to_go_on(options);
  const std::vector<sweep::SweepCell> cells = run_part(
      study, shard, {.own = ledger.get()}, options, study.name + ", shard " + shard.words(), stop);
  tell_failed(cells);
  print_shard(note, cells, options, out);
  return code_of(cells);
}

void print_size_of_shard(const sweep::Study& study, const SweepOptions& options) {
  const sweep::Shard shard = sweep::read_shard(options.shard);
  const bool combinations =
      sweep::deals_combinations(study) && study.sampling != scenario::Sampling::kGrid;
  std::fputs(fmt::format("shard {} would run {} of these {} {}\n", shard.words(),
                         sweep::dealt_to(study, shard), sweep::dealt_count(study),
                         combinations ? "combinations of the listed axes" : "cells")
                 .c_str(),
             stdout);
}

int execute_merge(const sweep::Study& study, const SweepOptions& options,
                  const std::atomic<bool>& stop) {
  const fs::path out = out_of(options, study.name);
  const std::vector<fs::path> stated(options.shards.begin(), options.shards.end());
  require_other_folder(out, stated);
  const OutLock lock(out, options.typed);
  require_free(out, kSweepFiles);
  judge_first(study, options, stop);
  const sweep::StudyHashes hashes = sweep::hashes_of_study(study);
  const sweep::ShardFolders folders = sweep::read_shard_folders(stated, hashes);
  for (const std::string& cell : folders.differing)
    spdlog::error("{}: the same cell has different results: trust neither shard", cell);
  if (!folders.differing.empty()) return kDifferentBytes;
  require_all_shards(study, folders, options);
  UsedCells used(folders);
  sweep::SweepResult result = sweep::merge_cells(
      study,
      {.shards = folders.count,
       .read =
           [&](const sweep::CellPlan& plan) { return used.read(sweep::cell_inputs(study, plan)); },
       .refuse =
           [&](const std::vector<sweep::MissingCell>& missing) {
             refuse_missing(study, folders, options, missing);
           }},
      &stop);
  seal(result);
  const auto ledger = opened_ledger(out, sweep::owner_of(hashes), false);
  clear_results(out);
  used.copy_to(*ledger);
  ledger->close();
  sweep::write_sweep(result, out, options.units);
  write_kept_passes(options, study, result, out, stop);
  tell_failed(result.cells);
  print_sweep(result, options, out);
  return code_of(result.cells);
}

}  // namespace sim::command
