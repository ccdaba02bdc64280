#include "sim/command/sweep_work.h"

#include <mutex>
#include <optional>

#include "sim/command/progress.h"
#include "sim/command/size_of_work.h"
#include "sim/output/write_folder.h"
#include "sim/study/sweep/cell_file.h"
#include "sim/study/sweep/shard.h"
#include "sim/study/sweep/sweep_cells.h"

namespace sim::command {
namespace {

SweepWork work_for(const sweep::Study& study, const SweepOptions& options) {
  const sweep::LookedAt cells = sweep::look_at_cells(study, kMostLookedAt);
  return work_of(study, cells,
                 options.hides_progress() ? usual_pace() : measured_pace(cells.scenarios));
}

sweep::SweepOptions kept_in(const sweep::Study& study, const std::filesystem::path& out,
                            bool resume, const std::atomic<bool>& stop) {
  sweep::SweepOptions kept{.stop = &stop};
  if (resume)
    kept.find = [&study, out](const sweep::CellPlan& plan) {
      return sweep::read_cell(out, sweep::cell_inputs(study, plan));
    };
  kept.keep = [&study, out](const sweep::CellPlan& plan, const sweep::FinishedCell& done) {
    const std::string inputs = sweep::cell_inputs(study, plan);
    output::write_whole_file(sweep::cell_file(out, inputs), sweep::cell_json(inputs, plan, done));
  };
  return kept;
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

void clear_results(const std::filesystem::path& out, bool keep_cells) {
  std::error_code ignored;
  for (const std::string_view file : kSweepFiles)
    if (std::filesystem::is_regular_file(out / file, ignored))
      std::filesystem::remove(out / file, ignored);
  std::filesystem::remove(sweep::shard_file(out), ignored);
  if (!keep_cells) sweep::clear_cells(out);
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

sweep::SweepResult run_whole(const sweep::Study& study, const std::filesystem::path& out,
                             const SweepOptions& options, const std::atomic<bool>& stop) {
  const SweepWork work = work_for(study, options);
  Progress progress(study.name, {.row_s = work.row_s, .wall_s = work.processor_s / cores_in_use()},
                    options.hides_progress());
  sweep::SweepOptions kept = kept_in(study, out, options.resume, stop);
  kept.group_work_s = work.group_work_s;
  kept.on_progress = [&](double done, double found) { progress.at(done, found); };
  return sweep::run_sweep(study, kept);
}

std::vector<sweep::SweepCell> run_part(const sweep::Study& study, const sweep::Shard& shard,
                                       const std::filesystem::path& out,
                                       const SweepOptions& options, const std::string& what,
                                       const std::atomic<bool>& stop) {
  SweepWork work = work_for(study, options);
  leave_out_others(study, shard, work);
  Progress progress(what, {.row_s = work.row_s, .wall_s = work.processor_s / cores_in_use()},
                    options.hides_progress());
  sweep::SweepOptions kept = kept_in(study, out, options.resume, stop);
  kept.group_work_s = work.group_work_s;
  kept.on_progress = [&](double done, double found) { progress.at(done, found); };
  return sweep::run_shard(study, shard, kept);
}

}  // namespace sim::command
