// The two copies of the configuration, on a part that is drawn here by itself: program is AND,
// erase is 0xFF, and a power loss may come after any byte.
#include "controller/config_store.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <vector>

#include "shared/check_sum.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::ConfigStore;
using controller::kConfigCopyPages;
using controller::kConfigPages;

constexpr int kPage = SILLION_PAGE_BYTES;
constexpr int kCopy = static_cast<int>(kConfigCopyPages) * kPage;

struct Part {
  std::vector<std::uint8_t> bytes = std::vector<std::uint8_t>(kConfigPages * kPage, 0xff);
  std::array<std::uint8_t, kConfigPages * kPage> stuck{};
  int writes = 0;

  /// Does `count` bytes of an erase or a program.
  void write(const sillion_output& out, int count = kPage) {
    ++writes;
    for (int k = 0; k < count; ++k) {
      const std::size_t at = out.storage_page * kPage + static_cast<std::size_t>(k);
      const int to = out.storage_command == SILLION_STORAGE_ERASE ? 0xff & ~stuck[at]
                                                                  : bytes[at] & out.storage[k];
      bytes[at] = static_cast<std::uint8_t>(to);
    }
  }
};

/// One start of the store, call by call; a call is 1 ms.
struct StoreRun {
  StoreRun(const sillion_config& given, Part& on)
      : config(given),
        part(on),
        store(controller::config_store_for(given, on.bytes.data(), on.bytes.size())) {}

  /// Until nothing is written any more, or until write number `cut` (from 0) is cut after `bytes`.
  /// False: it was cut.
  bool go_on(int cut = -1, int bytes = 0) {
    sillion_input in{};
    for (int call = 0; call < 200; ++call) {
      sillion_output out{};
      sillion_health health{};
      controller::Report report{out, health, 0};
      controller::go_on(store, config, in, report);
      events.insert(events.end(), out.events, out.events + out.event_count);
      in = {};
      if (out.storage_command == SILLION_STORAGE_NONE) return true;
      in.storage_done = out.storage_command;
      in.storage_page = out.storage_page;
      if (out.storage_command == SILLION_STORAGE_READ) {
        std::copy_n(part.bytes.begin() + static_cast<int>(out.storage_page) * kPage, kPage,
                    in.storage);
        continue;
      }
      if (part.writes == cut) {
        part.write(out, bytes);
        return false;
      }
      part.write(out);
    }
    ADD_FAILURE() << "it writes without end";
    return true;
  }
  int count(std::uint32_t code) const {
    return static_cast<int>(
        std::ranges::count_if(events, [&](const auto& one) { return one.code == code; }));
  }

  sillion_config config;
  Part& part;
  ConfigStore store;
  std::vector<sillion_event_record> events;
};

sillion_config config_of(int trim_um) {
  sillion_config config = test::row_config();
  config.trim_um = trim_um;
  return config;
}

/// A part on which this configuration lies in both copies.
Part written(const sillion_config& config) {
  Part part;
  StoreRun(config, part).go_on();
  part.writes = 0;
  return part;
}

/// A copy is judged here from the header's words alone: version, length, sequence, CRC, contents.
/// -1: not whole; else its trim.
int trim_in(const Part& part, int copy, std::uint32_t* sequence = nullptr) {
  const std::uint8_t* at = part.bytes.data() + copy * kCopy;
  const auto word = [&](int k) {
    return static_cast<std::uint32_t>(at[k] | at[k + 1] << 8 | at[k + 2] << 16) |
           static_cast<std::uint32_t>(at[k + 3]) << 24;
  };
  if ((at[0] | at[1] << 8) != 1) return -1;
  const int length = at[2] | at[3] << 8;
  if (length != static_cast<int>(sizeof(sillion_config))) return -1;
  shared::CheckSum sum;
  for (int k = 0; k < 8; ++k) sum.take(at[k]);
  for (int k = 0; k < length; ++k) sum.take(at[12 + k]);
  if (sum.value() != word(8)) return -1;
  if (sequence != nullptr) *sequence = word(4);
  return static_cast<int>(word(12 + static_cast<int>(offsetof(sillion_config, trim_um))));
}

TEST(ConfigStore, BlankStorageTakesTheGivenConfigurationInBothCopies) {
  Part part;
  StoreRun run(config_of(7), part);
  run.go_on();
  EXPECT_EQ(trim_in(part, 0), 7);
  EXPECT_EQ(trim_in(part, 1), 7);
  EXPECT_TRUE(run.events.empty());
  EXPECT_EQ(part.writes, 2 * static_cast<int>(kConfigPages));  // an erase and a program each
  // Found whole, nothing is written and nothing said.
  StoreRun again(config_of(7), part);
  const std::vector<std::uint8_t> before = part.bytes;
  again.go_on();
  EXPECT_EQ(part.bytes, before);
  EXPECT_TRUE(again.events.empty());
  EXPECT_FALSE(again.store.lost);
}

