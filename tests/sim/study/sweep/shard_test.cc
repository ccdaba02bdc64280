// Every cell belongs to exactly one shard, shards are about equal, and a study is known by its
// hashes.
#include "sim/study/sweep/shard.h"

#include <gtest/gtest.h>

#include <fstream>
#include <vector>

#include "sim/study/sweep/study.h"
#include "sim/text/input_error.h"
#include "tests/support/run_program.h"
#include "tests/support/small_study.h"

namespace sim::sweep {
namespace {

Study study_with(const std::vector<std::string>& sets,
                 const std::string& durations = "[\"3 s\", \"12 s\"]") {
  const support::ScratchFolder scratch;
  return load_study(support::write_small_study(scratch.path(), durations), sets);
}

const char* const kDrawn = "{uniform = [\"3 s\", \"6 s\"]}";

Study samples() { return study_with({"sampling=\"random\"", "samples=4", "replicas=1"}, kDrawn); }

Study samples_with_stop() {
  return study_with({"sampling=\"random\"", "samples=3", "replicas=1",
                     "stop={metric=\"within_10mm_sensed\", half_width=\"1 %\", most=9}"},
                    kDrawn);
}

/// Number of cells of each shard, over all batches that may run.
std::vector<std::size_t> dealt(const Study& study, std::size_t shards) {
  std::vector<std::size_t> cells(shards, 0);
  for (std::size_t group = 0; group < group_count(study); ++group)
    for (std::size_t batch = 0; batch < most_batches(study); ++batch)
      for (const CellPlan& plan : batch_cells(study, group, batch))
        ++cells.at(shard_number(study, shards, plan) - 1);
  return cells;
}

TEST(Shard, CellsOfAGridAreDealtOneByOne) {
  const Study grid = study_with({});
  using Counts = std::vector<std::size_t>;
  EXPECT_EQ(dealt(grid, 1), (Counts{6}));
  EXPECT_EQ(dealt(grid, 4), (Counts{2, 2, 1, 1}));
  EXPECT_EQ(dealt(grid, 7), (Counts{1, 1, 1, 1, 1, 1, 0}));
  for (std::size_t number = 1; number <= 4; ++number)
    EXPECT_EQ(dealt_to(grid, {number, 4}), dealt(grid, 4)[number - 1]);
}

TEST(Shard, SamplesAreDealtOneByOneAndWithAStopByCombination) {
  using Counts = std::vector<std::size_t>;
  EXPECT_EQ(dealt(samples(), 5), (Counts{3, 3, 2, 2, 2}));
  // Three speeds, each with three batches of three samples that stop together.
  EXPECT_EQ(dealt(samples_with_stop(), 2), (Counts{18, 9}));
  EXPECT_EQ(dealt(samples_with_stop(), 5), (Counts{9, 9, 9, 0, 0}));
}

TEST(Shard, WordsAreTwoNumbersInRange) {
  EXPECT_EQ(read_shard("2/5").number, 2u);
  EXPECT_EQ(read_shard("2/5").count, 5u);
  EXPECT_EQ(read_shard("1/1").words(), "1/1");
  for (const char* wrong : {"", "2", "/", "2/", "/5", "0/5", "6/5", "-1/5", "2/0", "2/5/1", "a/5",
                            "2 /5", "+2/5", "1.0/5", "2/1000001", "99999999999999999999/5"}) {
    try {
      read_shard(wrong);
      ADD_FAILURE() << wrong;
    } catch (const text::InputError& error) {
      EXPECT_NE(std::string(error.what()).find("write i/S with 1 <= i <= S"), std::string::npos)
          << error.what();
    }
  }
}

TEST(Shard, AStudyIsKnownByWhatItsResultHangsOn) {
  const StudyHashes hashes = hashes_of_study(study_with({}));
  EXPECT_EQ(differing_hash(hashes, hashes_of_study(study_with({}))), "");
  for (const char* set : {"replicas=3", "rng_key=6", "title=\"Another\"", "row.count=1",
                          "axes.duration=[\"3 s\", \"13 s\"]", "axes.duration=[\"12 s\", \"3 s\"]",
                          "stop={metric=\"within_10mm_sensed\", half_width=\"2 %\"}"})
    EXPECT_EQ(differing_hash(hashes, hashes_of_study(study_with({set}))), "study") << set;
  const std::string library = std::string(SILLION_BINARY_DIR) + "/tests/libexample_controller.so";
  if (std::filesystem::exists(library)) {
    EXPECT_EQ(
        differing_hash(hashes, hashes_of_study(study_with({"controller.library=" + library}))),
        "controller");
  }
  StudyHashes older = hashes;
  older.program = "0123456789abcdef";
  EXPECT_EQ(differing_hash(hashes, older), "program");
}

TEST(Shard, ANoteReadsBackAndDamageIsNothing) {
  const support::ScratchFolder scratch;
  const ShardNote note{"small", {2, 5}, {"aa", "bb", "cc"}};
  const std::string text = shard_json(note);
  EXPECT_FALSE(read_shard_note(scratch.path()));
  std::ofstream(shard_file(scratch.path())) << text;
  const auto back = read_shard_note(scratch.path());
  ASSERT_TRUE(back);
  EXPECT_EQ(shard_json(*back), text);
  for (const std::string& damaged :
       {text.substr(0, text.size() / 2), std::string("{}"), std::string()}) {
    std::ofstream(shard_file(scratch.path()), std::ios::trunc) << damaged;
    EXPECT_FALSE(read_shard_note(scratch.path())) << damaged;
  }
}

}  // namespace
}  // namespace sim::sweep
