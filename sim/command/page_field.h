// What the page asks of the results of its jobs: the field of a pass, its bands, and a delay table.
//
// Errors   InputError: no such job, none that has ended, no such result; what the readers refuse
// Checked  tests/sim/command/page_answers_test.cc
#pragma once

#include <atomic>
#include <filesystem>
#include <memory>
#include <mutex>
#include <optional>
#include <string>

#include "sim/command/page_jobs.h"
#include "sim/study/map/field_place.h"
#include "sim/study/map/kept_run.h"
#include "sim/study/page/page_settings.h"

namespace sim::command {

class PageField {
 public:
  PageField(const page::PageBase& base, PageJobs& jobs) : base_(base), jobs_(jobs) {}

  /// `pass_length`: as `sillion map --pass-length` takes it; empty: the usual one of map_view.h.
  std::string cells(int job, const std::string& pass_length);
  /// Of the field that `cells` lays for the same length.
  std::string bands(int job, const std::string& pass_length, double from_s, double until_s,
                    const std::atomic<bool>* stop);
  /// The delay table of a job, in SI.
  std::string table(int job);
  std::filesystem::path table_file(int job);

 private:
  struct Laid {
    int job = 0;
    std::string asked;  // the length of a pass, as a person wrote it
    map::KeptRun run;
    std::optional<map::FieldPlace> place;
    double pass_length_m = 0.0;
  };
  std::shared_ptr<const Laid> lay(int job, const std::string& pass_length) const;

  const page::PageBase& base_;
  PageJobs& jobs_;
  std::mutex mutex_;
  std::shared_ptr<const Laid> laid_;  // the last one: most tabs ask for its bands
};

}  // namespace sim::command
