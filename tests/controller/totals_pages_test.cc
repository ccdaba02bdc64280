// The pages of the machine's totals, byte by byte as the top of controller/totals_store.h states
// them, and each command of their writing. CRC-32 by shared/check_sum.h, which has a test of its
// own against ISO 3309's check value.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <vector>

#include "controller/totals_store.h"
#include "shared/check_sum.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::kTotalsPages;
using controller::RowTotals;
using controller::TotalsPage;
using controller::TotalsStore;

std::uint32_t crc_of(const TotalsPage& page) {
  shared::CheckSum sum;
  for (std::size_t k = 0; k < 60; ++k) sum.take(page[k]);
  return sum.value();
}

/// Puts the lowest bytes of a number at a place, lowest first.
void put(TotalsPage& page, std::size_t at, std::uint32_t value, int bytes = 4) {
  for (int k = 0; k < bytes; ++k)
    page[at + static_cast<std::size_t>(k)] = static_cast<std::uint8_t>((value >> (8 * k)) & 0xff);
}

/// A page whose first row has `seeds`.
TotalsPage page_with(std::uint32_t number, std::uint8_t group, std::uint32_t seconds,
                     std::uint32_t seeds, std::uint8_t version = 1) {
  TotalsPage page{};
  put(page, 0, number);
  page[4] = group;
  page[5] = version;
  put(page, 8, seconds);
  put(page, 12, seeds);
  put(page, 60, crc_of(page));
  return page;
}

struct Image {
  void set(std::size_t page, const TotalsPage& with) {
    std::copy(with.begin(), with.end(), bytes.begin() + static_cast<std::ptrdiff_t>(page) * 64);
  }
  RowTotals totals() const { return controller::totals_on(bytes.data(), bytes.size()); }
  TotalsStore store(std::uint32_t rows) const {
    sillion_config config = test::machine_config();
    config.rows = rows;
    return controller::totals_store_for(config, bytes.data(), bytes.size());
  }
  std::vector<std::uint8_t> bytes = std::vector<std::uint8_t>(kTotalsPages * 64, 0xff);
};

TEST(TotalsPages, APageIsAsStated) {
  RowTotals totals;
  totals.seconds = 0x0d0c0b0a;
  totals.rows[3] = {0x14131211, 0x18171615, 0x1c1b1a19, 0x1e1d, 0x201f, 0, 0, 0};
  totals.rows[4] = {0x24232221, 0x28272625, 0x2c2b2a29, 0x2e2d, 0x302f, 0, 0, 0};
  totals.rows[5] = {0x34333231, 0x38373635, 0x3c3b3a39, 0x3e3d, 0x403f, 0, 0, 0};
  TotalsPage wanted{0x01, 0x02, 0x03, 0x04, 1, 1, 0, 0, 0x0a, 0x0b, 0x0c, 0x0d};
  for (std::uint8_t row = 0; row < 3; ++row)
    for (std::uint8_t k = 0; k < 16; ++k)
      wanted[12u + row * 16u + k] = static_cast<std::uint8_t>(0x11 + 0x10 * row + k);
  put(wanted, 60, crc_of(wanted));
  EXPECT_EQ(totals_page(totals, 1, 0x04030201), wanted);
}

// 64 rows are 21 groups of three and one of row 63 alone.
TEST(TotalsPages, TheLastGroupHoldsOneRow) {
  RowTotals totals;
  totals.rows[63] = {0x51515151, 0x52525252, 0x53535353, 0x5454, 0x5555, 0, 0, 0};
  const TotalsPage page = totals_page(totals, 21, 7);
  EXPECT_EQ(page[27], 0x55);
  for (std::size_t k = 28; k < 60; ++k) EXPECT_EQ(page[k], 0) << k;
}

