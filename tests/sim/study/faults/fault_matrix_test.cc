// The fault matrix: its file, its verdicts, and what the reference firmware makes of every severe
// fault in every scenario of scenarios/fault_matrix.toml.
#include "sim/study/faults/fault_matrix.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <oneapi/tbb/global_control.h>

#include <algorithm>
#include <filesystem>
#include <fstream>

#include "sim/scenario/faults/catalog.h"
#include "sim/study/faults/fault_matrix_report.h"
#include "sim/study/faults/fault_matrix_run.h"
#include "sim/text/input_error.h"
#include "tests/support/listed_matrix.h"
#include "tests/support/scratch_folder.h"

namespace {

using sim::faults::CellState;
using sim::faults::FaultMatrix;
using sim::faults::JudgedCell;
using sim::faults::MatrixResult;
using testing::AllOf;
using testing::HasSubstr;

const std::filesystem::path kScenarios = std::filesystem::path(SILLION_SOURCE_DIR) / "scenarios";

FaultMatrix matrix_of(const std::string& text) {
  const ScratchFolder scratch;
  const std::filesystem::path file = scratch.path() / "matrix.toml";
  std::ofstream(file) << text;
  return sim::faults::load_matrix(file, {});
}

std::string error_of(const std::string& text) {
  try {
    matrix_of(text);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "no error";
}

std::string one_scenario(const std::string& more) {
  return "[[scenario]]\nname = \"even\"\nbase = \"" + (kScenarios / "fault_row.toml").string() +
         "\"\nfrom = \"0.8 s\"\n" + more;
}

const std::string kLoose = "degraded = [{ metric = \"gap_ratio\", at_most = \"90 %\" }]\n";

CellState state_of(const MatrixResult& result, const std::string& id) {
  for (const JudgedCell& one : result.cells)
    if (one.cell.id(result.matrix) == id) return one.state;
  ADD_FAILURE() << "no cell " << id;
  return CellState::kNeverActed;
}

// Half a millisecond at 16 km/h is 2 mm, 5 ms are 22 mm: beyond the 10 mm in which 85 % must lie.
TEST(FaultMatrix, LateEdgesHoldDegradeAndViolate) {
  const std::string kinds = "kinds = [\"late_edges\"]\nseverities = [\"mild\", \"severe\"]\n";
  const MatrixResult loose = sim::faults::run_matrix(matrix_of(kinds + one_scenario(kLoose)), {});
  ASSERT_EQ(loose.cells.size(), 3u);
  EXPECT_EQ(state_of(loose, "even"), CellState::kHeld);
  EXPECT_EQ(state_of(loose, "late_edges/mild/even"), CellState::kHeld);
  EXPECT_EQ(state_of(loose, "late_edges/severe/even"), CellState::kDegraded);
  EXPECT_TRUE(loose.red().empty());
  // Without `degraded` nothing less than the scenario's own requirements is enough.
  const MatrixResult strict = sim::faults::run_matrix(matrix_of(kinds + one_scenario("")), {});
  EXPECT_EQ(state_of(strict, "late_edges/severe/even"), CellState::kViolated);
  ASSERT_EQ(strict.red().size(), 1u);
  EXPECT_THAT(strict.red()[0]->words, HasSubstr("limit 0.85"));
}

TEST(FaultMatrix, KnownCellsAreNotRedAndAMendedOneIsNamed) {
  const FaultMatrix matrix = matrix_of(
      "kinds = [\"late_edges\"]\nknown = [\"late_edges/mild/even\", \"late_edges/severe/*\"]\n" +
      one_scenario(""));
  const MatrixResult result = sim::faults::run_matrix(matrix, {});
  EXPECT_EQ(state_of(result, "late_edges/medium/even"), CellState::kViolated);
  ASSERT_EQ(result.red().size(), 1u) << "the medium one is not listed";
  ASSERT_EQ(result.mended().size(), 1u);
  EXPECT_EQ(result.mended()[0]->cell.id(matrix), "late_edges/mild/even");
}

TEST(FaultMatrix, AFaultThatNeverActsIsNamed) {
  std::string text = one_scenario("");
  text.replace(text.find("0.8 s"), 5, "100 s");  // long after the last seed
  const MatrixResult result = sim::faults::run_matrix(
      matrix_of("kinds = [\"hot_coil\"]\nseverities = [\"mild\"]\n" + text), {});
  EXPECT_EQ(result.never_acted().size(), 1u);
  EXPECT_TRUE(result.red().empty());
}

TEST(FaultMatrix, MistakesInTheFileNameTheirKey) {
  EXPECT_THAT(error_of(""), HasSubstr("scenario"));
  EXPECT_THAT(error_of("kinds = [\"late_edge\"]\n" + one_scenario("")),
              AllOf(HasSubstr("matrix.toml:1: kinds"), HasSubstr("late_edges")));
  EXPECT_THAT(error_of("severities = [\"heavy\"]\n" + one_scenario("")), HasSubstr("severities"));
  EXPECT_THAT(error_of("known = [\"late_edges/mild/odd\"]\n" + one_scenario("")),
              AllOf(HasSubstr("no cell"), HasSubstr("late_edges/mild/even")));
  EXPECT_THAT(error_of(one_scenario("skip = []\n")),
              AllOf(HasSubstr("scenario[0].skip"), HasSubstr("skips")));
  EXPECT_THAT(
      error_of(one_scenario("degraded = [{ metric = \"gap\", at_most = 1 }]\n")),
      AllOf(HasSubstr("matrix.toml:5: scenario[0].degraded"), HasSubstr("no metric \"gap\"")));
  EXPECT_THAT(error_of(one_scenario("") + one_scenario("")), HasSubstr("appears twice"));
  EXPECT_THAT(error_of("[[scenario]]\nname = \"even\"\nbase = \"nothing\"\n"),
              HasSubstr("no such file"));
  EXPECT_THAT(error_of(one_scenario("set.require = []\n")), HasSubstr("has no requirements"));
}

// Severe faults in two scenarios of the matrix; fault_matrix_slow_test.cc runs the whole. Every
// fault acts in every scenario, the scenarios hold without one, and nothing is violated that is not
// listed.
TEST(FaultMatrix, TheReferenceFirmwareUnderEverySevereFault) {
  FaultMatrix matrix = sim::faults::load_matrix(kScenarios / "fault_matrix.toml", {});
  EXPECT_EQ(matrix.scenarios.size(), 7u);
  EXPECT_EQ(matrix.kinds.size(), sim::scenario::fault_kinds().size());
  EXPECT_GE(matrix.kinds.size(), 40u);
  matrix.severities = {sim::scenario::Severity::kSevere};
  std::erase_if(matrix.scenarios, [](const sim::faults::MatrixScenario& one) {
    return one.name != "headland" && one.name != "network";
  });
  support::expect_as_listed(matrix);
}

TEST(FaultMatrix, ThreadsChangeNoByteAndFilesSayWhatWasJudged) {
  const ScratchFolder scratch;
  const FaultMatrix matrix =
      matrix_of("kinds = [\"late_edges\", \"lost_speed\"]\n" + one_scenario(kLoose));
  const MatrixResult result = sim::faults::run_matrix(matrix, {});
  {
    namespace tbb = oneapi::tbb;
    const tbb::global_control one(tbb::global_control::max_allowed_parallelism, 1);
    EXPECT_EQ(sim::faults::matrix_json(result),
              sim::faults::matrix_json(sim::faults::run_matrix(matrix, {})));
  }
  sim::faults::write_matrix(result, scratch.path() / "out");
  std::ifstream csv(scratch.path() / "out" / "cells.csv");
  const std::string text{std::istreambuf_iterator<char>(csv), {}};
  EXPECT_EQ(std::count(text.begin(), text.end(), '\n'), 1 + 1 + 2 * 3);
  EXPECT_THAT(text, HasSubstr("late_edges,severe,even,degraded,no,"));
}

}  // namespace
