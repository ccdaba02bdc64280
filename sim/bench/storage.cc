#include "sim/bench/storage.h"

#include <algorithm>

#include "shared/check.h"

namespace sim::bench {
namespace {

constexpr std::uint8_t kErased = 0xff;
constexpr int kPageBits = 8 * SILLION_PAGE_BYTES;

int drawn_bit(const RandomStream& stream, Purpose purpose, std::uint32_t page,
              std::int64_t number) {
  const std::uint64_t index = (std::uint64_t{page} << 40) | static_cast<std::uint64_t>(number);
  return static_cast<int>(stream.uniform_ratio(purpose, index) * kPageBits);
}

std::uint8_t mask_of(int bit) { return static_cast<std::uint8_t>(1u << (bit % 8)); }

}  // namespace

Storage::Storage(const StorageSetup& setup, std::uint32_t pages)
    : setup_(setup), pages_(pages), wear_(pages) {
  EXPECTS(setup.image.empty() || setup.image.size() == std::size_t{pages} * SILLION_PAGE_BYTES);
  for (std::uint32_t k = 0; k < pages; ++k) {
    pages_[k].fill(kErased);
    if (!setup.image.empty())
      std::copy_n(setup.image.begin() + static_cast<std::ptrdiff_t>(k) * SILLION_PAGE_BYTES,
                  SILLION_PAGE_BYTES, pages_[k].begin());
    wear_[k].erases = setup.erases_before;
  }
  for (const auto& [page, bits] : setup.damage) damage(page, bits);
}

/// Flips so many bits of a page, all different.
void Storage::damage(int page, int bits) {
  if (page >= static_cast<int>(pages_.size())) return;
  StoragePage flipped{};
  for (std::int64_t draw = 0; bits > 0; ++draw) {
    const int bit =
        drawn_bit(setup_.stream, Purpose::kStorageDamage, static_cast<std::uint32_t>(page), draw);
    std::uint8_t& byte = flipped[static_cast<std::size_t>(bit / 8)];
    if ((byte & mask_of(bit)) != 0) continue;
    byte = static_cast<std::uint8_t>(byte | mask_of(bit));
    --bits;
  }
  StoragePage& own = pages_[static_cast<std::size_t>(page)];
  for (std::size_t k = 0; k < own.size(); ++k)
    own[k] = static_cast<std::uint8_t>(own[k] ^ flipped[k]);
}

std::vector<std::uint8_t> Storage::bytes() const {
  std::vector<std::uint8_t> all;
  all.reserve(pages_.size() * SILLION_PAGE_BYTES);
  for (const StoragePage& one : pages_) all.insert(all.end(), one.begin(), one.end());
  return all;
}

shared::Duration Storage::takes() const {
  return writing_ == SILLION_STORAGE_ERASE ? setup_.erase : setup_.program;
}

bool Storage::begin(sillion_storage_command command, std::uint32_t page, const std::uint8_t* data,
                    shared::Instant at) {
  if (busy()) return false;
  EXPECTS(page < pages());
  writing_ = command;
  page_ = page;
  began_ = at;
  if (command == SILLION_STORAGE_PROGRAM) std::copy_n(data, data_.size(), data_.begin());
  ++writes_;
  for (const StorageCut& cut : setup_.cuts) {
    if (cut.write != writes_ || cut.fired) continue;
    // The first instant at which that many bytes are done.
    cut_at_ = began_ + shared::Duration{(takes().ns * cut.bytes + SILLION_PAGE_BYTES - 1) /
                                        SILLION_PAGE_BYTES};
    off_ = cut.off;
  }
  return true;
}

/// Does the first `bytes` bytes of the write under way, which ends with that.
void Storage::write(int bytes) {
  StoragePage& own = pages_[page_];
  if (writing_ == SILLION_STORAGE_ERASE) wear_out();
  for (int k = 0; k < bytes; ++k) {
    const auto at = static_cast<std::size_t>(k);
    const int to =
        writing_ == SILLION_STORAGE_ERASE ? kErased & ~wear_[page_].stuck[at] : own[at] & data_[at];
    own[at] = static_cast<std::uint8_t>(to);
  }
  writing_ = SILLION_STORAGE_NONE;
}

/// Counts an erase; beyond the endurance one more bit sticks.
void Storage::wear_out() {
  Wear& wear = wear_[page_];
  if (++wear.erases <= setup_.endurance) return;
  const int bit = drawn_bit(setup_.stream, Purpose::kStorageStuck, page_, wear.erases);
  std::uint8_t& byte = wear.stuck[static_cast<std::size_t>(bit / 8)];
  if ((byte & mask_of(bit)) != 0) return;
  byte = static_cast<std::uint8_t>(byte | mask_of(bit));
  ++stuck_bits_;
}

sillion_storage_command Storage::finish_by(shared::Instant at, std::uint32_t& page) {
  if (!busy() || at < began_ + takes()) return SILLION_STORAGE_NONE;
  const sillion_storage_command ended = writing_;
  page = page_;
  write(SILLION_PAGE_BYTES);
  cut_at_ = kNoCut;
  return ended;
}

void Storage::lose_power(shared::Instant at) {
  if (busy()) {
    const std::int64_t passed_ns = std::max<std::int64_t>(0, (at - began_).ns);
    const bool over = passed_ns >= takes().ns;
    write(over ? SILLION_PAGE_BYTES
               : static_cast<int>(passed_ns * SILLION_PAGE_BYTES / takes().ns));
  }
  for (StorageCut& cut : setup_.cuts)
    if (cut.write == writes_ && cut_at_ <= at) cut.fired = true;
  cut_at_ = kNoCut;
}

shared::Instant Storage::cut_at() const { return cut_at_; }

}  // namespace sim::bench
