// The results of a pass as `run` left them in a folder: who it was, what was applied in each second
// of each row (applied.csv), and each band (seeds.csv), which is read line by line because a field
// has millions of them.
//
//   A merged band serves several seeds, and the table names it beside each of them; here it comes
//   once, beside the first. Bands beside which the table names no seed are in applied.csv alone.
//
// Errors   InputError: no folder, no result of `run`, a table or a column that is missing, a cell
//          that is no number, a row or a second that is out of place; with file, line and column
// Checked  tests/sim/study/map/kept_run_test.cc
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "sim/study/run/applied.h"

namespace sim::map {

struct KeptRun {
  std::filesystem::path folder;
  std::string name;
  std::string title;
  std::string result_hash;
  double applied_volume_m3 = 0.0;  // as summary.json has it: all that left the outlets
  double simulated_s = 0.0;
  std::size_t rows = 0;
  std::size_t seconds = 0;                  // of each row
  std::vector<run::AppliedSecond> applied;  // row after row, second after second
  double width_m = 0.0;       // of a row, from its rates and ways; not-a-number: nothing was laid
  double band_area_m2 = 0.0;  // commanded length times the row's width; not-a-number: no bands

  const run::AppliedSecond& at(std::size_t row, std::size_t second) const {
    return applied[row * seconds + second];
  }
};

/// A band beside its seed.
struct KeptBand {
  int row = 0;
  long long seed = 0;
  double open_s = 0.0;
  double centre_x_ground_m = 0.0;
  double length_m = 0.0;
  double placement_error_m = 0.0;  // not-a-number: of a merged band
  double dose_m3 = 0.0;
  bool merged = false, weak = false;
};

/// The area of a row's second in which a seed passed or a band was laid, else 0: a pass goes on
/// when its meters are empty, and that way is no worked area.
double worked_area_m2(const KeptRun& run, const run::AppliedSecond& one);

KeptRun read_kept_run(const std::filesystem::path& folder);
/// Each band once, row after row. `stop`: ends the reading by bench::Interrupted.
void for_each_band(const KeptRun& run, const std::function<void(const KeptBand&)>& take,
                   const std::atomic<bool>* stop = nullptr);

}  // namespace sim::map
