// A pass from its making to its record (sim/bench/pass.cc): it goes through its slots alone, on
// several threads, or in company with others (pass_company.h).
//
// Use      make it; run_alone(), or every slot from outside; then finish(), once. It holds
//          references into itself, so it does not move
// Errors   those of run_pass
// Checked  tests/sim/bench/pass_test.cc, tests/sim/bench/pass_company_test.cc
#pragma once

#include <cstdint>
#include <vector>

#include "sim/bench/machine_bench.h"
#include "sim/bench/pass.h"
#include "sim/bench/row_bench.h"

namespace sim::bench {

/// Machine and rows meet so often.
inline constexpr shared::Duration kSlot = shared::milliseconds(10);
/// After the last seed rests its band is laid and the column comes to rest.
inline constexpr double kPassRunOut_s = 0.5;
/// Slots that run without a look at who watches.
inline constexpr std::int64_t kSlotsAtOnce = 10;

class RunningPass {
 public:
  /// `options` outlives it.
  RunningPass(const scenario::Scenario& asked, const sillion_attachment_table& table,
              const std::vector<int>& trim_um, const PassOptions& options);
  RunningPass(const RunningPass&) = delete;
  RunningPass& operator=(const RunningPass&) = delete;

  /// All slots, whatever way the controllers are asked.
  void run_alone();
  PassRecord finish();

  const scenario::Scenario& scenario() const { return scenario_; }
  const PassOptions& options() const { return options_; }
  MachineBench& machine() { return machine_; }
  RowBenches& rows() { return rows_; }
  std::int64_t slots() const { return slots_; }
  void require_going_on() const;
  /// Its rows have run all slots before this one: who watches sees it.
  void watch_second(std::int64_t slot);
  void come_to(std::int64_t slot);

 private:
  void run_apart();
  void run_here();
  std::int64_t come_by(std::int64_t slot);
  void read_on();
  std::int64_t slot_short_of_edges(double known_s) const;

  scenario::Scenario scenario_;
  const PassOptions& options_;
  model::Travel travel_;
  MachineBench machine_;
  RowBenches rows_;
  Watch watch_;
  double end_s_ = 0.0;
  std::int64_t slots_ = 0;  // until end_s
  std::int64_t done_ = 0;   // slots that are counted
  RowBench::SoFar told_;    // what the rows had done at the second before
  struct {
    bool ended = true;          // all of the recording is known
    double known_s = 0.0;       // of the recording
    std::int64_t runnable = 0;  // slots that need no more of it
    double watched_delivery_s = 0.0;
  } fed_;
  PassRecord record_;
};

}  // namespace sim::bench