TEST(TotalsPages, APageIsReadAsItIsStated) {
  TotalsPage page = page_with(5, 1, 0x0d0c0b0a, 0x14131211);
  put(page, 16, 0x18171615);
  put(page, 20, 0x1c1b1a19);
  put(page, 24, 0x1e1d, 2);
  put(page, 26, 0x201f, 2);
  put(page, 28, 0x24232221);
  put(page, 44, 0x34333231);
  put(page, 60, crc_of(page));
  Image image;
  image.set(9, page);
  const RowTotals totals = image.totals();
  EXPECT_EQ(totals.seconds, 0x0d0c0b0au);
  EXPECT_EQ(totals.rows[3].seeds, 0x14131211u);
  EXPECT_EQ(totals.rows[3].bands, 0x18171615u);
  EXPECT_EQ(totals.rows[3].volume_ml, 0x1c1b1a19u);
  EXPECT_EQ(totals.rows[3].seeds_heard, 0x1e1du);
  EXPECT_EQ(totals.rows[3].bands_heard, 0x201fu);
  EXPECT_EQ(totals.rows[4].seeds, 0x24232221u);
  EXPECT_EQ(totals.rows[5].seeds, 0x34333231u);
  for (const std::size_t row : {0u, 1u, 2u, 6u}) EXPECT_EQ(totals.rows[row].seeds, 0u) << row;
}

TEST(TotalsPages, OfEachGroupTheNewestCountsWhereverItStands) {
  Image image;
  image.set(5, page_with(9, 0, 30, 900));
  image.set(6, page_with(8, 1, 29, 800));
  image.set(200, page_with(4, 0, 20, 400));
  image.set(201, page_with(10, 1, 31, 1000));
  const RowTotals totals = image.totals();
  EXPECT_EQ(totals.rows[0].seeds, 900u);
  EXPECT_EQ(totals.rows[3].seeds, 1000u);
  EXPECT_EQ(totals.seconds, 31u);
  const TotalsStore store = image.store(6);
  EXPECT_EQ(store.number, 10u);
  EXPECT_EQ(store.page, 202u);
  EXPECT_EQ(store.group, 0u) << "behind group 1 of 2";
}

TEST(TotalsPages, BehindTheLastPageComesTheFirst) {
  Image image;
  image.set(255, page_with(77, 0, 1, 1));
  image.set(0, page_with(12, 1, 1, 1));
  const TotalsStore store = image.store(9);
  EXPECT_EQ(store.number, 77u);
  EXPECT_EQ(store.page, 0u);
  EXPECT_EQ(store.group, 1u);
}

TEST(TotalsPages, APageThatIsNotWholeIsNone) {
  TotalsPage damaged = page_with(5, 0, 50, 500);
  damaged[40] ^= 0x10;
  for (const TotalsPage& page :
       {page_with(5, 0, 50, 500, 0), page_with(5, 0, 50, 500, 2), page_with(5, 22, 50, 500),
        page_with(5, 255, 50, 500), damaged, page_with(0, 0, 50, 500)}) {
    Image image;
    image.set(0, page);
    EXPECT_EQ(image.totals().seconds, 0u);
    EXPECT_EQ(image.totals().rows[0].seeds, 0u);
    EXPECT_EQ(image.store(6).number, 0u);
    EXPECT_EQ(image.store(6).page, 0u);
  }
  Image last;
  last.set(0, page_with(5, 21, 50, 500));
  EXPECT_EQ(last.totals().rows[63].seeds, 500u) << "21 is the last group";
}

TEST(TotalsPages, APartThatIsTooSmallOrMissingHoldsNothing) {
  Image image;
  image.set(0, page_with(5, 0, 50, 500));
  const std::size_t size = image.bytes.size();
  EXPECT_EQ(controller::totals_on(image.bytes.data(), size - 1).seconds, 0u);
  const sillion_config config = test::machine_config();
  EXPECT_FALSE(controller::totals_store_for(config, image.bytes.data(), size - 1).there);
  for (const std::size_t none : {std::size_t{0}, size}) {
    EXPECT_EQ(controller::totals_on(nullptr, none).seconds, 0u);
    EXPECT_FALSE(controller::totals_store_for(config, nullptr, none).there);
  }
  EXPECT_TRUE(controller::totals_store_for(config, image.bytes.data(), size).there);
}

