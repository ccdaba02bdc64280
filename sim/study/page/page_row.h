// The answer to a setting: one row passed over, as JSON that the page draws.
//
//   full     as `run` computes it: the form of the lines is judged, the delay table tuned and the
//            strip test laid again for this setting. Its figures are those of the command line
//            shown.
//   coarse   at once: form of the lines, delay table and trim stay as the last full answer left
//            them; only the pass itself is computed. Of the table, b moves with what is known
//            without tuning (sim/study/tune/tune.h): the outlet's offset, the way of a geared belt,
//            and the errors that the scenario adds to a and b. The answer says so in words.
//
// Errors   as run_scenario; a coarse answer does not say that the delay would be negative
// Checked  tests/sim/study/page/page_row_test.cc
#pragma once

#include <atomic>
#include <memory>
#include <mutex>
#include <optional>
#include <string>

#include "sim/study/page/page_settings.h"
#include "sim/study/run/run.h"

namespace sim::page {

struct RowAnswer {
  run::RunResult result;
  bool full = true;
  std::string words;  // what it rests on
};

/// Keeps what the last full answer found. From any thread.
class RowDesk {
 public:
  RowAnswer full(const PageInput& input, const std::atomic<bool>* stop = nullptr);
  /// A full answer where there was none yet, and where the setting needs no tuning.
  RowAnswer coarse(const PageInput& input, const std::atomic<bool>* stop = nullptr);
  /// Takes what a full answer found elsewhere as found here.
  void keep(const run::RunResult& full);
  /// What was found: its scenario has the form of its lines; nothing before the first full answer.
  std::optional<run::RunResult> kept() const;

 private:
  struct Found {
    scenario::Scenario scenario;
    model::SolverParams solver;
    tune::TunedTable tuned;
    std::vector<int> trim_um;
  };
  std::shared_ptr<const Found> found() const;

  mutable std::mutex mutex_;
  std::shared_ptr<const Found> found_;
};

/// What the page draws: seeds and bands, line density, figures, delay, jet, requirements.
std::string row_json(const RowAnswer& answer, const PageInput& input, output::Units units);
/// One seed: its steps as `explain` prints them, and its waveforms over one time axis.
/// Errors   InputError: no such seed
std::string seed_json(const PageInput& input, int seed, const std::atomic<bool>* stop = nullptr);

}  // namespace sim::page
