// The records of the valve's openings, byte by byte as the top of controller/valve_cycles.h states
// them, and each command of their writing. CRC-32 by shared/check_sum.h, which has a test of its
// own against ISO 3309's check value.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <vector>

#include "controller/valve_cycles.h"
#include "shared/check_sum.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::kConfigPages;
using controller::kRowPages;
using controller::ValveCycles;
using Record = std::array<std::uint8_t, 8>;

constexpr std::uint32_t kErase = SILLION_STORAGE_ERASE;
constexpr std::uint32_t kProgram = SILLION_STORAGE_PROGRAM;
constexpr std::uint32_t kRead = SILLION_STORAGE_READ;

/// The count, lowest byte first, and its CRC-32 likewise.
Record record_of(std::uint32_t count) {
  Record record{};
  shared::CheckSum sum;
  for (std::size_t k = 0; k < 4; ++k) {
    record[k] = static_cast<std::uint8_t>((count >> (8 * k)) & 0xff);
    sum.take(record[k]);
  }
  for (std::size_t k = 0; k < 4; ++k)
    record[4 + k] = static_cast<std::uint8_t>((sum.value() >> (8 * k)) & 0xff);
  return record;
}

struct Image {
  void set(std::size_t slot, const Record& record) {
    std::copy(record.begin(), record.end(),
              bytes.begin() + static_cast<std::ptrdiff_t>(kConfigPages * 64 + slot * 8));
  }
  ValveCycles cycles() const { return controller::valve_cycles_for(bytes.data(), bytes.size()); }
  std::vector<std::uint8_t> bytes = std::vector<std::uint8_t>(kRowPages * 64, 0xff);
};

TEST(ValveRecords, ACountIsReadLowestByteFirst) {
  Image image;
  image.set(0, record_of(0x04030201));
  const ValveCycles cycles = image.cycles();
  EXPECT_TRUE(cycles.there);
  EXPECT_EQ(cycles.before, 0x04030201u);
  EXPECT_EQ(cycles.kept, 0x04030201u);
  EXPECT_EQ(cycles.slot, 1u);
}

TEST(ValveRecords, APartThatIsTooSmallIsNotThere) {
  Image image;
  image.set(0, record_of(240));
  EXPECT_FALSE(controller::valve_cycles_for(image.bytes.data(), kRowPages * 64 - 1).there);
  EXPECT_FALSE(controller::valve_cycles_for(nullptr, 0).there);
  const ValveCycles blank = Image{}.cycles();
  EXPECT_TRUE(blank.there);
  EXPECT_EQ(blank.before, 0u);
  EXPECT_EQ(blank.slot, 0u);
}

TEST(ValveRecords, TheLargestWholeRecordCounts) {
  Image image;
  image.set(9, record_of(2400));
  image.set(10, record_of(2160));
  Record damaged = record_of(9600);
  damaged[7] ^= 0x80;
  image.set(40, damaged);
  damaged = record_of(9600);
  damaged[1] ^= 1;
  image.set(41, damaged);
  const ValveCycles cycles = image.cycles();
  EXPECT_EQ(cycles.before, 2400u);
  EXPECT_EQ(cycles.slot, 11u) << "behind the older one, whose place is used";
}

TEST(ValveRecords, BehindTheLastPlaceComesTheFirst) {
  Image image;
  image.set(63, record_of(2400));
  EXPECT_EQ(image.cycles().before, 2400u);
  EXPECT_EQ(image.cycles().slot, 0u);
}

// Any byte that is not 0xFF shows that a program began there.
TEST(ValveRecords, ARecordThatWasCutLeavesItsPlaceUsed) {
  for (std::size_t byte = 0; byte < 8; ++byte) {
    for (const int value : {0x00, 0xfe}) {
      Image image;
      image.set(2, record_of(240));
      Record cut;
      cut.fill(0xff);
      cut[byte] = static_cast<std::uint8_t>(value);
      image.set(3, cut);
      EXPECT_EQ(image.cycles().slot, 4u) << byte;
      image.set(4, cut);
      EXPECT_EQ(image.cycles().slot, 5u) << byte;
    }
  }
  Image whole;
  whole.set(2, record_of(240));
  EXPECT_EQ(whole.cycles().slot, 3u) << "a blank place is free";
}

// The first place of a page is erased before it is used, whatever stands there.
TEST(ValveRecords, UsedPlacesEndWithThePage) {
  Image image;
  image.set(6, record_of(240));
  Record cut{};
  image.set(7, cut);
  image.set(8, cut);
  EXPECT_EQ(image.cycles().slot, 8u);
}

