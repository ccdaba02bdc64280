// Every fault at three severities in 250 scenarios: 5 speeds, 5 spacings, 10 random keys. What each
// cell comes to is printed by kind and kept beside the tests, in fault_matrix_250/.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <map>

#include "sim/study/faults/fault_matrix.h"
#include "sim/study/faults/fault_matrix_report.h"
#include "sim/study/faults/fault_matrix_run.h"
#include "tests/support/listed_matrix.h"
#include "tests/support/scratch_folder.h"

namespace {

using sim::faults::CellState;
using sim::faults::JudgedCell;

std::string scenarios_toml() {
  const std::string base =
      (std::filesystem::path(SILLION_SOURCE_DIR) / "scenarios" / "fault_row.toml").string();
  std::string text;
  for (const int speed_kmph : {8, 10, 12, 14, 16})
    for (const int spacing_mm : {120, 150, 200, 250, 300})
      for (int key = 1; key <= 10; ++key) {
        const std::string name = std::to_string(speed_kmph) + " km/h, " +
                                 std::to_string(spacing_mm) + " mm, key " + std::to_string(key);
        text += "[[scenario]]\nname = \"" + std::to_string(speed_kmph) + "-" +
                std::to_string(spacing_mm) + "-" + std::to_string(key) + "\"\nbase = \"" + base +
                "\"\nfrom = \"0.6 s\"\nskips = [\"stuck_lift_signal\", \"bus_off\", "
                "\"busy_bus\"]\nset.\"travel.speed\" = \"" +
                std::to_string(speed_kmph) + " km/h\"\nset.\"seeding.spacing\" = \"" +
                std::to_string(spacing_mm) + " mm\"\nset.\"rate.band_length\" = \"45 mm\"\n" +
                "set.seeds = 40\nset.rng_key = " + std::to_string(key) + "\nset.title = \"" + name +
                "\"\ndegraded = [{ metric = \"within_25mm_sensed\", "
                "at_least = \"40 %\" }, { metric = \"gap_ratio\", at_most = \"15 %\" }]\n";
      }
  return text;
}

// The whole matrix, as `sillion faults scenarios/fault_matrix.toml` prints it.
TEST(FaultMatrixSlow, TheReferenceFirmwareUnderEveryFault) {
  support::expect_as_listed(sim::faults::load_matrix(
      std::filesystem::path(SILLION_SOURCE_DIR) / "scenarios" / "fault_matrix.toml", {}));
}

TEST(FaultMatrixSlow, EveryFaultIn250Scenarios) {
  const ScratchFolder scratch;
  const std::filesystem::path file = scratch.path() / "fault_matrix_250.toml";
  std::ofstream(file) << scenarios_toml();
  const sim::faults::FaultMatrix matrix = sim::faults::load_matrix(file, {});
  ASSERT_EQ(matrix.scenarios.size(), 250u);
  const sim::faults::MatrixResult result = sim::faults::run_matrix(matrix, {});
  sim::faults::write_matrix(result, std::filesystem::path(SILLION_BINARY_DIR) / "fault_matrix_250");
  std::printf("%s\n", sim::faults::matrix_sentence(result).c_str());
  std::map<std::string, std::map<CellState, int>> by_kind;
  for (const JudgedCell& one : result.cells) {
    EXPECT_NE(one.state, CellState::kControllerFault) << one.cell.id(matrix) << ": " << one.words;
    if (one.cell.kind.empty()) continue;
    ++by_kind[one.cell.kind + " " +
              std::string(sim::scenario::kSeverities[static_cast<std::size_t>(one.cell.severity)])]
             [one.state];
  }
  for (auto& [kind, states] : by_kind)
    std::printf("  %-32s held %3d, degraded %3d, violated %3d, never acted %3d\n", kind.c_str(),
                states[CellState::kHeld], states[CellState::kDegraded],
                states[CellState::kViolated], states[CellState::kNeverActed]);
  // A fault that goes unseen by rows in 250 scenarios would be no fault.
  for (auto& [kind, states] : by_kind) EXPECT_LT(states[CellState::kNeverActed], 125) << kind;
}

}  // namespace
