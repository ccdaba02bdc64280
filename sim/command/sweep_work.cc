#include "sim/command/sweep_work.h"

#include <mutex>
#include <optional>

#include "sim/command/progress.h"
#include "sim/command/size_of_work.h"
#include "sim/study/sweep/shard.h"
#include "sim/study/sweep/sweep_cells.h"
#include "sim/study/sweep/sweep_ledger.h"

namespace sim::command {
namespace {

SweepWork work_for(const sweep::Study& study, const SweepOptions& options) {
  const sweep::LookedAt cells = sweep::look_at_cells(study, kMostLookedAt);
  return work_of(study, cells,
                 options.hides_progress() ? usual_pace() : measured_pace(cells.scenarios));
}

sweep::SweepOptions kept_in(const sweep::Study& study, const SweepLedgers& ledgers,
                            const std::atomic<bool>& stop) {
  sweep::SweepOptions kept{.stop = &stop};
  sweep::use_ledger(study, *ledgers.own, ledgers.earlier, kept);
  return kept;
}

/// What `--keep` has written: folders of runs/ that are named by the number of a cell.
std::vector<std::filesystem::path> folders_of_passes(const std::filesystem::path& out) {
  std::vector<std::filesystem::path> folders;
  std::error_code ignored;
  for (const auto& entry : std::filesystem::directory_iterator(out / "runs", ignored))
    if (entry.path().filename().string().find_first_not_of("0123456789") == std::string::npos)
      folders.push_back(entry.path());
  return folders;
}

/// Work of the groups of which the shard has a part; the others count nothing.
void leave_out_others(const sweep::Study& study, const sweep::Shard& shard, SweepWork& work) {
  work.group_work_s.resize(sweep::group_count(study), 1.0);
  if (sweep::deals_combinations(study))
    for (std::size_t group = 0; group < work.group_work_s.size(); ++group)
      if (group % shard.count + 1 != shard.number) work.group_work_s[group] = 0.0;
  const double part_ratio = static_cast<double>(sweep::dealt_to(study, shard)) /
                            static_cast<double>(sweep::dealt_count(study));
  work.row_s *= part_ratio;
  work.processor_s *= part_ratio;
}

}  // namespace

std::filesystem::path out_of(const SweepOptions& options, const std::string& name) {
  return options.out.empty() ? std::filesystem::path("out") / name : options.out;
}

void clear_results(const std::filesystem::path& out) {
  std::error_code ignored;
  for (const std::string_view file : kSweepFiles)
    if (std::filesystem::is_regular_file(out / file, ignored))
      std::filesystem::remove(out / file, ignored);
  std::filesystem::remove(sweep::shard_file(out), ignored);
  for (const std::filesystem::path& folder : folders_of_passes(out))
    std::filesystem::remove_all(folder, ignored);
}

void judge_first(const sweep::Study& study, const SweepOptions& options,
                 const std::atomic<bool>& stop) {
  Progress progress("judging the cells of " + study.name, {}, options.hides_progress());
  std::mutex one_at_a_time;
  sweep::judge_cells(study, stop, [&](double done_ratio) {
    const std::lock_guard lock(one_at_a_time);
    progress.at(done_ratio);
  });
}

sweep::SweepResult run_whole(const sweep::Study& study, const SweepLedgers& ledgers,
                             const SweepOptions& options, const std::atomic<bool>& stop) {
  const SweepWork work = work_for(study, options);
  Progress progress(study.name, {.row_s = work.row_s, .wall_s = work.processor_s / cores_in_use()},
                    options.hides_progress());
  sweep::SweepOptions kept = kept_in(study, ledgers, stop);
  kept.group_work_s = work.group_work_s;
  kept.on_progress = [&](double done, double found) { progress.at(done, found); };
  sweep::SweepResult result = sweep::run_sweep(study, kept);
  ledgers.own->close();
  return result;
}

std::vector<sweep::SweepCell> run_part(const sweep::Study& study, const sweep::Shard& shard,
                                       const SweepLedgers& ledgers, const SweepOptions& options,
                                       const std::string& what, const std::atomic<bool>& stop) {
  SweepWork work = work_for(study, options);
  leave_out_others(study, shard, work);
  Progress progress(what, {.row_s = work.row_s, .wall_s = work.processor_s / cores_in_use()},
                    options.hides_progress());
  sweep::SweepOptions kept = kept_in(study, ledgers, stop);
  kept.group_work_s = work.group_work_s;
  kept.on_progress = [&](double done, double found) { progress.at(done, found); };
  std::vector<sweep::SweepCell> cells = sweep::run_shard(study, shard, kept);
  ledgers.own->close();
  return cells;
}

}  // namespace sim::command
