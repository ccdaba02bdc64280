#include "sim/study/sweep/sweep_progress.h"

#include <algorithm>

namespace sim::sweep {

SweepProgress::SweepProgress(const Study& study, const SweepOptions& options, const Shard& shard)
    : study_(study),
      options_(options),
      steps_of_cell_(static_cast<double>(most_passes(study)) + 1.0) {
  const std::size_t cells = study.sampling == scenario::Sampling::kGrid
                                ? 1
                                : most_batches(study) * static_cast<std::size_t>(study.samples);
  steps_of_group_ = static_cast<double>(cells) * steps_of_cell_;
  if (!deals_combinations(study)) steps_of_group_ /= static_cast<double>(shard.count);
  done_of_group_.resize(group_count(study));
}

double SweepProgress::share_of(std::size_t group) const {
  if (options_.group_work_s.empty()) return 1.0 / static_cast<double>(group_count(study_));
  double all_s = 0.0;
  for (const double work_s : options_.group_work_s) all_s += work_s;
  return all_s > 0.0 ? options_.group_work_s[group] / all_s : 0.0;
}

void SweepProgress::steps_done(std::size_t group, double steps, bool found) {
  if (!options_.on_progress || steps <= 0.0) return;
  const std::lock_guard lock(mutex_);
  steps = std::min(steps, steps_of_group_ - done_of_group_[group]);
  done_of_group_[group] += steps;
  const double more_ratio = share_of(group) * steps / steps_of_group_;
  done_ratio_ += more_ratio;
  if (found) found_ratio_ += more_ratio;
  options_.on_progress(std::min(1.0, done_ratio_), found_ratio_);
}

}  // namespace sim::sweep