/// A machine that counts all the time; what it commands is done when `obey` says so.
struct Machine {
  explicit Machine(std::uint32_t rows, const Image& image = {}) {
    config.rows = rows;
    totals = image.totals();
    store = controller::totals_store_for(config, image.bytes.data(), image.bytes.size());
  }
  std::uint32_t call(std::uint32_t why = SILLION_WHY_TICK) {
    out = {};
    sillion_health health{};
    controller::Report report{out, health, 0};
    in.why = why;
    controller::go_on(store, totals, config, in, report);
    events.insert(events.end(), out.events, out.events + out.event_count);
    in = {};
    return out.storage_command;
  }
  /// Ticks until a command comes; their number.
  int ticks_until_command(int most = 2000) {
    for (int k = 1; k <= most; ++k)
      if (call() != SILLION_STORAGE_NONE) return k;
    return -1;
  }
  /// Does the command of the last call, says so, and makes the next call. One byte may be read
  /// otherwise than it was written.
  std::uint32_t obey(int spoilt_byte = -1) {
    if (out.storage_command == SILLION_STORAGE_PROGRAM)
      std::copy_n(out.storage, 64, written.begin());
    if (out.storage_command == SILLION_STORAGE_READ)
      std::copy(written.begin(), written.end(), in.storage);
    if (spoilt_byte >= 0) in.storage[spoilt_byte] ^= 1;
    in.storage_done = out.storage_command;
    in.storage_page = out.storage_page;
    return call();
  }

  sillion_config config = test::machine_config();
  RowTotals totals;
  TotalsStore store;
  sillion_input in{};
  sillion_output out{};
  TotalsPage written{};
  std::vector<sillion_event_record> events;
};

TEST(TotalsPages, AGenerationBeginsEvery750Milliseconds) {
  Machine machine(3);
  machine.totals.counted = true;
  EXPECT_EQ(machine.ticks_until_command(), 750);
  EXPECT_FALSE(machine.totals.counted);
  for (int k = 0; k < 3; ++k) machine.obey();
  machine.totals.counted = true;
  EXPECT_EQ(machine.ticks_until_command(), 747) << "three ticks went into the writing";
  for (int k = 0; k < 3; ++k) machine.obey();
  EXPECT_EQ(machine.ticks_until_command(), -1) << "nothing was counted";
  machine.totals.counted = true;
  EXPECT_EQ(machine.ticks_until_command(), 1) << "the last one is long ago";
}

TEST(TotalsPages, OnlyTicksAreMilliseconds) {
  Machine machine(3);
  machine.totals.counted = true;
  for (int k = 0; k < 749; ++k) ASSERT_EQ(machine.call(), 0u);
  for (int k = 0; k < 100; ++k) ASSERT_EQ(machine.call(SILLION_WHY_FRAME), 0u);
  EXPECT_EQ(machine.call(), static_cast<std::uint32_t>(SILLION_STORAGE_ERASE));
}

TEST(TotalsPages, EachGroupIsErasedProgrammedAndReadBack) {
  for (const auto& [rows, groups] : {std::pair{1u, 1u}, {3u, 1u}, {4u, 2u}, {64u, 22u}}) {
    Machine machine(rows);
    machine.totals.counted = true;
    machine.ticks_until_command();
    for (std::uint32_t group = 0; group < groups; ++group) {
      EXPECT_EQ(machine.out.storage_command, static_cast<std::uint32_t>(SILLION_STORAGE_ERASE));
      EXPECT_EQ(machine.out.storage_page, group);
      EXPECT_TRUE(std::all_of(std::begin(machine.out.storage), std::end(machine.out.storage),
                              [](std::uint8_t byte) { return byte == 0; }));
      EXPECT_EQ(machine.obey(), static_cast<std::uint32_t>(SILLION_STORAGE_PROGRAM));
      EXPECT_EQ(machine.out.storage_page, group);
      const TotalsPage page = totals_page(machine.totals, group, group + 1);
      EXPECT_TRUE(std::equal(page.begin(), page.end(), machine.out.storage)) << group;
      EXPECT_EQ(machine.obey(), static_cast<std::uint32_t>(SILLION_STORAGE_READ));
      EXPECT_EQ(machine.out.storage_page, group);
      machine.obey();
    }
    EXPECT_EQ(machine.out.storage_command, static_cast<std::uint32_t>(SILLION_STORAGE_NONE));
    EXPECT_EQ(machine.store.groups_to_write, 0u);
    EXPECT_TRUE(machine.events.empty());
  }
}

