// The machine's totals on a part that is drawn here by itself: program is AND, erase is 0xFF, and a
// power loss may come after any byte.
#include "controller/totals_store.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <vector>

#include "tests/controller/fake_hardware.h"

namespace {

using controller::kTotalsPages;
using controller::RowTotals;
using controller::totals_on;
using controller::TotalsStore;

constexpr int kPage = SILLION_PAGE_BYTES;

struct Part {
  std::vector<std::uint8_t> bytes = std::vector<std::uint8_t>(kTotalsPages * kPage, 0xff);
  std::vector<int> erases = std::vector<int>(kTotalsPages);
  std::vector<bool> stuck = std::vector<bool>(kTotalsPages);
  int writes = 0;
  bool deaf = false;  // says that it has written, and has not

  void write(const sillion_output& out, int count = kPage) {
    ++writes;
    if (deaf) return;
    if (out.storage_command == SILLION_STORAGE_ERASE) ++erases[out.storage_page];
    for (int k = 0; k < count; ++k) {
      const std::size_t at = out.storage_page * kPage + static_cast<std::size_t>(k);
      const int to = stuck[out.storage_page]                        ? 0
                     : out.storage_command == SILLION_STORAGE_ERASE ? 0xff
                                                                    : bytes[at] & out.storage[k];
      bytes[at] = static_cast<std::uint8_t>(to);
    }
  }
  RowTotals totals() const { return totals_on(bytes.data(), bytes.size()); }
};

/// One start of a machine whose rows each lay a band every 30 ms; a call each ms.
struct Start {
  Start(Part& on, std::uint32_t rows) : part(on) {
    config.rows = rows;
    totals = on.totals();
    store = controller::totals_store_for(config, on.bytes.data(), on.bytes.size());
  }
  /// False: the power was cut in write number `cut` (from 0) after `bytes` of it.
  bool run(int ms, int cut = -1, int bytes = 0) {
    for (int k = 0; k < ms; ++k) {
      if (++now_ms % 30 == 0)
        for (std::uint32_t row = 0; row < config.rows; ++row) lay(row);
      if (!call(cut, bytes)) return false;
    }
    return true;
  }
  void lay(std::uint32_t row) {
    ++totals.rows[row].bands;
    ++totals.rows[row].bands_heard;
    totals.rows[row].volume_ml += row;
    totals.counted = true;
    laid.push_back({now_ms, row});
  }
  bool call(int cut, int bytes) {
    sillion_output out{};
    sillion_health health{};
    controller::Report report{out, health, 0};
    in.why = SILLION_WHY_TICK;
    in.storage_busy = busy_ms > 0 ? 1 : 0;
    if (busy_ms == 0 && pending != 0) {
      in.storage_done = pending;
      in.storage_page = page;
      pending = 0;
    }
    controller::go_on(store, totals, config, in, report);
    events.insert(events.end(), out.events, out.events + out.event_count);
    in = {};
    busy_ms = std::max(0, busy_ms - 1);
    if (out.storage_command == SILLION_STORAGE_NONE) return true;
    pending = out.storage_command;
    page = out.storage_page;
    if (pending == SILLION_STORAGE_READ) {
      std::copy_n(part.bytes.begin() + static_cast<int>(page) * kPage, kPage, in.storage);
      return true;
    }
    if (part.writes == cut) {
      part.write(out, bytes);
      return false;
    }
    part.write(out);
    busy_ms = pending == SILLION_STORAGE_ERASE ? 20 : 2;
    return true;
  }
  /// Bands of a row within the last `ms`.
  std::uint32_t laid_within(int ms, std::uint32_t row) const {
    return static_cast<std::uint32_t>(std::ranges::count_if(
        laid, [&](const auto& one) { return one.second == row && one.first > now_ms - ms; }));
  }

