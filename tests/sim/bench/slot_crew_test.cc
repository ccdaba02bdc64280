// The slots of a pass give the same record to the bit, whatever threads work on them and whether
// rows may be a slot ahead of each other.
#include "sim/bench/slot_crew.h"

#include <gtest/gtest.h>
#include <oneapi/tbb/global_control.h>
#include <oneapi/tbb/task_arena.h>

#include <bit>
#include <mutex>

#include "sim/study/tune/tune_once.h"
#include "tests/sim/demo_scenario.h"

namespace {

namespace tbb = oneapi::tbb;
using sim::bench::PassOptions;
using sim::bench::PassRecord;
using sim::bench::PassWork;
using sim::scenario::Scenario;

/// What a record holds, as bits.
std::vector<std::uint64_t> bits_of(const PassRecord& record) {
  std::vector<std::uint64_t> bits;
  const auto add = [&](double value) {  // tidy: unit of any figure
    bits.push_back(std::bit_cast<std::uint64_t>(value));
  };
  add(record.simulated_s);
  add(record.manifold.rows_volume_m3);
  for (const sim::measure::RowRecord& row : record.rows) {
    bits.push_back(static_cast<std::uint64_t>(row.steps));
    bits.push_back(row.health.edges_rejected);
    for (const double figure : {row.applied_volume_m3, row.inlet_volume_m3, row.jet_speed_sum_mps,
                                row.balance_residual_m3})
      add(figure);
    for (const sim::measure::BandRecord& band : row.bands)
      for (const double figure : {band.open_s, band.close_s, band.start_x_ground_m,
                                  band.end_x_ground_m, band.centre_x_ground_m, band.dose_m3})
        add(figure);
  }
  return bits;
}

PassRecord pass_on(int threads, const Scenario& scenario, const PassOptions& options = {}) {
  const tbb::global_control most(tbb::global_control::max_allowed_parallelism,
                                 static_cast<std::size_t>(threads));
  const sillion_attachment_table table = sim::tune::tune_once(scenario).table;
  tbb::task_arena arena(threads);
  return arena.execute([&] { return sim::bench::run_pass(scenario, table, {}, options); });
}

Scenario small(std::vector<std::string> more = {}) {
  for (const char* set : {"seeds=25", "row.count=3", "controller.row_trim=false"})
    more.insert(more.begin(), set);
  return sim_test::demo(more);
}

TEST(SlotCrew, OneTwoAndFiveThreadsGiveTheSameBits) {
  const std::vector<std::vector<std::string>> cases = {
      {},
      {"supply.pump_flow=\"12 l/min\"", "supply.manifold_volume=\"0.1 l\"",
       "supply.manifold_modulus=\"200 bar\""},
      {"supply.harness_resistance=\"0.3 ohm\""},
      {"fault=[{kind = \"lost_frames\", amount = \"60 %\"}]"}};
  std::vector<std::vector<std::uint64_t>> seen;
  for (const auto& sets : cases) {
    const Scenario scenario = small(sets);
    seen.push_back(bits_of(pass_on(1, scenario)));
    for (const int threads : {2, 5})
      EXPECT_EQ(bits_of(pass_on(threads, scenario)), seen.back())
          << threads << " threads, " << (sets.empty() ? "plain" : sets.front());
  }
  // Were these equal, the comparisons above would show nothing.
  for (std::size_t k = 1; k < seen.size(); ++k) EXPECT_NE(seen[k], seen[0]) << cases[k][0];
}

// keep_fault lets no row run ahead: a fault would have to end all rows at one instant.
TEST(SlotCrew, RowsThatRunAheadAndRowsInStepGiveTheSameBits) {
  const Scenario scenario = small();
  EXPECT_EQ(bits_of(pass_on(5, scenario, {.keep_fault = true})), bits_of(pass_on(5, scenario)));
}

TEST(SlotCrew, NoRowIsMoreThanASlotAheadAndInStepNone) {
  sim::bench::set_rows_side_by_side(1);  // so that each row is a lane of the crew
  for (const bool in_step : {false, true}) {
    std::mutex mutex;
    std::vector<std::int64_t> done(4, 0);  // three rows and what lies between them
    std::int64_t farthest = 0, pieces = 0;
    const auto watch = [&](const PassWork& work) {
      if (work.phase < 0) return;
      const std::lock_guard lock(mutex);
      const auto lane = static_cast<std::size_t>(work.lane);
      if (!work.begins) {
        done[lane] = work.phase + 1;
        ++pieces;
        return;
      }
      EXPECT_EQ(done[lane], work.phase);
      if (lane == 3) return;
      EXPECT_GE(done[3], work.phase + (in_step ? 1 : 0));
      for (std::size_t row = 0; row < 3; ++row)
        farthest = std::max(farthest, work.phase - done[row]);
    };
    pass_on(5, small(), {.on_work = watch, .keep_fault = in_step});
    EXPECT_LE(farthest, in_step ? 0 : 1);
    EXPECT_EQ(pieces, 4 * done[0]);
    EXPECT_GT(done[0], 200);
  }
  sim::bench::set_rows_side_by_side(0);
}

TEST(SlotCrew, WhoAsksToStopIsHeard) {
  std::atomic<bool> stop{false};
  std::atomic<int> begun{0};
  const auto watch = [&](const PassWork& work) {
    if (work.begins && ++begun == 50) stop = true;
  };
  EXPECT_THROW(pass_on(2, small(), {.stop = &stop, .on_work = watch}), sim::bench::Interrupted);
  EXPECT_LT(begun, 60);
}

}  // namespace
