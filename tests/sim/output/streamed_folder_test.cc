// A folder written piece by piece: all of it or nothing.
#include "sim/output/streamed_folder.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/output/write_folder.h"
#include "tests/support/run_program.h"

namespace {

namespace fs = std::filesystem;
using sim::output::StreamedFile;
using sim::output::StreamedFolder;
using support::ScratchFolder;

void put(const StreamedFolder& folder, const char* name, const char* text) {
  StreamedFile file(folder.path_of(name));
  file.put(text);
  file.close();
}

TEST(StreamedFolder, IsThereWholeWhenItIsFinished) {
  const ScratchFolder scratch;
  const fs::path out = scratch.path() / "a" / "b";
  {
    StreamedFolder folder(out);
    put(folder, "one", "1");
    put(folder, "below/two", "2");
    EXPECT_FALSE(fs::exists(out));
    folder.finish();
  }
  EXPECT_EQ(support::text_of(out / "one"), "1");
  EXPECT_EQ(support::text_of(out / "below" / "two"), "2");
  EXPECT_FALSE(fs::exists(scratch.path() / "a" / ".b.partial"));
}

TEST(StreamedFolder, LeavesNothingWithoutItsEnd) {
  const ScratchFolder scratch;
  const fs::path out = scratch.path() / "out";
  {
    StreamedFolder folder(out);
    put(folder, "one", "1");
  }
  EXPECT_TRUE(fs::is_empty(scratch.path()));
}

TEST(StreamedFolder, ReplacesItsOwnFilesAndKeepsOthers) {
  const ScratchFolder scratch;
  const fs::path out = scratch.path() / "out";
  sim::output::write_whole_file(out / "one", "old");
  sim::output::write_whole_file(out / "other", "stays");
  StreamedFolder folder(out);
  put(folder, "one", "new");
  put(folder, "below/two", "2");
  folder.finish();
  EXPECT_EQ(support::text_of(out / "one"), "new");
  EXPECT_EQ(support::text_of(out / "other"), "stays");
  EXPECT_EQ(support::text_of(out / "below" / "two"), "2");
}

TEST(StreamedFolder, AFileInTheWayIsTold) {
  const ScratchFolder scratch;
  sim::output::write_whole_file(scratch.path() / "out", "a file");
  EXPECT_THROW(StreamedFolder folder(scratch.path() / "out"), sim::output::OutputError);
}

TEST(StreamedFile, AFullDeviceIsTold) {
  StreamedFile file("/dev/full");
  EXPECT_THROW(
      {
        file.put("text");
        file.close();
      },
      sim::output::OutputError);
}

}  // namespace
