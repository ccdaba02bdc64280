// `sweep --shard` and `sweep --merge` as a user meets them: the merge writes the files of one sweep
// to the byte, and what does not fit is refused with what is to be done.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "sim/command/shard_words.h"
#include "sim/study/sweep/cell_record.h"
#include "sim/study/sweep/sweep_ledger.h"
#include "tests/support/result_folder.h"
#include "tests/support/run_program.h"
#include "tests/support/small_study.h"

namespace {

using support::Ended;
using ::testing::HasSubstr;
namespace fs = std::filesystem;

class ShardCommand : public ::testing::Test {
 protected:
  fs::path at(const std::string& name) { return scratch_.path() / name; }
  Ended sweep(const std::vector<std::string>& more) {
    std::vector<std::string> words = {"sweep", study_.string(), "--quiet"};
    words.insert(words.end(), more.begin(), more.end());
    return support::sillion(words);
  }
  Ended shard(const std::string& which, const fs::path& out) {
    return sweep({"--shard", which, "--out", out.string()});
  }
  /// All shards, in folders `name` and their number.
  std::vector<std::string> shards(std::size_t count, const std::string& name) {
    std::vector<std::string> folders;
    for (std::size_t k = 1; k <= count; ++k) {
      const fs::path out = at(name + std::to_string(k));
      const Ended ended = shard(std::to_string(k) + "/" + std::to_string(count), out);
      EXPECT_EQ(ended.code, k <= 6 ? 0 : 5) << ended.err;  // six cells
      folders.push_back(out.string());
    }
    return folders;
  }
  Ended merge(const std::vector<std::string>& folders, const fs::path& out,
              std::vector<std::string> more = {}) {
    more.push_back("--merge");
    more.insert(more.end(), folders.begin(), folders.end());
    more.insert(more.end(), {"--out", out.string()});
    return sweep(more);
  }