struct Row {
  explicit Row(const Image& image) : cycles(image.cycles()) {}
  std::uint32_t call() {
    out = {};
    sillion_health health{};
    controller::Report report{out, health, 0};
    in.digital = lifted ? 0 : SILLION_INPUT_LOWERED;
    controller::go_on(cycles, openings, in, report);
    events.insert(events.end(), out.events, out.events + out.event_count);
    in = {};
    return out.storage_command;
  }
  /// Says that the last command has been done, with this record in its place, and makes a call.
  std::uint32_t done(const Record& read = {}, std::size_t place = 0) {
    in.storage_done = out.storage_command;
    in.storage_page = out.storage_page;
    std::copy(read.begin(), read.end(), in.storage + place * 8);
    return call();
  }

  ValveCycles cycles;
  std::uint32_t openings = 0;
  bool lifted = false;
  sillion_input in{};
  sillion_output out{};
  std::vector<sillion_event_record> events;
};

TEST(ValveRecords, ARecordIsWrittenBehind240Openings) {
  Image image;
  image.set(2, record_of(0x04030201));
  Row row(image);
  row.openings = 239;
  EXPECT_EQ(row.call(), 0u);
  row.openings = 240;
  EXPECT_EQ(row.call(), kProgram) << "its page has been erased for its first record";
  EXPECT_EQ(row.out.storage_page, kConfigPages);
  const Record wanted = record_of(0x040302f1);
  EXPECT_EQ(wanted[0], 0xf1);
  for (std::size_t k = 0; k < 64; ++k)
    EXPECT_EQ(row.out.storage[k], k >= 24 && k < 32 ? wanted[k - 24] : 0xff) << k;
  EXPECT_EQ(row.out.watchdog_kick, 0u) << "what stands behind the page is left alone";
  row.openings = 250;
  EXPECT_EQ(row.done(), kRead);
  EXPECT_EQ(row.done(wanted, 3), 0u);
  EXPECT_EQ(row.cycles.kept, 0x040302f1u);
  EXPECT_EQ(row.cycles.slot, 4u);
  row.openings = 479;
  EXPECT_EQ(row.call(), 0u);
  row.openings = 480;
  EXPECT_EQ(row.call(), kProgram);
}

TEST(ValveRecords, OnlyAProgramHasBytes) {
  Row row{Image{}};
  row.openings = 240;
  EXPECT_EQ(row.call(), kErase);
  const auto none = [](std::uint8_t byte) { return byte == 0; };
  EXPECT_TRUE(std::all_of(std::begin(row.out.storage), std::end(row.out.storage), none));
  EXPECT_EQ(row.done(), kProgram);
  EXPECT_FALSE(std::all_of(std::begin(row.out.storage), std::end(row.out.storage), none));
  EXPECT_EQ(row.done(), kRead);
  EXPECT_TRUE(std::all_of(std::begin(row.out.storage), std::end(row.out.storage), none));
}

TEST(ValveRecords, EachByteIsReadBack) {
  for (std::size_t byte = 0; byte < 8; ++byte) {
    Row row{Image{}};
    row.openings = 240;
    row.call();
    row.done();
    row.done();
    Record read = record_of(240);
    read[byte] ^= 1;
    EXPECT_EQ(row.done(read), kErase) << byte;
    EXPECT_EQ(row.out.storage_page, kConfigPages + 1) << "the next page";
  }
}

// Page by page around the ring, each once, beginning in the middle of its last page.
TEST(ValveRecords, EightPagesAreTried) {
  Image image;
  image.set(58, record_of(1000));
  Row row(image);
  row.openings = 240;
  EXPECT_EQ(row.call(), kProgram);
  EXPECT_EQ(row.out.storage_page, kConfigPages + 7);
  EXPECT_EQ(row.done(), kRead);
  for (std::uint32_t page = 0; page < 7; ++page) {
    EXPECT_EQ(row.done(), kErase);
    EXPECT_EQ(row.out.storage_page, kConfigPages + page);
    EXPECT_EQ(row.done(), kProgram);
    EXPECT_EQ(row.done(), kRead);
    EXPECT_EQ(row.events.size(), 1u) << "what the start found";
  }
  EXPECT_EQ(row.done(), 0u);
  ASSERT_EQ(row.events.size(), 2u);
  EXPECT_EQ(row.events[1].code, static_cast<std::uint32_t>(SILLION_EVENT_STORAGE_FAILED));
  EXPECT_EQ(row.events[1].a, static_cast<std::int32_t>(kConfigPages + 6)) << "the last page tried";
  row.openings = 479;
  EXPECT_EQ(row.call(), 0u);
  row.openings = 480;
  EXPECT_EQ(row.call(), kErase) << "the next try after as many openings";
  EXPECT_EQ(row.out.storage_page, kConfigPages + 7);
}