TEST(ConfigStore, WhatBelongsToAStartIsNotKept) {
  Part part = written(config_of(7));
  sillion_config later = config_of(7);
  later.reset_cause = SILLION_RESET_BROWN_OUT;
  later.start_ticks += 12'345;
  StoreRun run(later, part);
  run.go_on();
  EXPECT_EQ(part.writes, 0);
}

TEST(ConfigStore, AnotherConfigurationReplacesTheOlderCopyUnderAHigherSequence) {
  Part part = written(config_of(7));
  StoreRun run(config_of(8), part);
  run.go_on();
  std::uint32_t first = 0, second = 0;
  EXPECT_EQ(trim_in(part, 0, &first), 7);
  EXPECT_EQ(trim_in(part, 1, &second), 8);
  EXPECT_EQ(second, first + 1);
  EXPECT_EQ(run.count(SILLION_EVENT_CONFIG_REPLACED), 1);
  StoreRun next(config_of(9), part);
  next.go_on();
  EXPECT_EQ(trim_in(part, 0), 9);
  EXPECT_EQ(trim_in(part, 1), 8);
  // The newer copy counts: 8 is older than 9 and so not what was stored last.
  StoreRun back(config_of(8), part);
  back.go_on();
  EXPECT_EQ(back.count(SILLION_EVENT_CONFIG_REPLACED), 1);
}

// Every byte of every write, in both directions: what was stored before, or what is written, is
// whole, and the next start mends the rest.
TEST(ConfigStore, APowerLossAtAnyByteOfARewriteLeavesAWholeCopy) {
  for (const int newest : {0, 1}) {
    Part from = written(config_of(7));
    int stored = 7;
    if (newest == 1) {
      StoreRun(config_of(8), from).go_on();
      stored = 8;
    }
    ASSERT_EQ(trim_in(from, newest), stored);
    const int writes = 2 * static_cast<int>(kConfigCopyPages);
    for (int cut = 0; cut < writes; ++cut)
      for (int bytes = 0; bytes <= kPage; ++bytes) {
        Part part = from;
        part.writes = 0;
        StoreRun run(config_of(55), part);
        ASSERT_FALSE(run.go_on(cut, bytes));
        ASSERT_EQ(trim_in(part, newest), stored) << cut << ", " << bytes;
        StoreRun next(config_of(55), part);
        ASSERT_FALSE(next.store.lost);
        next.go_on();
        ASSERT_EQ(trim_in(part, 1 - newest), 55) << cut << ", " << bytes;
        ASSERT_EQ(next.count(SILLION_EVENT_CONFIG_LOST), 0);
      }
  }
}

// Also the very first write: until a copy is whole, the other one is blank, so nothing counts as
// lost.
TEST(ConfigStore, APowerLossAtAnyByteOfTheFirstWriteIsMendedAtTheNextStart) {
  for (int cut = 0; cut < 2 * static_cast<int>(kConfigPages); ++cut)
    for (int bytes = 0; bytes <= kPage; ++bytes) {
      Part part;
      StoreRun run(config_of(7), part);
      ASSERT_FALSE(run.go_on(cut, bytes));
      StoreRun next(config_of(7), part);
      ASSERT_FALSE(next.store.lost) << cut << ", " << bytes;
      next.go_on();
      ASSERT_EQ(trim_in(part, 0), 7) << cut << ", " << bytes;
      ASSERT_EQ(trim_in(part, 1), 7) << cut << ", " << bytes;
    }
}

// Every single bit of the used bytes of either copy.
TEST(ConfigStore, OneBadCopyIsReportedAndWrittenAgain) {
  const Part good = written(config_of(7));
  for (const int copy : {0, 1})
    for (int bit = 0; bit < 8 * static_cast<int>(controller::kConfigCopyBytes); ++bit) {
      Part part = good;
      part.bytes[static_cast<std::size_t>(copy * kCopy + bit / 8)] ^=
          static_cast<std::uint8_t>(1u << (bit % 8));
      StoreRun run(config_of(7), part);
      run.go_on();
      ASSERT_EQ(part.bytes, good.bytes) << copy << ", " << bit;
      ASSERT_EQ(run.count(SILLION_EVENT_CONFIG_BAD_COPY), 1);
      ASSERT_EQ(run.events[0].a, copy);
      ASSERT_EQ(run.count(SILLION_EVENT_CONFIG_LOST), 0);
    }
}