  Part& part;
  sillion_config config = test::machine_config();
  RowTotals totals;
  TotalsStore store;
  int now_ms = 0;
  std::vector<std::pair<int, std::uint32_t>> laid;
  std::vector<sillion_event_record> events;
  sillion_input in{};
  std::uint32_t pending = 0, page = 0;
  int busy_ms = 0;
};

TEST(TotalsStore, ThePagesGiveBackWhatWasCounted) {
  Part part;
  Start machine(part, 8);
  machine.run(5000);
  EXPECT_TRUE(machine.events.empty());
  machine.totals.counted = false;
  machine.run(0);
  Start next(part, 8);
  next.run(1);
  ASSERT_EQ(next.events.size(), 1u);
  EXPECT_EQ(next.events[0].code, std::uint32_t{SILLION_EVENT_TOTALS_KEPT});
  EXPECT_EQ(next.events[0].b, 8);
  for (std::uint32_t row = 0; row < 8; ++row) {
    EXPECT_GT(next.totals.rows[row].bands, 100u);
    EXPECT_EQ(next.totals.rows[row].bands, next.totals.rows[row].bands_heard);
    EXPECT_EQ(next.totals.rows[row].volume_ml, row * next.totals.rows[row].bands);
  }
  EXPECT_EQ(next.totals.rows[8].bands, 0u);
}

// 790 ms before the power fails, and the 210 ms in which a report reaches the machine, are 1 s.
TEST(TotalsStore, APowerLossAtAnyByteTakesLessThanASecond) {
  for (const std::uint32_t rows : {1u, 8u, 64u})
    for (int cut = 0; cut < 120; cut += rows == 8 ? 1 : 7)
      for (int bytes = cut % 5; bytes <= kPage; bytes += 13) {
        Part part;
        Start machine(part, rows);
        machine.run(2000);
        const int before = part.writes;
        ASSERT_FALSE(machine.run(200'000, before + cut, bytes));
        const RowTotals kept = part.totals();
        for (std::uint32_t row = 0; row < rows; ++row) {
          const std::uint32_t lost = machine.totals.rows[row].bands - kept.rows[row].bands;
          ASSERT_LE(lost, machine.laid_within(790, row))
              << rows << " rows, row " << row << ", write " << cut << ", byte " << bytes;
        }
      }
}

// Cut in every generation of its starts: the ring turns, and no group is written over before its
// newer page is whole.
TEST(TotalsStore, StartsThatAreCutAgainAndAgainLoseNoRow) {
  Part part;
  Start(part, 64).run(2000);
  const std::uint32_t least = part.totals().rows[63].bands;
  ASSERT_GT(least, 0u);
  for (int start = 0; start < 600; ++start) {
    Start machine(part, 64);
    machine.run(4000, part.writes + 2 + start % 3, 30);
    const RowTotals kept = part.totals();
    for (std::uint32_t row = 0; row < 64; ++row) ASSERT_GE(kept.rows[row].bands, least) << start;
  }
}

TEST(TotalsStore, WearIsSharedByAllPagesAndNothingIsWrittenAtRest) {
  Part part;
  Start machine(part, 12);
  machine.run(60'000);  // 80 generations of 4 pages: 320 erases over 256 pages
  EXPECT_EQ(*std::ranges::max_element(part.erases), 2);
  EXPECT_EQ(*std::ranges::min_element(part.erases), 1);
  const int before = part.writes;
  for (int ms = 0; ms < 10'000; ++ms) machine.call(-1, 0);
  EXPECT_LE(part.writes - before, 2 * 2 * 4) << "what was under way, and one more generation";
}

TEST(TotalsStore, AWornPageIsPassedOver) {
  Part part;
  for (std::uint32_t page = 0; page < kTotalsPages; page += 2) part.stuck[page] = true;
  Start machine(part, 8);
  machine.run(20'000);
  EXPECT_TRUE(machine.events.empty());
  EXPECT_GE(part.totals().rows[7].bands + 27, machine.totals.rows[7].bands);
  std::fill(part.stuck.begin(), part.stuck.end(), true);
  machine.run(2000);
  ASSERT_FALSE(machine.events.empty());
  EXPECT_EQ(machine.events[0].code, std::uint32_t{SILLION_EVENT_STORAGE_FAILED});
}

// Every flipped bit of every page of a group: its page of the generation before counts.
TEST(TotalsStore, ADamagedPageFallsBackToTheGenerationBefore) {
  Part good;
  Start(good, 3).run(2400);
  const std::uint32_t newest = good.totals().rows[0].bands;
  for (int bit = 0; bit < 8 * kPage; ++bit) {
    Part part = good;
    int last = -1;
    for (int page = 0; page < static_cast<int>(kTotalsPages); ++page)
      if (part.bytes[static_cast<std::size_t>(page * kPage)] != 0xff) last = page;
    ASSERT_GE(last, 1);
    part.bytes[static_cast<std::size_t>(last * kPage + bit / 8)] ^=
        static_cast<std::uint8_t>(1u << (bit % 8));
    const std::uint32_t kept = part.totals().rows[0].bands;
    ASSERT_LT(kept, newest) << bit;
    ASSERT_GE(kept + 26, newest) << bit;  // 750 ms
  }
}

TEST(TotalsStore, WithoutThePagesNothingIsAsked) {
  Part part;
  part.bytes.resize(kPage);
  Start machine(part, 8);
  EXPECT_TRUE(machine.run(3000));
  EXPECT_EQ(part.writes, 0);
}

// A row that has counted seeds and laid no band is kept as well: one of 8 has totals.
TEST(TotalsStore, SeedsWithoutBandsAreTotals) {
  Part part;
  Start machine(part, 8);
  machine.totals.rows[3].seeds = 5;
  machine.totals.counted = true;
  for (int ms = 0; ms < 1500; ++ms) machine.call(-1, 0);
  Start next(part, 8);
  next.call(-1, 0);
  ASSERT_EQ(next.events.size(), 1u);
  EXPECT_EQ(next.events[0].b, 1);
  EXPECT_EQ(next.totals.rows[3].seeds, 5u);
}

// The ring is full (22 pages every 750 ms, 256 in all), and then the part takes commands and does
// nothing: what reads back is whole, but it is the page of an earlier turn.
TEST(TotalsStore, APageThatKeptItsOldContentHasFailed) {
  Part part;
  Start machine(part, 64);
  machine.run(12'000);
  ASSERT_TRUE(std::ranges::none_of(part.erases, [](int count) { return count == 0; }));
  ASSERT_TRUE(machine.events.empty());
  part.deaf = true;
  machine.run(2000);
  ASSERT_FALSE(machine.events.empty());
  EXPECT_EQ(machine.events[0].code, std::uint32_t{SILLION_EVENT_STORAGE_FAILED});
}

/// A store that has just asked for the erase of its first page, with what it asks for next.
struct Asked {
  Asked() {
    start.lay(0);
    for (int ms = 0; ms < 1000 && start.pending == 0; ++ms) start.call(-1, 0);
  }
  std::uint32_t next(const sillion_input& in) {
    sillion_output out{};
    sillion_health health{};
    controller::Report report{out, health, 0};
    controller::go_on(start.store, start.totals, start.config, in, report);
    return out.storage_command;
  }
  Part part;
  Start start{part, 8};
};

// Only the end of the very command goes on: another page's belongs to somebody else.
TEST(TotalsStore, TheEndOfAnotherPagesCommandIsNotItsOwn) {
  Asked asked;
  ASSERT_EQ(asked.start.pending, std::uint32_t{SILLION_STORAGE_ERASE});
  sillion_input in{};
  in.storage_done = SILLION_STORAGE_ERASE;
  in.storage_page = asked.start.page + 1;
  EXPECT_EQ(asked.next(in), std::uint32_t{SILLION_STORAGE_NONE});
  in.storage_page = asked.start.page;
  EXPECT_EQ(asked.next(in), std::uint32_t{SILLION_STORAGE_PROGRAM});
}

// A part that was busy refuses: the same command comes again as soon as it is not.
TEST(TotalsStore, ARefusedCommandIsGivenAgain) {
  Asked asked;
  sillion_input in{};
  in.storage_refused = SILLION_STORAGE_ERASE;
  in.storage_busy = 1;
  EXPECT_EQ(asked.next(in), std::uint32_t{SILLION_STORAGE_NONE});
  in = {};
  EXPECT_EQ(asked.next(in), std::uint32_t{SILLION_STORAGE_ERASE});
}

}  // namespace
