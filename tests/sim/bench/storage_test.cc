// The storage part by itself. Expected bytes are worked by hand from the laws in
// sim/bench/storage.h.
#include "sim/bench/storage.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <bit>

namespace {

using shared::Instant;
using sim::bench::Storage;
using sim::bench::StoragePage;
using sim::bench::StorageSetup;

constexpr Instant kStart{5'000'000};

/// Times of which 64 divides neither.
StorageSetup setup() {
  StorageSetup made;
  made.erase = shared::Duration{20'000'001};
  made.program = shared::Duration{2'000'003};
  made.stream = {.rng_key = 11, .row = 3, .pass = 0};
  return made;
}

StoragePage page_of(std::uint8_t first, std::uint8_t step) {
  StoragePage page{};
  for (std::size_t k = 0; k < page.size(); ++k)
    page[k] = static_cast<std::uint8_t>(first + step * k);
  return page;
}

/// Writes a page and waits for its end; the instant after it.
Instant write(Storage& storage, sillion_storage_command command, std::uint32_t page,
              const StoragePage& data, Instant at) {
  EXPECT_TRUE(storage.begin(command, page, data.data(), at));
  const Instant end = at + shared::milliseconds(30);
  std::uint32_t ended = 99;
  EXPECT_EQ(storage.finish_by(end, ended), command);
  EXPECT_EQ(ended, page);
  return end;
}

int zeros(const StoragePage& page) {
  int count = 0;
  for (const std::uint8_t byte : page) count += 8 - std::popcount(byte);
  return count;
}

TEST(Storage, BeginsBlankAndProgramsOnlyFromOneToZero) {
  Storage storage(setup(), 3);
  EXPECT_EQ(storage.pages(), 3u);
  EXPECT_EQ(zeros(storage.page(1)), 0);
  Instant at = write(storage, SILLION_STORAGE_PROGRAM, 1, page_of(0xf3, 0), kStart);
  EXPECT_EQ(storage.page(1), page_of(0xf3, 0));
  // 0xf3 & 0x5e = 0x52: bits go down only, without an erase
  at = write(storage, SILLION_STORAGE_PROGRAM, 1, page_of(0x5e, 0), at);
  EXPECT_EQ(storage.page(1), page_of(0x52, 0));
  write(storage, SILLION_STORAGE_ERASE, 1, {}, at);
  EXPECT_EQ(zeros(storage.page(1)), 0);
  EXPECT_EQ(storage.erases(1), 1);
  EXPECT_EQ(storage.erases(0), 0);
  EXPECT_EQ(zeros(storage.page(0)) + zeros(storage.page(2)), 0);
}

TEST(Storage, IsBusyForItsTimeAndNoLonger) {
  Storage storage(setup(), 1);
  std::uint32_t page = 0;
  EXPECT_TRUE(storage.begin(SILLION_STORAGE_ERASE, 0, nullptr, kStart));
  EXPECT_FALSE(storage.begin(SILLION_STORAGE_ERASE, 0, nullptr, kStart));
  EXPECT_EQ(storage.finish_by(Instant{25'000'000}, page), SILLION_STORAGE_NONE);
  EXPECT_TRUE(storage.busy());
  EXPECT_EQ(storage.finish_by(Instant{25'000'001}, page), SILLION_STORAGE_ERASE);
  EXPECT_FALSE(storage.busy());
  EXPECT_EQ(storage.finish_by(Instant{99'000'000}, page), SILLION_STORAGE_NONE);
}

// Up to its endurance of 3 a page erases whole; then each erase leaves at most one more bit at 0,
// for good, and programs cannot raise it.
TEST(Storage, BitsStickBeyondTheEnduranceAlone) {
  StorageSetup worn = setup();
  worn.endurance = 3;
  Storage storage(worn, 2);
  Instant at = kStart;
  int before = 0;
  for (int erase = 1; erase <= 200; ++erase) {
    at = write(storage, SILLION_STORAGE_ERASE, 1, {}, at);
    const int stuck = zeros(storage.page(1));
    EXPECT_EQ(stuck, storage.stuck_bits());
    if (erase <= 3)
      EXPECT_EQ(stuck, 0);
    else
      EXPECT_TRUE(stuck == before || stuck == before + 1);
    before = stuck;
  }
  // 197 draws of 512 bits: 512 (1 - (511/512)^197) = 163.6 different ones are expected, and an sd
  // below sqrt(197 (1 - 163.6/197)) = 6
  EXPECT_GT(before, 134);
  EXPECT_LE(before, 197);
  const StoragePage stuck = storage.page(1);
  write(storage, SILLION_STORAGE_PROGRAM, 1, page_of(0xff, 0), at);
  EXPECT_EQ(storage.page(1), stuck);
  EXPECT_EQ(zeros(storage.page(0)), 0);
}

TEST(Storage, StuckBitsHangOnKeyRowAndPageAlone) {
  const auto stuck_page = [](std::uint64_t key, std::uint32_t row, std::uint32_t page) {
    StorageSetup worn = setup();
    worn.erases_before = worn.endurance;
    worn.stream = {.rng_key = key, .row = row, .pass = 0};
    Storage storage(worn, 2);
    Instant at = kStart;
    for (int erase = 0; erase < 20; ++erase)
      at = write(storage, SILLION_STORAGE_ERASE, page, {}, at);
    return storage.page(page);
  };
  EXPECT_EQ(stuck_page(11, 3, 0), stuck_page(11, 3, 0));
  EXPECT_NE(stuck_page(11, 3, 0), stuck_page(12, 3, 0));
  EXPECT_NE(stuck_page(11, 3, 0), stuck_page(11, 4, 0));
  EXPECT_NE(stuck_page(11, 3, 0), stuck_page(11, 3, 1));
}

// Every cut of a program and of an erase: k bytes are done, the others are as they were.
TEST(Storage, ACutWriteLeavesTheFirstBytesDoneAndTheOthersAsTheyWere) {
  const StoragePage old = page_of(0x0f, 3), data = page_of(0xc5, 5);
  for (const auto command : {SILLION_STORAGE_PROGRAM, SILLION_STORAGE_ERASE})
    for (int bytes = 0; bytes <= SILLION_PAGE_BYTES; ++bytes) {
      StorageSetup cut = setup();
      cut.image.assign(old.begin(), old.end());
      cut.cuts = {{.write = 1, .bytes = bytes, .off = shared::milliseconds(7)}};
      Storage storage(cut, 1);
      ASSERT_TRUE(storage.begin(command, 0, data.data(), kStart));
      ASSERT_NE(storage.cut_at(), sim::bench::kNoCut);
      EXPECT_GE(storage.cut_at(), kStart);
      EXPECT_EQ(storage.cut_off(), shared::milliseconds(7));
      storage.lose_power(storage.cut_at());
      EXPECT_TRUE(storage.cuts()[0].fired);
      EXPECT_FALSE(storage.busy());
      EXPECT_EQ(storage.cut_at(), sim::bench::kNoCut);
      StoragePage expected = old;
      for (int k = 0; k < bytes; ++k) {
        const auto at = static_cast<std::size_t>(k);
        expected[at] = command == SILLION_STORAGE_ERASE
                           ? std::uint8_t{0xff}
                           : static_cast<std::uint8_t>(old[at] & data[at]);
      }
      EXPECT_EQ(storage.page(0), expected) << command << " after " << bytes;
      EXPECT_EQ(storage.erases(0), command == SILLION_STORAGE_ERASE ? 1 : 0);
    }
}

// A power loss that nobody laid to a byte cuts by its instant: 3/4 of 2 ms is 48 bytes.
TEST(Storage, APowerLossCutsWhereItsInstantSays) {
  StorageSetup plain = setup();
  plain.program = shared::milliseconds(2);
  Storage storage(plain, 1);
  storage.begin(SILLION_STORAGE_PROGRAM, 0, page_of(0, 0).data(), kStart);
  EXPECT_EQ(storage.cut_at(), sim::bench::kNoCut);
  storage.lose_power(kStart + shared::microseconds(1500));
  EXPECT_EQ(zeros(storage.page(0)), 8 * 48);
  storage.lose_power(kStart + shared::microseconds(1600));  // nothing is under way any more
  EXPECT_EQ(zeros(storage.page(0)), 8 * 48);
}

TEST(Storage, ACutCountsErasesAndProgramsTogetherAndFiresOnce) {
  StorageSetup cut = setup();
  cut.cuts = {{.write = 3, .bytes = 10, .off = {}}};
  Storage storage(cut, 2);
  Instant at = write(storage, SILLION_STORAGE_ERASE, 0, {}, kStart);
  at = write(storage, SILLION_STORAGE_PROGRAM, 0, page_of(1, 1), at);
  storage.begin(SILLION_STORAGE_ERASE, 1, nullptr, at);
  EXPECT_NE(storage.cut_at(), sim::bench::kNoCut);
  storage.lose_power(storage.cut_at());
  storage.begin(SILLION_STORAGE_ERASE, 1, nullptr, at);
  EXPECT_EQ(storage.cut_at(), sim::bench::kNoCut);
}

TEST(Storage, DamageFlipsSoManyBitsOfItsPageAlone) {
  StorageSetup damaged = setup();
  damaged.damage = {{1, 37}, {2, 512}, {7, 5}};  // there is no page 7
  const Storage storage(damaged, 3);
  EXPECT_EQ(zeros(storage.page(0)), 0);
  EXPECT_EQ(zeros(storage.page(1)), 37);
  EXPECT_EQ(zeros(storage.page(2)), 512);
}

TEST(Storage, AnImageIsItsContents) {
  StorageSetup loaded = setup();
  for (int k = 0; k < 2 * SILLION_PAGE_BYTES; ++k)
    loaded.image.push_back(static_cast<std::uint8_t>(k));
  const Storage storage(loaded, 2);
  EXPECT_EQ(storage.page(1)[0], 64);
  EXPECT_EQ(storage.bytes(), loaded.image);
}

}  // namespace
