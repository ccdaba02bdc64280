// A kept finding comes back whole or not at all, and an unusable folder makes nothing fail.
#include "sim/output/kept_folder.h"

#include <gtest/gtest.h>
#include <signal.h>
#include <sys/resource.h>

#include <atomic>
#include <chrono>
#include <fstream>
#include <iterator>
#include <thread>

#include "tests/support/scratch_folder.h"

namespace {

namespace fs = std::filesystem;
using sim::output::KeptFolder;

constexpr char kKind[] = "delay table";
constexpr char kInputs[] = "travel.speed = 4.4\nliquid.temperature = 288\n";
constexpr char kFound[] = "lead_s 3f5\ntrim 12\n";

std::string bytes_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

std::size_t files_in(const fs::path& folder) {
  return static_cast<std::size_t>(
      std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

TEST(KeptFolder, AnotherProcessFindsWhatWasKept) {
  const ScratchFolder scratch;
  const fs::path folder = scratch.path() / "out" / "kept";
  KeptFolder(folder, "program 1").keep(kKind, kInputs, kFound);
  KeptFolder later(folder, "program 1");
  EXPECT_EQ(later.find(kKind, kInputs), kFound);
  const std::string text = bytes_of(later.file_of(kKind, kInputs));
  EXPECT_EQ(text.find("sillion kept 1: delay table"), 0u);
  EXPECT_LT(text.find("may be deleted"), text.find('\n'));
  EXPECT_EQ(files_in(folder), 1u);  // nothing unfinished lies beside it
}

TEST(KeptFolder, AnotherProgramKindOrInputHasNothing) {
  const ScratchFolder scratch;
  KeptFolder(scratch.path(), "program 1").keep(kKind, kInputs, kFound);
  EXPECT_FALSE(KeptFolder(scratch.path(), "program 2").find(kKind, kInputs));
  KeptFolder same(scratch.path(), "program 1");
  EXPECT_FALSE(same.find("strip trim", kInputs));
  EXPECT_FALSE(same.find(kKind, std::string(kInputs) + "rng_key = 1\n"));
  EXPECT_TRUE(same.find(kKind, kInputs));
}

// A file of another program put under this one's name is not believed either.
TEST(KeptFolder, AFileUnderAWrongNameIsNotBelieved) {
  const ScratchFolder scratch;
  KeptFolder other(scratch.path(), "program 2");
  other.keep(kKind, kInputs, kFound);
  KeptFolder mine(scratch.path(), "program 1");
  fs::copy_file(other.file_of(kKind, kInputs), mine.file_of(kKind, kInputs));
  EXPECT_FALSE(mine.find(kKind, kInputs));
}

TEST(KeptFolder, NoFlippedByteIsBelieved) {
  const ScratchFolder scratch;
  const KeptFolder names(scratch.path(), "program 1");
  KeptFolder(scratch.path(), "program 1").keep(kKind, kInputs, kFound);
  const std::string whole = bytes_of(names.file_of(kKind, kInputs));
  for (std::size_t at = 0; at < whole.size(); ++at) {
    std::string flipped = whole;
    flipped[at] = static_cast<char>(flipped[at] ^ 1);
    std::ofstream(names.file_of(kKind, kInputs), std::ios::binary) << flipped;
    EXPECT_FALSE(KeptFolder(scratch.path(), "program 1").find(kKind, kInputs)) << at;
  }
}

TEST(KeptFolder, NoFileThatWasCutShortOrGrewIsBelieved) {
  const ScratchFolder scratch;
  const KeptFolder names(scratch.path(), "program 1");
  KeptFolder(scratch.path(), "program 1").keep(kKind, kInputs, kFound);
  const std::string whole = bytes_of(names.file_of(kKind, kInputs));
  for (std::size_t length = 0; length < whole.size(); ++length) {
    std::ofstream(names.file_of(kKind, kInputs), std::ios::binary) << whole.substr(0, length);
    EXPECT_FALSE(KeptFolder(scratch.path(), "program 1").find(kKind, kInputs)) << length;
  }
  std::ofstream(names.file_of(kKind, kInputs), std::ios::binary) << whole << "more\n";
  EXPECT_FALSE(KeptFolder(scratch.path(), "program 1").find(kKind, kInputs));
  // What is found anew takes the damaged one's place.
  KeptFolder(scratch.path(), "program 1").keep(kKind, kInputs, kFound);
  EXPECT_EQ(bytes_of(names.file_of(kKind, kInputs)), whole);
}

// Root may read every file, so a folder in the file's place stands for what cannot be read.
TEST(KeptFolder, WhatCannotBeReadOrReplacedIsAsGoodAsNone) {
  const ScratchFolder scratch;
  KeptFolder kept(scratch.path(), "program 1");
  fs::create_directories(kept.file_of(kKind, kInputs) / "in_the_way");
  EXPECT_FALSE(kept.find(kKind, kInputs));
  kept.keep(kKind, kInputs, kFound);
  EXPECT_EQ(kept.find(kKind, kInputs), kFound);  // from memory
  EXPECT_FALSE(KeptFolder(scratch.path(), "program 1").find(kKind, kInputs));
  EXPECT_EQ(files_in(scratch.path()), 1u);
}

TEST(KeptFolder, AFolderThatCannotBeMadeFailsNothing) {
  const ScratchFolder scratch;
  const fs::path file = scratch.write("file", "a file where the folder should be");
  for (const fs::path& folder : {file, file / "kept", fs::path("/proc/kept")}) {
    KeptFolder kept(folder, "program 1");
    EXPECT_FALSE(kept.find(kKind, kInputs));
    kept.keep(kKind, kInputs, kFound);
    EXPECT_EQ(kept.find(kKind, kInputs), kFound);
    EXPECT_FALSE(KeptFolder(folder, "program 1").find(kKind, kInputs));
  }
  EXPECT_EQ(bytes_of(file), "a file where the folder should be");
}

/// While one lives, no file of this process may grow beyond its limit, as on a full disk.
class FullDisk {
 public:
  explicit FullDisk(rlim_t size) {
    getrlimit(RLIMIT_FSIZE, &before_);
    handler_ = signal(SIGXFSZ, SIG_IGN);
    const rlimit least{.rlim_cur = size, .rlim_max = before_.rlim_max};
    setrlimit(RLIMIT_FSIZE, &least);
  }
  ~FullDisk() {
    setrlimit(RLIMIT_FSIZE, &before_);
    signal(SIGXFSZ, handler_);
  }

 private:
  rlimit before_{};
  void (*handler_)(int) = SIG_DFL;
};

TEST(KeptFolder, AFullDiskFailsNothingAndLeavesNothing) {
  const ScratchFolder scratch;
  {
    const FullDisk full(100);
    KeptFolder kept(scratch.path(), "program 1");
    kept.keep(kKind, kInputs, kFound);
    EXPECT_EQ(kept.find(kKind, kInputs), kFound);
  }
  EXPECT_EQ(files_in(scratch.path()), 0u);
  EXPECT_FALSE(KeptFolder(scratch.path(), "program 1").find(kKind, kInputs));
}

// Writers of the same file, each as a process of its own would be, and a reader that never sees
// half of one.
TEST(KeptFolder, SeveralMayWriteTheSameFileAtOnce) {
  const ScratchFolder scratch;
  const std::string found(20'000, 'x');
  const auto write = [&] {
    for (int k = 0; k < 100; ++k)
      KeptFolder(scratch.path(), "program 1").keep(kKind, kInputs, found + "\n");
  };
  std::atomic<bool> over{false};
  int whole = 0, other = 0, none_after_whole = 0;
  std::thread reader([&] {
    while (!over) {
      const auto seen = KeptFolder(scratch.path(), "program 1").find(kKind, kInputs);
      if (seen && *seen == found + "\n") ++whole;
      if (seen && *seen != found + "\n") ++other;
      if (!seen && whole > 0) ++none_after_whole;
    }
  });
  std::thread first(write), second(write);
  first.join();
  second.join();
  over = true;
  reader.join();
  EXPECT_GT(whole, 0);
  EXPECT_EQ(other, 0);
  EXPECT_EQ(none_after_whole, 0);
  EXPECT_EQ(KeptFolder(scratch.path(), "program 1").find(kKind, kInputs), found + "\n");
  EXPECT_EQ(files_in(scratch.path()), 1u);
}

TEST(KeptFolder, TheOldestGoWhereThereAreTooManyAndNobodyElsesFilesDo) {
  const ScratchFolder scratch;
  const auto long_ago = fs::file_time_type::clock::now() - std::chrono::hours(48);
  for (std::size_t k = 0; k < sim::output::kMostKept; ++k) {
    const fs::path file = scratch.write(std::to_string(k) + ".kept", "");
    fs::last_write_time(file, long_ago + std::chrono::seconds(k));
  }
  fs::last_write_time(scratch.write("a.kept.1.1.unfinished", ""), long_ago);
  fs::last_write_time(scratch.write("notes.txt", "somebody's own"), long_ago);
  KeptFolder(scratch.path(), "program 1").keep(kKind, kInputs, kFound);
  EXPECT_FALSE(fs::exists(scratch.path() / "0.kept"));
  EXPECT_TRUE(fs::exists(scratch.path() / (std::to_string(sim::output::kMostKept - 1) + ".kept")));
  EXPECT_FALSE(fs::exists(scratch.path() / "a.kept.1.1.unfinished"));
  EXPECT_TRUE(fs::exists(scratch.path() / "notes.txt"));
  EXPECT_EQ(files_in(scratch.path()),
            sim::output::kMostKept / 2 + 2);  // the notes and the fresh one
}

TEST(KeptFolder, WithoutAFolderItRemembersAndWritesNothing) {
  const ScratchFolder scratch;
  fs::current_path(scratch.path());
  KeptFolder kept({}, "program 1");
  kept.keep(kKind, kInputs, kFound);
  EXPECT_EQ(kept.find(kKind, kInputs), kFound);
  EXPECT_EQ(files_in(scratch.path()), 0u);
  fs::current_path("/");
}

}  // namespace