 private:
  support::ScratchFolder scratch_;
  fs::path study_ = support::write_small_study(scratch_.path(), "[\"3 s\", \"4 s\"]");
};

TEST_F(ShardCommand, AnyNumberOfShardsGivesTheFilesOfOneSweep) {
  const Ended whole = sweep({"--out", at("same").string(), "--json"});
  ASSERT_EQ(whole.code, 0) << whole.err;
  const auto expected = support::results_below(at("same"));
  ASSERT_EQ(expected.size(), 3u);
  for (const std::size_t count : {1u, 2u, 5u, 7u}) {
    std::vector<std::string> folders = shards(count, "of" + std::to_string(count) + "_");
    std::reverse(folders.begin(), folders.end());
    const Ended merged = merge(folders, at("merged"), {"--json"});
    EXPECT_EQ(merged.code, whole.code) << merged.err;
    EXPECT_EQ(merged.out, whole.out);
    EXPECT_EQ(support::results_below(at("merged")), expected) << count;
    EXPECT_EQ(support::kept_below(at("merged")).size(), 6u);
  }
}

TEST_F(ShardCommand, EndsWithTheMergeAndGoesOnAfterAKill) {
  const fs::path out = at("part2");
  const Ended first = shard("2/3", out);
  ASSERT_EQ(first.code, 0) << first.err;
  EXPECT_THAT(first.out, HasSubstr("shard 2/3 of small: 2 cells finished"));
  EXPECT_THAT(first.out, HasSubstr(" --merge " + at("part1").string() + " " + out.string() + " " +
                                   at("part3").string() + " --out out/small\n"));
  EXPECT_EQ(support::files_below(out).size(), 2u);  // its ledger and shard.json
  const auto cells = support::kept_below(out);
  ASSERT_EQ(cells.size(), 2u);
  const std::string lost = cells.begin()->first;
  support::change_ledger(out,
                         "UPDATE piece SET rowid = rowid * 1000; "
                         "DELETE FROM piece WHERE inputs = '" +
                             lost + "'");
  EXPECT_EQ(sweep({"--shard", "2/3", "--out", out.string(), "--resume"}).code, 0);
  ASSERT_EQ(support::kept_below(out).size(), 2u);
  for (const auto& [cell, row] : support::kept_below(out))
    EXPECT_EQ(row == cells.at(cell) * 1000, cell != lost) << cell;
}

TEST_F(ShardCommand, WhatIsMissingIsNamedWithItsCommand) {
  std::vector<std::string> folders = shards(3, "s");
  const Ended two = merge({folders[0], folders[2]}, at("out"));
  EXPECT_EQ(two.code, 2);
  EXPECT_THAT(two.err, HasSubstr("shard 2/3 is missing"));
  EXPECT_THAT(two.err, HasSubstr("--shard 2/3 --out " + folders[1]));
  support::change_ledger(folders[1], "UPDATE piece SET record = '{}'");  // damaged is missing
  const Ended cells = merge(folders, at("out"));
  EXPECT_EQ(cells.code, 2);
  EXPECT_THAT(cells.err, HasSubstr("lacks 2 cells, the first 8 km/h, 4 s"));
  EXPECT_THAT(cells.err, HasSubstr("--shard 2/3 --out " + folders[1] + " --resume"));
  EXPECT_FALSE(fs::exists(at("out")));
}

TEST_F(ShardCommand, WhatDoesNotBelongTogetherIsRefused) {
  std::vector<std::string> folders = shards(2, "s");
  const auto refuses = [&](const Ended& ended, const std::string& words) {
    EXPECT_EQ(ended.code, 2) << ended.err;
    EXPECT_THAT(ended.err, HasSubstr(words));
  };
  refuses(merge({folders[0], folders[1], folders[1]}, at("out")), "state each shard once");
  refuses(merge(folders, at("out"), {"--set", "replicas=1"}), "another study");
  refuses(merge(folders, at("s1")), "is the folder of a shard");
  refuses(merge({folders[0], at("none").string()}, at("out")), "there is no shard.json");
  refuses(merge(folders, at("out"), {"--resume"}), "--merge: does not go with --resume");
  refuses(shard("2/2", at("s1")), "shard 1/2 of the same study is there");
  refuses(shard("two", at("s3")), "write i/S with 1 <= i <= S");
  const std::string note = support::text_of(at("s2") / "shard.json");
  const std::vector<std::pair<std::string, std::string>> changes = {
      {"\"program\": \"", "was run with another program"},
      {"\"controller\": \"", "was run with another controller"},
      {"\"shards\": ", "shard 2/9 does not go with shard 1/2"}};
  for (const auto& [key, words] : changes) {
    std::string other = note;
    other.replace(other.find(key) + key.size(), 1, "9");
    if (other == note) other.replace(other.find(key) + key.size(), 1, "8");
    std::ofstream(at("s2") / "shard.json", std::ios::trunc) << other;
    refuses(merge(folders, at("out")), words);
  }
}

TEST_F(ShardCommand, TheDryRunSaysHowManyCellsAreItsOwn) {
  const Ended ended = sweep({"--shard", "2/4", "--dry-run"});
  EXPECT_EQ(ended.code, 0) << ended.err;
  EXPECT_THAT(ended.out, HasSubstr("shard 2/4 would run 2 of these 6 cells"));
}

TEST_F(ShardCommand, ExitsWithTheCodeOfItsCells) {
  const std::string faulty = std::string(SILLION_BINARY_DIR) + "/tests/libfaulty_no_number.so";
  const std::vector<std::string> with = {"--controller", faulty};
  const Ended ended = sweep({"--controller", faulty, "--shard", "1/1", "--out", at("f1").string()});
  EXPECT_EQ(ended.code, 4) << ended.err;
  EXPECT_THAT(ended.out, HasSubstr("6 failed"));
  EXPECT_THAT(ended.out, HasSubstr("--controller " + faulty));
  EXPECT_EQ(merge({at("f1").string()}, at("out"), with).code, 4);
  const Ended other = merge({at("f1").string()}, at("out"));
  EXPECT_EQ(other.code, 2);
  EXPECT_THAT(other.err, HasSubstr("another controller"));
}

// A cell's key is a hash of everything on which the cell depends.
TEST_F(ShardCommand, TwoResultsOfOneCellAreSeven) {
  const std::vector<std::string> folders = shards(2, "s");
  const sim::sweep::StudyHashes hashes = sim::sweep::read_shard_note(at("s2"))->hashes;
  const std::string inputs = support::kept_below(at("s2")).begin()->first;
  const fs::path one = sim::output::ledger_file(at("s1")), two = sim::output::ledger_file(at("s2"));
  auto done = sim::sweep::cell_in(
      *std::make_unique<sim::output::LedgerReader>(two, sim::sweep::owner_of(hashes)), inputs);
  ASSERT_TRUE(done);
  done->cell.tuned.smallest_offset_m += 1e-6;
  sim::output::Ledger(one, sim::sweep::owner_of(hashes), true)
      .keep(inputs, sim::output::kWhole,
            sim::sweep::cell_json(inputs, {.values = {"16 km/h", "4 s"}}, *done));
  const Ended ended = merge(folders, at("out"));
  EXPECT_EQ(ended.code, 7) << ended.err;
  EXPECT_THAT(ended.err, HasSubstr(one.string() + " and " + two.string() + ", cell "));
  EXPECT_THAT(ended.err, HasSubstr("the same cell has different results"));
}

TEST_F(ShardCommand, AShardThatIsStillAtWorkIsNotMerged) {
  const std::vector<std::string> folders = shards(2, "s");
  sim::output::Database at_work(sim::output::ledger_file(at("s2")), sim::output::Access::kWrite);
  const Ended ended = merge(folders, at("out"));
  EXPECT_EQ(ended.code, 2) << ended.err;
  EXPECT_THAT(ended.err, HasSubstr("another process has it open"));
  EXPECT_FALSE(fs::exists(at("out")));
}

TEST(ShardWords, FoldersOfOtherShardsAreKnownByTheirNumbers) {
  using sim::command::folder_beside;
  EXPECT_EQ(folder_beside("out/a3", 3, 12), fs::path("out/a12"));
  EXPECT_EQ(folder_beside("out/x/3/", 3, 1), fs::path("out/x/1"));
  EXPECT_FALSE(folder_beside("out/a13", 3, 1));
  EXPECT_FALSE(folder_beside("out/night", 3, 1));
  sim::command::SweepOptions options;
  options.input = "a b.toml";
  EXPECT_EQ(sim::command::merge_line(options, "a", {12, 20}, "out/of/12"),
            "sillion sweep 'a b.toml' --merge out/of/* --out out/a");
  EXPECT_EQ(sim::command::merge_line(options, "a", {1, 1}, "night"),
            "sillion sweep 'a b.toml' --merge night --out out/a");
}

}  // namespace