TEST(TotalsPages, AnotherAnswerThanTheOneWaitedForIsNone) {
  Machine machine(3);
  machine.totals.counted = true;
  machine.ticks_until_command();
  EXPECT_EQ(machine.call(), 0u) << "nothing has ended";
  machine.in.storage_done = SILLION_STORAGE_ERASE;
  machine.in.storage_page = 1;
  EXPECT_EQ(machine.call(), 0u) << "another page";
  machine.in.storage_done = SILLION_STORAGE_PROGRAM;
  EXPECT_EQ(machine.call(), 0u) << "another command";
  machine.in.storage_refused = SILLION_STORAGE_ERASE;
  machine.in.storage_busy = 1;
  EXPECT_EQ(machine.call(), 0u) << "refused, and the part is busy";
  machine.in.storage_done = SILLION_STORAGE_ERASE;
  EXPECT_EQ(machine.call(), static_cast<std::uint32_t>(SILLION_STORAGE_ERASE))
      << "what ended was not this one, it had been refused";
  machine.in.storage_done = SILLION_STORAGE_ERASE;
  EXPECT_EQ(machine.call(), static_cast<std::uint32_t>(SILLION_STORAGE_PROGRAM));
}

TEST(TotalsPages, APageThatDoesNotReadBackIsWrittenFourTimes) {
  Machine machine(6);
  machine.totals.counted = true;
  machine.ticks_until_command();
  for (std::uint32_t page = 0; page < 4; ++page) {
    EXPECT_TRUE(machine.events.empty()) << page;
    EXPECT_EQ(machine.out.storage_page, page);
    machine.obey();
    EXPECT_EQ(machine.out.storage[4], 0) << "the first group still";
    machine.obey();
    machine.obey(12);
  }
  ASSERT_EQ(machine.events.size(), 1u);
  EXPECT_EQ(machine.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_STORAGE_FAILED));
  EXPECT_EQ(machine.events[0].a, 3) << "the page";
  EXPECT_EQ(machine.out.storage_command, static_cast<std::uint32_t>(SILLION_STORAGE_ERASE));
  EXPECT_EQ(machine.out.storage_page, 4u);
  machine.obey();
  EXPECT_EQ(machine.out.storage[4], 1) << "the next group";
}

// What is read back may be whole and another page: then the part has not taken this one.
TEST(TotalsPages, AnotherWholePageIsNotTheOneThatWasWritten) {
  Machine machine(3);
  machine.totals.counted = true;
  machine.ticks_until_command();
  machine.obey();
  machine.obey();
  machine.written = page_with(1, 0, 0, 12'345);
  EXPECT_EQ(machine.obey(), static_cast<std::uint32_t>(SILLION_STORAGE_ERASE));
  EXPECT_EQ(machine.out.storage_page, 1u);
}

TEST(TotalsPages, WhatTheStartFoundIsToldOnce) {
  Image image;
  image.set(0, page_with(5, 0, 50, 500));
  image.set(1, page_with(6, 1, 51, 600));
  Machine machine(6, image);
  machine.call();
  machine.call();
  ASSERT_EQ(machine.events.size(), 1u);
  EXPECT_EQ(machine.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_TOTALS_KEPT));
  EXPECT_EQ(machine.events[0].a, 51);
  EXPECT_EQ(machine.events[0].b, 2) << "rows that have totals";
  Image single;
  single.set(0, page_with(1, 0, 1, 1));
  Machine first(3, single);
  first.call();
  EXPECT_EQ(first.events.size(), 1u) << "one page is enough";
  Machine blank(6);
  blank.call();
  EXPECT_TRUE(blank.events.empty());
}

