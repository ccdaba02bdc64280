// How often the valve has been opened since it was built, kept through power losses.
//
//   record   8 bytes: the count (u32) and its CRC-32, lowest byte first; 8 records in a page. A
//            program leaves the other records of its page as they are (all ones change no bit)
//   ring     kCyclePages pages behind the configuration's; a page is erased when its first record
//            is written. The count only rises, so the newest record is the largest whole one, and
//            it never stands in the page that is being erased
//   written  kWriteAfterOpenings after the last record, and when the row is lifted; a record that
//            does not read back is written once more in the next page, once per page of the ring
//   lost     with the power at most kMostLostOpenings: the 240 openings, and the 16 that fit, at 67
//            per second, into 0.24 s until the new record is whole (an erase of 20 ms and a program
//            of 2 ms, or the write of the configuration before it, or eight tries)
//   wear     8 pages x 8 records x 100 000 erases x 240 openings are 1.5e9 openings; a lift uses a
//            record as 240 openings do
//
// In       openings since the row's start         Out   their sum over all starts
// Errors   where no page takes a record: an event, and the next try after as many openings
// Checked  tests/controller/valve_cycles_test.cc, tests/sim/bench/kept_counts_test.cc
#pragma once

#include <cstddef>
#include <cstdint>

#include "controller/config_store.h"
#include "controller/report.h"
#include "shared/controller_abi.h"

namespace controller {

inline constexpr std::uint32_t kCyclePages = 8;
inline constexpr std::uint32_t kRowPages = kConfigPages + kCyclePages;
inline constexpr std::uint32_t kWriteAfterOpenings = 240;
inline constexpr std::uint32_t kMostLostOpenings = 256;

struct ValveCycles {
  std::uint32_t before = 0;   // openings until this start, as found
  std::uint32_t kept = 0;     // of the newest record
  std::uint32_t writing = 0;  // of the record under way
  std::uint8_t slot = 0;      // of the next record, or of the one under way
  std::uint8_t command = 0;   // next, or under way: enum sillion_storage_command; 0: none
  std::uint8_t tries = 0;     // pages that did not take the record
  bool there = false;         // the part has these pages
  bool under_way = false;     // the command has been given
  bool lifted = false;        // as of the last call
  bool told = false;          // what the start found has been reported
};

/// `storage` as in sillion_init.
ValveCycles valve_cycles_for(const void* storage, std::size_t size);
/// Writes where it is time to, and goes on with a write; reports what the start found in the first
/// call. Only where no other write of this controller is under way.
void go_on(ValveCycles& cycles, std::uint32_t openings, const sillion_input& in, Report& report);

}  // namespace controller
