// The storage part beside one controller: pages that are read, erased and programmed, wear, and
// what a power loss leaves of a write.
//
//   program  new = old & data                    erase   all bytes 0xFF, but for bits that stick
//   wear     each erase of a page is counted; each one beyond the endurance leaves one more of its
//            512 bits at 0 for good, drawn by (page, number of the erase); a bit may be drawn twice
//   cut      bytes 0 to k - 1 are done, k = floor(64 * share of the time that has passed); all
//            others are as before. An erase that was cut counts as one
//   read     at once: it is done at the next call
//
// State    pages, erases of each page, the write under way; outlives resets of its controller
// Source   times and endurance are the scenario's [controller]: usual values of serial flash and
//          EEPROM parts, common practice, no source
// Errors   none: who asks checks the page (sim/bench/controller_port.h)
// Checked  tests/sim/bench/storage_test.cc
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <vector>

#include "shared/controller_abi.h"
#include "shared/time.h"
#include "sim/bench/random.h"

namespace sim::bench {

using StoragePage = std::array<std::uint8_t, SILLION_PAGE_BYTES>;
inline constexpr shared::Instant kNoCut{std::numeric_limits<std::int64_t>::max()};

/// The power fails in write number `write` (erases and programs, from 1), after `bytes` of it.
struct StorageCut {
  int write = 0;
  int bytes = 0;
  shared::Duration off{};  // how long the power is away
  int fault = 0;           // the scenario's fault, by index
  bool fired = false;
};

struct StorageSetup {
  shared::Duration erase = shared::milliseconds(20);
  shared::Duration program = shared::milliseconds(2);
  std::int64_t endurance = 100'000;         // erases of a page
  std::vector<std::uint8_t> image;          // contents at the start; empty: blank
  std::int64_t erases_before = 0;           // of every page, before the start
  std::vector<std::pair<int, int>> damage;  // page, and how many of its bits are flipped
  std::vector<StorageCut> cuts;
  RandomStream stream;
};

class Storage {
 public:
  Storage() = default;
  /// `pages` are those of the controller's hardware; an image has so many or none.
  Storage(const StorageSetup& setup, std::uint32_t pages);

  std::uint32_t pages() const { return static_cast<std::uint32_t>(pages_.size()); }
  const StoragePage& page(std::uint32_t number) const { return pages_[number]; }
  std::int64_t erases(std::uint32_t number) const { return wear_[number].erases; }
  /// Bits that stick, in all pages.
  int stuck_bits() const { return stuck_bits_; }
  /// All pages, one behind the other.
  std::vector<std::uint8_t> bytes() const;

  bool busy() const { return writing_ != SILLION_STORAGE_NONE; }
  /// Begins an erase or a program at `at`; false: it is busy. `data`: of a program.
  bool begin(sillion_storage_command command, std::uint32_t page, const std::uint8_t* data,
             shared::Instant at);
  /// The write that has ended by `at`, or SILLION_STORAGE_NONE; it is no longer under way then.
  sillion_storage_command finish_by(shared::Instant at, std::uint32_t& page);
  /// The power fails: what is under way is cut.
  void lose_power(shared::Instant at);

  /// When a StorageCut cuts the write under way; kNoCut: none does.
  shared::Instant cut_at() const;
  shared::Duration cut_off() const { return off_; }
  const std::vector<StorageCut>& cuts() const { return setup_.cuts; }

 private:
  struct Wear {
    std::int64_t erases = 0;
    StoragePage stuck{};  // bits that stay 0
  };
  void damage(int page, int bits);
  void write(int bytes);
  void wear_out();
  shared::Duration takes() const;

  StorageSetup setup_;
  std::vector<StoragePage> pages_;
  std::vector<Wear> wear_;
  int stuck_bits_ = 0;
  int writes_ = 0;
  sillion_storage_command writing_ = SILLION_STORAGE_NONE;
  std::uint32_t page_ = 0;
  StoragePage data_{};
  shared::Instant began_{};
  shared::Instant cut_at_ = kNoCut;
  shared::Duration off_{};
};

}  // namespace sim::bench