TEST(ValveRecords, AnotherAnswerThanTheOneWaitedForIsNone) {
  Row row{Image{}};
  row.openings = 240;
  EXPECT_EQ(row.call(), kErase);
  EXPECT_EQ(row.call(), 0u) << "nothing has ended";
  row.in.storage_done = kErase;
  row.in.storage_page = kConfigPages - 1;
  EXPECT_EQ(row.call(), 0u) << "a page of the configuration";
  row.in.storage_done = kProgram;
  row.in.storage_page = kConfigPages;
  EXPECT_EQ(row.call(), 0u) << "another command";
  row.in.storage_refused = kErase;
  row.in.storage_busy = 1;
  EXPECT_EQ(row.call(), 0u) << "refused, and the part is busy";
  row.in.storage_done = kErase;
  row.in.storage_page = kConfigPages;
  EXPECT_EQ(row.call(), kErase) << "what ended was not this one, it had been refused";
  EXPECT_EQ(row.done(), kProgram);
}

TEST(ValveRecords, ALiftWritesWhatIsNotKept) {
  Row row{Image{}};
  row.openings = 5;
  row.lifted = true;
  EXPECT_EQ(row.call(), kErase) << "lifted as of the first call";
  Row kept{Image{}};
  kept.lifted = true;
  EXPECT_EQ(kept.call(), 0u) << "nothing was opened";
  kept.openings = 1;
  EXPECT_EQ(kept.call(), 0u) << "it has been lifted for a while";
  kept.lifted = false;
  EXPECT_EQ(kept.call(), 0u);
  kept.lifted = true;
  EXPECT_EQ(kept.call(), kErase);
}

TEST(ValveRecords, WhatTheStartFoundIsToldOnce) {
  Image image;
  image.set(0, record_of(7));
  Row row(image);
  row.call();
  row.call();
  ASSERT_EQ(row.events.size(), 1u);
  EXPECT_EQ(row.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_CYCLES_KEPT));
  EXPECT_EQ(row.events[0].a, 7);
  Row blank{Image{}};
  blank.call();
  EXPECT_TRUE(blank.events.empty());
}

TEST(ValveRecords, WithoutAPartThereIsNothingWhateverItsSize) {
  EXPECT_FALSE(controller::valve_cycles_for(nullptr, kRowPages * 64).there);
}

TEST(ValveRecords, TheRingEndsWithItsLastPlace) {
  Image image;
  image.bytes.resize((kRowPages + 1) * 64, 0xff);
  image.set(3, record_of(240));
  image.set(64, record_of(480));
  EXPECT_EQ(image.cycles().before, 240u);
  EXPECT_EQ(image.cycles().slot, 4u);
}

// A record that was read back wrong is written once more further on, and may be whole all the same.
TEST(ValveRecords, OfTwoEqualRecordsTheLaterIsTheNewest) {
  Image image;
  image.set(3, record_of(240));
  image.set(8, record_of(240));
  EXPECT_EQ(image.cycles().before, 240u);
  EXPECT_EQ(image.cycles().slot, 9u);
}

TEST(ValveRecords, TheLastFreePlaceOfAPageIsUsedThoughTheNextPageIsFull) {
  Image image;
  image.set(6, record_of(2400));
  for (std::uint32_t place = 8; place < 16; ++place) image.set(place, record_of(240 + place));
  EXPECT_EQ(image.cycles().slot, 7u);
}

TEST(ValveRecords, OneOpeningIsEnoughToBeTold) {
  Image image;
  image.set(0, record_of(1));
  Row row(image);
  row.call();
  ASSERT_EQ(row.events.size(), 1u);
  EXPECT_EQ(row.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_CYCLES_KEPT));
  EXPECT_EQ(row.events[0].a, 1);
}

// Each record may be tried once per page: seven pages that fail, and the eighth takes it.
TEST(ValveRecords, EachRecordIsTriedOncePerPage) {
  Row row{Image{}};
  for (const std::uint32_t count : {240u, 480u}) {
    row.openings = count;
    row.call();
    for (int page = 0; page < 8; ++page) {
      while (row.out.storage_command != kRead) ASSERT_NE(row.done(), 0u) << page;
      const std::size_t place = row.cycles.slot % 8u;
      row.done(page == 7 ? record_of(count) : Record{}, place);
    }
    EXPECT_EQ(row.cycles.kept, count);
    EXPECT_TRUE(row.events.empty()) << "a page has taken it";
  }
}

}  // namespace
