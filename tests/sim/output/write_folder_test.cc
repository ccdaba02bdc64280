#include "sim/output/write_folder.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "sim/study/run/tables.h"
#include "tests/support/example_result.h"

namespace {

namespace fs = std::filesystem;

std::string read(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

class WriteFolder : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() / ("sillion_write_" + std::to_string(::getpid()));
    fs::remove_all(folder_);
    fs::create_directory(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }
  std::vector<std::string> names() const {
    std::vector<std::string> found;
    for (const auto& entry : fs::directory_iterator(folder_))
      found.push_back(entry.path().filename().string());
    return found;
  }
  fs::path folder_;
};

TEST_F(WriteFolder, PutsAllFilesAndLeavesNothingElse) {
  const sim::run::RunResult run = tests::example_run(1, 20);
  sim::run::write_run(run, folder_ / "deep" / "er" / "out/");
  EXPECT_EQ(read(folder_ / "deep/er/out/summary.json"), sim::run::summary_json(run));
  EXPECT_EQ(read(folder_ / "deep/er/out/seeds.csv"), sim::run::seeds_csv(run));
  EXPECT_TRUE(fs::exists(folder_ / "deep/er/out/report.html"));
  EXPECT_FALSE(fs::exists(folder_ / "deep/er/.out.partial"));
}

TEST_F(WriteFolder, KeepsWhatElseLiesInTheFolderAndClearsAnOldPartial) {
  fs::create_directories(folder_ / "out");
  fs::create_directories(folder_ / ".out.partial");
  sim::output::write_file(folder_ / "out" / "notes.txt", "mine");
  sim::output::write_file(folder_ / "out" / "seeds.csv", "old");
  sim::output::write_file(folder_ / ".out.partial" / "junk", "left by a killed process");
  const std::vector<sim::output::ResultFile> files = {{"seeds.csv", "new"}};
  sim::output::write_folder(files, folder_ / "out");
  EXPECT_EQ(read(folder_ / "out" / "notes.txt"), "mine");
  EXPECT_EQ(read(folder_ / "out" / "seeds.csv"), "new");
  EXPECT_EQ(names(), std::vector<std::string>{"out"});
}

TEST_F(WriteFolder, AFileInTheWayIsAnErrorThatNamesIt) {
  sim::output::write_file(folder_ / "out", "a file");
  const std::vector<sim::output::ResultFile> files = {{"seeds.csv", "new"}};
  for (const fs::path& out : {folder_ / "out", folder_ / "out" / "below"}) {
    try {
      sim::output::write_folder(files, out);
      FAIL() << "no error for " << out;
    } catch (const sim::output::OutputError& error) {
      EXPECT_NE(std::string(error.what()).find((folder_ / "out").string()), std::string::npos)
          << error.what();
    }
  }
  EXPECT_EQ(read(folder_ / "out"), "a file");
  EXPECT_EQ(names(), std::vector<std::string>{"out"});
}

TEST_F(WriteFolder, AnErrorTakesAwayWhatWasBegun) {
  // A name with a slash to a folder that does not exist cannot be opened: the second file fails
  // after the first is written.
  const std::vector<sim::output::ResultFile> files = {{"seeds.csv", "new"},
                                                      {"nowhere/summary.json", "{}"}};
  EXPECT_THROW(sim::output::write_folder(files, folder_ / "a" / "b"), sim::output::OutputError);
  EXPECT_TRUE(names().empty());
}

TEST_F(WriteFolder, AFullDiskIsAnError) {
  if (!fs::exists("/dev/full")) GTEST_SKIP() << "no full device here";
  try {
    sim::output::write_file("/dev/full", "does not fit");
    FAIL() << "a full disk went unnoticed";
  } catch (const sim::output::OutputError& error) {
    EXPECT_NE(std::string(error.what()).find("No space left"), std::string::npos) << error.what();
  }
}

TEST_F(WriteFolder, AReadOnlyPlaceIsAnError) {
  const std::vector<sim::output::ResultFile> files = {{"seeds.csv", "new"}};
  EXPECT_THROW(sim::output::write_folder(files, "/proc/sillion_out"),
               sim::output::OutputError);  // not even root may write there
  if (::geteuid() == 0) return;
  fs::permissions(folder_, fs::perms::owner_read | fs::perms::owner_exec);
  EXPECT_THROW(sim::output::write_folder(files, folder_ / "out"), sim::output::OutputError);
  fs::permissions(folder_, fs::perms::owner_all);
  EXPECT_TRUE(names().empty());
}

}  // namespace
