// The totals of all rows on the machine's storage, so that they survive a power loss.
//
//   page        0-3 number (u32, one higher with each page), 4 group, 5 version, 6-7 zero, 8-11
//               seconds, then for 3 rows seeds, bands, ml (u32 each) and the row's counters of
//               seeds and bands as heard last (u16 each), 60-63 CRC-32 of bytes 0 to 59
//   generation  a page for each group of 3 rows: 1 to 22 pages
//   ring        all kTotalsPages pages: a page is written over the oldest, so the generation before
//               the one under way stands whole behind it, and for each group the newest whole page
//               counts
//   written     a generation begins 750 ms after the one before began, if something was counted. A
//               page takes 24 ms (an erase of 20, a program of 2, the calls between), a generation
//               528 ms at most. So what a power loss takes is younger than 1 s: 750 ms, the page's
//               24 and the 210 ms until a report is heard. Rows that go on meanwhile lose nothing
//               at all: their counters advance from those kept
//   wear        256 pages x 100 000 erases / 4 pages of a generation x 0.75 s are 1330 h at work
//               for 12 rows, 240 h for 64
//
// Errors   a page that does not read back is written once more in the next one, 4 times; then an
//          event, and the group waits for the next generation
// Checked  tests/controller/totals_store_test.cc, tests/sim/bench/kept_counts_test.cc
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/report.h"
#include "controller/row_totals.h"
#include "shared/controller_abi.h"

namespace controller {

inline constexpr std::uint32_t kTotalsPages = SILLION_PAGES_MAX;
inline constexpr std::uint32_t kGroupRows = 3;
inline constexpr std::uint32_t kMostGroups = (kMostRows + kGroupRows - 1) / kGroupRows;

using TotalsPage = std::array<std::uint8_t, SILLION_PAGE_BYTES>;

struct TotalsStore {
  std::uint32_t number = 0;    // of the newest page
  std::uint32_t check = 0;     // CRC-32 of the page under way
  std::uint32_t begun_ms = 0;  // since the last generation began
  std::uint16_t page = 0;      // to be written next, or under way
  std::uint8_t group = 0;      // likewise
  std::uint8_t groups_to_write = 0;
  std::uint8_t command = 0;  // next, or under way: enum sillion_storage_command
  std::uint8_t tries = 0;
  bool there = false;      // the part has these pages
  bool under_way = false;  // the command has been given
  bool told = false;       // what the start found has been reported
};

TotalsPage totals_page(const RowTotals& totals, std::uint32_t group, std::uint32_t number);
/// The newest totals on these pages; also for whoever reads a storage image.
RowTotals totals_on(const void* storage, std::size_t size);

/// Finds the place to go on at; `totals` are as totals_on() found them.
TotalsStore totals_store_for(const sillion_config& config, const void* storage, std::size_t size);
/// Goes on with the write that is under way; reports what the start found in the first call.
void go_on(TotalsStore& store, RowTotals& totals, const sillion_config& config,
           const sillion_input& in, Report& report);

}  // namespace controller