TEST(TotalsPages, TheGroupOfFewerRowsTakesNothingOfTheOthers) {
  Image image;
  image.set(0, page_with(1, 0, 100, 500));
  image.set(1, page_with(2, 21, 50, 600));
  EXPECT_EQ(image.totals().seconds, 100u) << "the most of all pages";
  EXPECT_EQ(image.totals().rows[63].seeds, 600u);
}

TEST(TotalsPages, TheRingEndsWithItsLastPage) {
  Image image;
  image.bytes.resize((kTotalsPages + 1) * 64, 0xff);
  image.set(3, page_with(5, 0, 50, 500));
  image.set(kTotalsPages, page_with(6, 0, 60, 600));
  EXPECT_EQ(image.totals().rows[0].seeds, 500u);
  EXPECT_EQ(image.store(3).number, 5u);
  EXPECT_EQ(image.store(3).page, 4u);
}

TEST(TotalsPages, TheNewestPageMayBeTheFirst) {
  Image image;
  image.set(255, page_with(76, 0, 1, 1));
  image.set(0, page_with(77, 1, 1, 1));
  EXPECT_EQ(image.store(9).number, 77u);
  EXPECT_EQ(image.store(9).page, 1u);
  EXPECT_EQ(image.store(9).group, 2u);
}

TEST(TotalsPages, EachGroupIsTriedFourTimes) {
  Machine machine(6);
  machine.totals.counted = true;
  machine.ticks_until_command();
  for (std::size_t page = 0; page < 8; ++page) {
    EXPECT_EQ(machine.events.size(), page / 4);
    EXPECT_EQ(machine.out.storage_page, page);
    machine.obey();
    EXPECT_EQ(machine.out.storage[4], page / 4) << "the group";
    machine.obey();
    machine.obey(12);
  }
  EXPECT_EQ(machine.events.size(), 2u);
  EXPECT_EQ(machine.store.groups_to_write, 0u);
}

TEST(TotalsPages, APageWhoseCheckDoesNotReadBackIsWrittenAgain) {
  Machine machine(3);
  machine.totals.counted = true;
  machine.ticks_until_command();
  machine.obey();
  machine.obey();
  EXPECT_EQ(machine.obey(60), static_cast<std::uint32_t>(SILLION_STORAGE_ERASE));
  EXPECT_EQ(machine.out.storage_page, 1u);
}

// A part that takes 2 s for one program: the generation under way ends before the next begins.
TEST(TotalsPages, AGenerationEndsBeforeTheNextBegins) {
  Machine machine(3);
  machine.totals.counted = true;
  machine.ticks_until_command();
  EXPECT_EQ(machine.obey(), static_cast<std::uint32_t>(SILLION_STORAGE_PROGRAM));
  std::copy_n(machine.out.storage, 64, machine.written.begin());
  machine.totals.counted = true;
  for (int ms = 0; ms < 2000; ++ms) {
    machine.in.storage_busy = 1;
    ASSERT_EQ(machine.call(), 0u);
  }
  EXPECT_TRUE(machine.totals.counted) << "not yet written";
  machine.in.storage_done = SILLION_STORAGE_PROGRAM;
  EXPECT_EQ(machine.call(), static_cast<std::uint32_t>(SILLION_STORAGE_READ));
  EXPECT_EQ(machine.obey(), 0u);
  EXPECT_EQ(machine.call(), static_cast<std::uint32_t>(SILLION_STORAGE_ERASE)) << "the next one";
}

}  // namespace
