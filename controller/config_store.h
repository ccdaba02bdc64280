// The row's configuration on storage: two copies, so that a power loss at any byte leaves a whole
// one.
//
//   copy     8 pages: version (2 bytes), length of what follows the head (2), sequence (4), CRC-32
//            (4), then sillion_config as words, lowest byte first, without reset_cause and
//            start_ticks, which belong to a start and not to the technician. The CRC covers
//            version, length, sequence and words; the copy with the higher sequence is the newer
//   write    page by page: erase, program, read back; always the copy that is not the newest whole
//            one, so the newest whole one is never touched
//
//   What the start finds           What it does
//   the newest whole copy is as    that configuration is used; a copy that is bad (event) or blank
//   the one given                  is written again
//   it differs from the one given  the given one is newer: it is used and replaces (event)
//   no whole copy, one is blank    storage was never written, or its first write was cut: the given
//                                  one is used and both copies are written
//   both copies bad                nobody knows what the technician wanted: the valve stays closed
//                                  (event, safe cause); nothing is written
//   no storage                     the given one is used
//
// Budget   at the start one CRC over each copy; in a call at most one command and one page
// State    where a write stands; the words themselves are the row's configuration
// Errors   a page that does not read back as written ends the writing (event): its row works on
// Checked  tests/controller/config_store_test.cc
#pragma once

#include <cstddef>
#include <cstdint>

#include "controller/report.h"
#include "shared/controller_abi.h"

namespace controller {

inline constexpr std::uint32_t kConfigCopies = 2;
inline constexpr std::uint32_t kConfigHeadBytes = 12;
inline constexpr std::uint32_t kConfigCopyBytes = kConfigHeadBytes + sizeof(sillion_config);
inline constexpr std::uint32_t kConfigCopyPages =
    (kConfigCopyBytes + SILLION_PAGE_BYTES - 1) / SILLION_PAGE_BYTES;
inline constexpr std::uint32_t kConfigPages = kConfigCopies * kConfigCopyPages;

struct ConfigStore {
  std::uint32_t sequence = 0;  // of the copies that are written
  std::uint32_t check = 0;     // CRC-32 of these
  std::uint8_t copy = 0;       // that is being written
  std::uint8_t page = 0;       // of it
  std::uint8_t command = 0;    // next, or under way: enum sillion_storage_command
  std::uint8_t copies_to_write = 0;
  std::uint8_t bad_copies = 0;  // bit by copy, as the start found them
  bool under_way = false;       // the command has been given
  bool lost = false;            // both copies are bad
  bool replaced = false;        // by the configuration given at the start
  bool told = false;            // what the start found has been reported
};

/// Judges the pages as the start finds them against the given configuration.
ConfigStore config_store_for(const sillion_config& given, const void* storage, std::size_t size);
/// Goes on with the write that is under way; reports what the start found in the first call.
void go_on(ConfigStore& store, const sillion_config& config, const sillion_input& in,
           Report& report);

}  // namespace controller
