#include "controller/totals_store.h"

#include <algorithm>

#include "controller/ticks.h"
#include "shared/check_sum.h"

namespace controller {
namespace {

constexpr std::uint8_t kVersion = 1;
constexpr std::uint32_t kRowsAt = 12;
constexpr std::uint32_t kRowBytes = 16;
constexpr std::uint32_t kCheckAt = 60;
constexpr std::uint32_t kEveryMs = 750;
constexpr std::uint8_t kTries = 4;
static_assert(kRowsAt + kGroupRows * kRowBytes <= kCheckAt);

std::uint32_t word_at(const std::uint8_t* bytes) {
  return bytes[0] | (std::uint32_t{bytes[1]} << 8) | (std::uint32_t{bytes[2]} << 16) |
         (std::uint32_t{bytes[3]} << 24);
}

void put_word(TotalsPage& page, std::uint32_t at, std::uint32_t word) {
  for (std::uint32_t k = 0; k < 4; ++k) page[at + k] = static_cast<std::uint8_t>(word >> (8 * k));
}

std::uint32_t check_of(const std::uint8_t* page) {
  shared::CheckSum sum;
  for (std::uint32_t k = 0; k < kCheckAt; ++k) sum.take(page[k]);
  return sum.value();
}

bool whole(const std::uint8_t* page) {
  return page[5] == kVersion && page[4] < kMostGroups && word_at(page + kCheckAt) == check_of(page);
}

void take_group(RowTotals& totals, const std::uint8_t* page) {
  for (std::uint32_t k = 0; k < kGroupRows; ++k) {
    const std::uint32_t row = page[4] * kGroupRows + k;
    if (row >= totals.rows.size()) return;
    const std::uint8_t* from = page + kRowsAt + k * kRowBytes;
    RowTotal& own = totals.rows[row];
    own.seeds = word_at(from);
    own.bands = word_at(from + 4);
    own.volume_ml = word_at(from + 8);
    own.seeds_heard = static_cast<std::uint16_t>(word_at(from + 12) & 0xffff);
    own.bands_heard = static_cast<std::uint16_t>(word_at(from + 12) >> 16);
  }
}

const std::uint8_t* page_on(const void* storage, std::uint32_t page) {
  return static_cast<const std::uint8_t*>(storage) + page * SILLION_PAGE_BYTES;
}

bool is_there(const void* storage, std::size_t size) {
  return storage != nullptr && size >= kTotalsPages * SILLION_PAGE_BYTES;
}

std::uint32_t groups_of(const sillion_config& config) {
  return (config.rows + kGroupRows - 1) / kGroupRows;
}

std::int32_t rows_with_totals(const RowTotals& totals) {
  return static_cast<std::int32_t>(
      std::count_if(totals.rows.begin(), totals.rows.end(),
                    [](const RowTotal& row) { return row.seeds != 0 || row.bands != 0; }));
}

void next_group(TotalsStore& store, const sillion_config& config) {
  store.group = static_cast<std::uint8_t>((store.group + 1u) % groups_of(config));
  store.tries = 0;
  --store.groups_to_write;
}

/// The page was read back: the next group, or the same once more.
void take_page(TotalsStore& store, const sillion_config& config, const sillion_input& in,
               Report& report) {
  const auto page = static_cast<std::int32_t>(store.page);
  store.page = static_cast<std::uint16_t>((store.page + 1u) % kTotalsPages);
  store.command = SILLION_STORAGE_ERASE;
  if (whole(in.storage) && check_of(in.storage) == store.check) {
    next_group(store, config);
  } else if (++store.tries == kTries) {
    report.event(SILLION_EVENT_STORAGE_FAILED, page);
    next_group(store, config);
  }
}

void advance(TotalsStore& store, const sillion_config& config, const sillion_input& in,
             Report& report) {
  store.under_way = false;
  if (store.command == SILLION_STORAGE_READ)
    take_page(store, config, in, report);
  else
    store.command =
        store.command == SILLION_STORAGE_ERASE ? SILLION_STORAGE_PROGRAM : SILLION_STORAGE_READ;
}

void give_command(TotalsStore& store, const RowTotals& totals, Report& report) {
  store.under_way = true;
  report.out.storage_command = store.command;
  report.out.storage_page = store.page;
  if (store.command != SILLION_STORAGE_PROGRAM) return;
  const TotalsPage page = totals_page(totals, store.group, ++store.number);
  store.check = word_at(page.data() + kCheckAt);
  std::copy(page.begin(), page.end(), report.out.storage);
}

/// Once per tick: when a generation begins.
void begin_generation(TotalsStore& store, RowTotals& totals, const sillion_config& config) {
  store.begun_ms = std::min(store.begun_ms + 1, kEveryMs);
  if (!totals.counted || store.groups_to_write != 0 || store.begun_ms < kEveryMs) return;
  totals.counted = false;
  store.begun_ms = 0;
  store.groups_to_write = static_cast<std::uint8_t>(groups_of(config));
  store.command = SILLION_STORAGE_ERASE;
}

}  // namespace

TotalsPage totals_page(const RowTotals& totals, std::uint32_t group, std::uint32_t number) {
  TotalsPage page{};
  put_word(page, 0, number);
  page[4] = static_cast<std::uint8_t>(group);
  page[5] = kVersion;
  put_word(page, 8, totals.seconds);
  for (std::uint32_t k = 0; k < kGroupRows && group * kGroupRows + k < totals.rows.size(); ++k) {
    const RowTotal& own = totals.rows[group * kGroupRows + k];
    const std::uint32_t at = kRowsAt + k * kRowBytes;
    put_word(page, at, own.seeds);
    put_word(page, at + 4, own.bands);
    put_word(page, at + 8, own.volume_ml);
    put_word(page, at + 12, own.seeds_heard | (std::uint32_t{own.bands_heard} << 16));
  }
  put_word(page, kCheckAt, check_of(page.data()));
  return page;
}

RowTotals totals_on(const void* storage, std::size_t size) {
  RowTotals totals;
  if (!is_there(storage, size)) return totals;
  std::array<std::uint32_t, kMostGroups> newest{};  // numbers begin at 1
  for (std::uint32_t k = 0; k < kTotalsPages; ++k) {
    const std::uint8_t* page = page_on(storage, k);
    if (!whole(page) || word_at(page) <= newest[page[4]]) continue;
    newest[page[4]] = word_at(page);
    take_group(totals, page);
    totals.seconds = std::max(totals.seconds, word_at(page + 8));
  }
  return totals;
}

TotalsStore totals_store_for(const sillion_config& config, const void* storage, std::size_t size) {
  TotalsStore store;
  store.there = is_there(storage, size);
  for (std::uint32_t k = 0; store.there && k < kTotalsPages; ++k) {
    const std::uint8_t* page = page_on(storage, k);
    if (!whole(page) || word_at(page) <= store.number) continue;
    store.number = word_at(page);
    store.page = static_cast<std::uint16_t>((k + 1) % kTotalsPages);
    // The group behind it goes first: a start that is cut again and again still turns the ring.
    store.group = static_cast<std::uint8_t>((page[4] + 1u) % groups_of(config));
  }
  return store;
}

void go_on(TotalsStore& store, RowTotals& totals, const sillion_config& config,
           const sillion_input& in, Report& report) {
  if (!store.there) return;
  if (!store.told && store.number > 0)
    report.event(SILLION_EVENT_TOTALS_KEPT, saturated(totals.seconds), rows_with_totals(totals));
  store.told = true;
  if ((in.why & SILLION_WHY_TICK) != 0) begin_generation(store, totals, config);
  if (store.groups_to_write == 0) return;
  if (store.under_way && in.storage_done == store.command && in.storage_page == store.page)
    advance(store, config, in, report);
  else if (in.storage_refused != 0)
    store.under_way = false;
  if (store.under_way || store.groups_to_write == 0 || in.storage_busy != 0) return;
  give_command(store, totals, report);
}

}  // namespace controller