TEST(ConfigStore, TwoBadCopiesAreLostAndNothingIsWritten) {
  Part part = written(config_of(7));
  part.bytes[20] ^= 1;
  part.bytes[kCopy + 300] ^= 4;
  const std::vector<std::uint8_t> before = part.bytes;
  StoreRun run(config_of(7), part);
  run.go_on();
  EXPECT_TRUE(run.store.lost);
  EXPECT_EQ(run.count(SILLION_EVENT_CONFIG_LOST), 1);
  EXPECT_EQ(run.count(SILLION_EVENT_CONFIG_BAD_COPY), 2);
  EXPECT_EQ(part.bytes, before);
}

// A whole copy of another version is no damage: it is replaced as one that differs.
TEST(ConfigStore, AnotherVersionIsReplaced) {
  Part part = written(config_of(7));
  for (const int copy : {0, 1}) {
    std::uint8_t* at = part.bytes.data() + copy * kCopy;
    at[0] = 2;
    shared::CheckSum sum;
    for (int k = 0; k < 8; ++k) sum.take(at[k]);
    for (std::size_t k = 0; k < sizeof(sillion_config); ++k) sum.take(at[12 + k]);
    for (int k = 0; k < 4; ++k) at[8 + k] = static_cast<std::uint8_t>(sum.value() >> (8 * k));
  }
  StoreRun run(config_of(7), part);
  run.go_on();
  EXPECT_FALSE(run.store.lost);
  EXPECT_EQ(run.count(SILLION_EVENT_CONFIG_REPLACED), 1);
  EXPECT_EQ(run.count(SILLION_EVENT_CONFIG_BAD_COPY), 0);
  EXPECT_EQ(trim_in(part, 1), 7);
}

TEST(ConfigStore, APageThatDoesNotHoldWhatWasWrittenEndsTheWriting) {
  Part part;
  part.stuck[kPage + 5] = 0xff;
  StoreRun run(config_of(7), part);
  run.go_on();
  ASSERT_EQ(run.count(SILLION_EVENT_STORAGE_FAILED), 1);
  EXPECT_EQ(run.events.back().a, 1);
  EXPECT_EQ(part.writes, 4);  // two pages, an erase and a program each
}

TEST(ConfigStore, ABusyPartIsWaitedForAndARefusalIsAskedAgain) {
  const sillion_config config = config_of(7);
  Part part;
  ConfigStore store = controller::config_store_for(config, part.bytes.data(), part.bytes.size());
  const auto asks = [&](const sillion_input& in) {
    sillion_output out{};
    sillion_health health{};
    controller::Report report{out, health, 0};
    controller::go_on(store, config, in, report);
    return out.storage_command;
  };
  sillion_input busy{};
  busy.storage_busy = 1;
  EXPECT_EQ(asks(busy), std::uint32_t{SILLION_STORAGE_NONE});
  EXPECT_EQ(asks({}), std::uint32_t{SILLION_STORAGE_ERASE});
  EXPECT_EQ(asks(busy), std::uint32_t{SILLION_STORAGE_NONE});
  sillion_input refused{};
  refused.storage_refused = SILLION_STORAGE_ERASE;
  EXPECT_EQ(asks(refused), std::uint32_t{SILLION_STORAGE_ERASE});
  sillion_input done{};
  done.storage_done = SILLION_STORAGE_ERASE;
  EXPECT_EQ(asks(done), std::uint32_t{SILLION_STORAGE_PROGRAM});
}

TEST(ConfigStore, WithoutStorageNothingIsAsked) {
  const ConfigStore none = controller::config_store_for(config_of(7), nullptr, 0);
  EXPECT_EQ(none.copies_to_write, 0);
  EXPECT_FALSE(none.lost);
  const Part part;
  EXPECT_EQ(controller::config_store_for(config_of(7), part.bytes.data(), part.bytes.size() - 1)
                .copies_to_write,
            0);
}

// The row with a lost configuration keeps its valve closed, says why, and works on otherwise.
TEST(ConfigStore, ALostConfigurationKeepsTheValveClosed) {
  Part part = written(config_of(0));
  test::FakeHardware good(config_of(0), nullptr, &part.bytes);
  part.bytes[20] ^= 1;
  part.bytes[kCopy + 20] ^= 1;
  test::FakeHardware lost(config_of(0), nullptr, &part.bytes);
  for (test::FakeHardware* row : {&good, &lost}) {
    row->report_speed([](double) { return 4.0; }, 0.0, 500, 3'000'000);
    for (int i = 0; i < 40; ++i) row->drop_seed(500'000 + i * 37'000);
    row->run_until(3'000'000);
  }
  EXPECT_EQ(good.pulses().size(), 40u);
  EXPECT_TRUE(lost.pulses().empty());
  EXPECT_EQ(lost.count(SILLION_EVENT_CONFIG_LOST), 1);
  EXPECT_EQ(lost.health.edges_accepted, 40u);
  EXPECT_GT(lost.health.safe_closed_ms, 2900u);
}

}  // namespace
