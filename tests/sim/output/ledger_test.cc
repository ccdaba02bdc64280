// The ledger of a study: what was kept is found again, in any order and from any thread, after a
// process that was killed too; a ledger of another owner, a damaged one, a second process and a
// disk that is full or read-only are refused, and nothing in the file is lost.
#include "sim/output/ledger.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fstream>
#include <thread>

#include "sim/output/write_folder.h"
#include "sim/text/input_error.h"
#include "tests/support/run_program.h"

namespace sim::output {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

const LedgerOwner kOwner{.study = "5a", .controller = "c0", .program = "b1"};

/// The words of the error that `work` throws; empty if it throws none.
template <class Error, class Work>
std::string words_of(const Work& work) {
  try {
    work();
  } catch (const Error& error) {
    return error.what();
  }
  return {};
}

TEST(Ledger, WhatIsKeptIsFoundByKeyAndNumberInWhateverOrderItCame) {
  const support::ScratchFolder scratch;
  const fs::path file = ledger_file(scratch.path() / "new");
  const std::string zeros(70'000, '\0');
  {
    Ledger ledger(file, kOwner, false);
    ledger.keep("b", 1, "second");
    ledger.keep("b", 0, zeros);
    ledger.keep("a", 0, "");
    EXPECT_FALSE(ledger.find("b", 1));  // only what was there at the start
    ledger.close();
  }
  Ledger ledger(file, kOwner, true);
  EXPECT_EQ(ledger.find("b", 0), zeros);
  EXPECT_EQ(ledger.find("b", 1), "second");
  EXPECT_EQ(ledger.find("a", 0), "");
  EXPECT_FALSE(ledger.find("a", 1));
  EXPECT_FALSE(ledger.find("b"));
}

TEST(Ledger, AWholeTakesThePlaceOfItsPieces) {
  const support::ScratchFolder scratch;
  const fs::path file = ledger_file(scratch.path());
  const std::string much(1'000'000, 'x');
  {
    Ledger ledger(file, kOwner, false);
    for (int number = 0; number < 10; ++number) ledger.keep("cell", number, much);
    ledger.keep("other", 3, "stays");
    ledger.keep("cell", kWhole, "sum");
    ledger.close();
  }
  EXPECT_LT(fs::file_size(file), 100'000u);
  LedgerReader reader(file, kOwner);
  EXPECT_EQ(reader.whole_keys(), std::vector<std::string>{"cell"});
  EXPECT_EQ(reader.find("cell"), "sum");
  EXPECT_FALSE(reader.find("cell", 3));
  EXPECT_EQ(reader.find("other", 3), "stays");
}

TEST(Ledger, BegunAnewItHoldsNothing) {
  const support::ScratchFolder scratch;
  const fs::path file = ledger_file(scratch.path());
  Ledger(file, kOwner, false).keep("a", 0, "old");  // committed by its end
  EXPECT_EQ(LedgerReader(file, kOwner).find("a", 0), "old");
  EXPECT_FALSE(Ledger(file, kOwner, false).find("a", 0));
  EXPECT_FALSE(LedgerReader(file, kOwner).find("a", 0));
}

TEST(Ledger, ManyThreadsKeepAndLoseNothing) {
  const support::ScratchFolder scratch;
  const fs::path file = ledger_file(scratch.path());
  {
    Ledger ledger(file, kOwner, false);
    std::vector<std::thread> threads;
    for (int thread = 0; thread < 4; ++thread)
      threads.emplace_back([&, thread] {
        for (int number = 0; number < 500; ++number)
          ledger.keep("of " + std::to_string(thread), number, std::string(20'000, 'y'));
      });
    for (std::thread& thread : threads) thread.join();
    ledger.close();
  }
  LedgerReader reader(file, kOwner);
  for (int thread = 0; thread < 4; ++thread)
    for (int number = 0; number < 500; ++number)
      ASSERT_TRUE(reader.find("of " + std::to_string(thread), number)) << thread << " " << number;
}

/// Keeps one piece after another, and writes down the number of each once it is kept.
[[noreturn]] void keep_until_killed(const fs::path& file, int told) {
  Ledger ledger(file, kOwner, true);
  for (int number = 0;; ++number) {
    ledger.keep("k", number, "record " + std::to_string(number));
    if (write(told, &number, sizeof number) != sizeof number) _exit(1);
    usleep(1000);
  }
}

// With a piece per millisecond at least, and 0.2 s between commits plus what a commit takes, a
// second is far more than can be lost.
TEST(Ledger, AKilledProcessLosesNoMoreThanTheLastMoment) {
  for (const int life_ms : {30, 300, 1700, 2300}) {
    const support::ScratchFolder scratch;
    const fs::path file = ledger_file(scratch.path());
    int told[2];
    ASSERT_EQ(pipe(told), 0);
    const pid_t child = fork();
    if (child == 0) keep_until_killed(file, told[1]);
    close(told[1]);
    usleep(static_cast<useconds_t>(life_ms) * 1000);
    kill(child, SIGKILL);
    waitpid(child, nullptr, 0);
    int kept = 0;
    for (int number = 0; read(told[0], &number, sizeof number) == sizeof number;) kept = number + 1;
    close(told[0]);
    Ledger ledger(file, kOwner, true);
    int there = 0;
    while (const auto record = ledger.find("k", there)) {
      EXPECT_EQ(*record, "record " + std::to_string(there));
      ++there;
    }
    for (int number = there; number < kept; ++number) EXPECT_FALSE(ledger.find("k", number));
    EXPECT_LE(there, kept + 1);
    EXPECT_GE(there, kept - 1000) << life_ms;
    if (life_ms > 2000) {
      EXPECT_GT(there, 0);
    }
  }
}

TEST(Ledger, AnotherOwnerIsRefusedByNameAndTheFileStaysAsItIs) {
  const support::ScratchFolder scratch;
  const fs::path file = ledger_file(scratch.path());
  Ledger(file, kOwner, false).keep("a", 0, "mine");
  const std::string before = support::text_of(file);
  const auto refused = [&](const LedgerOwner& other) {
    return words_of<text::InputError>([&] { Ledger(file, other, true); });
  };
  EXPECT_THAT(refused({"5b", "c0", "b1"}),
              HasSubstr(file.string() + ": holds work of another study: its hash is 5a, that of "
                                        "this study is 5b; "));
  EXPECT_THAT(refused({"5a", "c1", "b1"}), HasSubstr("another controller: its hash is c0"));
  EXPECT_THAT(refused({"5a", "c1", "b2"}), HasSubstr("another program: its hash is b1"));
  EXPECT_THAT(refused({"5b", "c0", "b1"}), HasSubstr("--resume"));
  EXPECT_THAT(words_of<text::InputError>([&] { LedgerReader(file, {"5b", "c0", "b1"}); }),
              HasSubstr("another study"));
  EXPECT_TRUE(support::text_of(file) == before);
  Database(file, Access::kWrite).run("PRAGMA user_version = 7");
  EXPECT_THAT(refused(kOwner), HasSubstr("has schema version 7, this program reads 1"));
  EXPECT_EQ(Database(file, Access::kRead).number_of("SELECT count(*) FROM piece"), 1);
}

TEST(Ledger, AFileThatIsNoLedgerIsNeitherUsedNorDeleted) {
  const support::ScratchFolder scratch;
  const fs::path file = ledger_file(scratch.path());
  const auto refuses = [&](bool goes_on) {
    return words_of<OutputError>([&] { Ledger(file, kOwner, goes_on); });
  };
  std::ofstream(file) << std::string(3000, 'n') << "otes of somebody";
  const std::string notes = support::text_of(file);
  for (const bool goes_on : {true, false}) {
    EXPECT_THAT(refuses(goes_on), HasSubstr("is not a ledger of sillion; move it away"));
    EXPECT_EQ(support::text_of(file), notes);
  }
  fs::remove(file);
  Database(file, Access::kWrite).run("CREATE TABLE other (x)");
  for (const bool goes_on : {true, false})
    EXPECT_THAT(refuses(goes_on), HasSubstr("is not a ledger of sillion"));
  EXPECT_EQ(Database(file, Access::kRead).number_of("SELECT count(*) FROM sqlite_schema"), 1);
  fs::remove(file);
  fs::create_directories(file / "below");
  EXPECT_THAT(refuses(true), HasSubstr("a folder of that name is in the way"));
}

TEST(Ledger, ADamagedRecordIsMissingAndADamagedFileIsNamed) {
  const support::ScratchFolder scratch;
  const fs::path file = ledger_file(scratch.path());
  {
    Ledger ledger(file, kOwner, false);
    ledger.keep("a", 0, "record");
    ledger.keep("a", 1, std::string(50'000, 'z'));
    ledger.close();
  }
  Database(file, Access::kWrite).run("UPDATE piece SET record = 'recorD' WHERE number = 0");
  EXPECT_FALSE(Ledger(file, kOwner, true).find("a", 0));
  EXPECT_TRUE(Ledger(file, kOwner, true).find("a", 1));
  std::string text = support::text_of(file);
  for (std::size_t at = 4096; at < text.size(); ++at) text[at] = '\x5a';
  std::ofstream(file, std::ios::binary | std::ios::trunc) << text;
  EXPECT_THAT(words_of<OutputError>([&] { Ledger(file, kOwner, true).find("a", 1); }),
              HasSubstr(file.string() + ": is damaged"));
}

// The lock is the process's own, so another process has to hold it.
TEST(Ledger, ASecondProcessIsRefusedAndTheFirstGoesOn) {
  const support::ScratchFolder scratch;
  const fs::path file = ledger_file(scratch.path());
  int ready[2], go[2];
  ASSERT_EQ(pipe(ready), 0);
  ASSERT_EQ(pipe(go), 0);
  const pid_t first = fork();
  if (first == 0) {
    Ledger ledger(file, kOwner, false);
    ledger.keep("a", 0, "first");
    char byte = 'r';
    if (write(ready[1], &byte, 1) != 1 || read(go[0], &byte, 1) != 1) _exit(1);
    ledger.keep("a", 1, "goes on");
    ledger.close();
    _exit(0);
  }
  char byte = 0;
  ASSERT_EQ(read(ready[0], &byte, 1), 1);
  const auto refuses = [&](const auto& open) {
    EXPECT_THAT(words_of<OutputError>(open),
                HasSubstr(file.string() + ": another process has it open; let it end, or state "
                                          "another folder with --out"));
  };
  refuses([&] { Ledger(file, kOwner, true); });
  refuses([&] { Ledger(file, kOwner, false); });
  refuses([&] { LedgerReader(file, kOwner); });
  ASSERT_EQ(write(go[1], &byte, 1), 1);
  int status = -1;
  waitpid(first, &status, 0);
  EXPECT_EQ(status, 0);
  for (const int end : {ready[0], ready[1], go[0], go[1]}) close(end);
  LedgerReader reader(file, kOwner);
  EXPECT_EQ(reader.find("a", 0), "first");
  EXPECT_EQ(reader.find("a", 1), "goes on");
}

TEST(Ledger, AnotherLedgerIsTakenInWithoutPiecesOfWhatIsWhole) {
  const support::ScratchFolder scratch;
  const fs::path file = ledger_file(scratch.path()), rank = rank_ledger_file(scratch.path(), 3);
  Ledger(file, kOwner, false).keep("a", kWhole, "whole");
  {
    Ledger other(rank, kOwner, false);
    other.keep("a", 0, "given up");
    other.keep("b", 0, "stays");
    other.close();
  }
  {
    Ledger ledger(file, kOwner, true);
    ledger.take_in(rank);
    ledger.take_in(rank_ledger_file(scratch.path(), 4));  // there is none
    EXPECT_EQ(ledger.find("b", 0), "stays");
    ledger.close();
  }
  EXPECT_FALSE(fs::exists(rank));
  LedgerReader reader(file, kOwner);
  EXPECT_EQ(reader.find("a"), "whole");
  EXPECT_FALSE(reader.find("a", 0));
  EXPECT_EQ(reader.find("b", 0), "stays");
}

}  // namespace
}  // namespace sim::output
