#include "controller/valve_cycles.h"

#include <algorithm>

#include "controller/ticks.h"
#include "shared/check_sum.h"

namespace controller {
namespace {

constexpr std::uint32_t kRecordBytes = 8;
constexpr std::uint32_t kPageRecords = SILLION_PAGE_BYTES / kRecordBytes;
constexpr std::uint32_t kSlots = kCyclePages * kPageRecords;
constexpr std::uint8_t kBlank = 0xff;
constexpr std::uint32_t kNoCount = 0xffff'ffff;  // a blank record: its CRC-32 is all ones as well

std::uint8_t record_byte(std::uint32_t count, std::uint32_t at) {
  shared::CheckSum sum;
  sum.take_word(count);
  return static_cast<std::uint8_t>((at < 4 ? count : sum.value()) >> (8 * (at % 4)));
}

bool holds(const std::uint8_t* record, std::uint32_t count) {
  for (std::uint32_t k = 0; k < kRecordBytes; ++k)
    if (record[k] != record_byte(count, k)) return false;
  return true;
}

std::uint32_t count_in(const std::uint8_t* record) {
  return record[0] | (std::uint32_t{record[1]} << 8) | (std::uint32_t{record[2]} << 16) |
         (std::uint32_t{record[3]} << 24);
}

std::uint32_t page_of(std::uint32_t slot) { return kConfigPages + slot / kPageRecords; }

std::uint8_t slot_behind(std::uint32_t slot) {
  return static_cast<std::uint8_t>((slot + 1) % kSlots);
}

std::uint8_t first_slot_of_next_page(std::uint32_t slot) {
  return static_cast<std::uint8_t>((slot / kPageRecords + 1) * kPageRecords % kSlots);
}

/// The first record of a page comes after an erase.
void begin_record(ValveCycles& cycles) {
  cycles.command =
      cycles.slot % kPageRecords == 0 ? SILLION_STORAGE_ERASE : SILLION_STORAGE_PROGRAM;
}

/// The record was read back.
void take_page(ValveCycles& cycles, const sillion_input& in, Report& report) {
  if (holds(in.storage + cycles.slot % kPageRecords * kRecordBytes, cycles.writing)) {
    cycles.slot = slot_behind(cycles.slot);
    cycles.command = SILLION_STORAGE_NONE;
    cycles.kept = cycles.writing;
    return;
  }
  const auto page = static_cast<std::int32_t>(page_of(cycles.slot));
  cycles.slot = first_slot_of_next_page(cycles.slot);
  if (++cycles.tries < kCyclePages) {
    begin_record(cycles);
    return;
  }
  report.event(SILLION_EVENT_STORAGE_FAILED, page);
  cycles.command = SILLION_STORAGE_NONE;
  cycles.kept = cycles.writing;  // the next try comes after as many openings as after a record
}

void advance(ValveCycles& cycles, const sillion_input& in, Report& report) {
  cycles.under_way = false;
  if (cycles.command == SILLION_STORAGE_READ) {
    take_page(cycles, in, report);
  } else {
    cycles.command =
        cycles.command == SILLION_STORAGE_ERASE ? SILLION_STORAGE_PROGRAM : SILLION_STORAGE_READ;
  }
}

void give_command(ValveCycles& cycles, Report& report) {
  cycles.under_way = true;
  report.out.storage_command = cycles.command;
  report.out.storage_page = page_of(cycles.slot);
  if (cycles.command != SILLION_STORAGE_PROGRAM) return;
  const std::uint32_t first = cycles.slot % kPageRecords * kRecordBytes;
  for (std::uint32_t k = 0; k < SILLION_PAGE_BYTES; ++k)
    report.out.storage[k] =
        k >= first && k < first + kRecordBytes ? record_byte(cycles.writing, k - first) : kBlank;
}

}  // namespace

ValveCycles valve_cycles_for(const void* storage, std::size_t size) {
  ValveCycles cycles;
  if (storage == nullptr || size < kRowPages * SILLION_PAGE_BYTES) return cycles;
  cycles.there = true;
  const auto* ring = static_cast<const std::uint8_t*>(storage) + kConfigPages * SILLION_PAGE_BYTES;
  for (std::uint32_t slot = 0; slot < kSlots; ++slot) {
    const std::uint8_t* record = ring + slot * kRecordBytes;
    const std::uint32_t count = count_in(record);
    if (count == kNoCount || count < cycles.before || !holds(record, count)) continue;
    cycles.before = count;
    cycles.slot = slot_behind(slot);
  }
  cycles.kept = cycles.before;
  // A record that was cut leaves its place used.
  while (cycles.slot % kPageRecords != 0 &&
         std::any_of(ring + cycles.slot * kRecordBytes, ring + (cycles.slot + 1u) * kRecordBytes,
                     [](std::uint8_t byte) { return byte != kBlank; }))
    cycles.slot = slot_behind(cycles.slot);
  return cycles;
}

void go_on(ValveCycles& cycles, std::uint32_t openings, const sillion_input& in, Report& report) {
  if (!cycles.there) return;
  if (!cycles.told && cycles.before > 0)
    report.event(SILLION_EVENT_CYCLES_KEPT, saturated(cycles.before));
  cycles.told = true;
  const bool lifted = (in.digital & SILLION_INPUT_LOWERED) == 0;
  const std::uint32_t count = cycles.before + openings;
  const bool due =
      lifted && !cycles.lifted ? count != cycles.kept : count - cycles.kept >= kWriteAfterOpenings;
  if (cycles.command == SILLION_STORAGE_NONE && due) {
    cycles.writing = count;
    cycles.tries = 0;
    begin_record(cycles);
  }
  if (cycles.command == SILLION_STORAGE_NONE) {
    cycles.lifted = lifted;
    return;
  }
  if (cycles.under_way && in.storage_done == cycles.command &&
      in.storage_page == page_of(cycles.slot))
    advance(cycles, in, report);
  else if (in.storage_refused != 0)
    cycles.under_way = false;
  if (cycles.under_way || cycles.command == SILLION_STORAGE_NONE || in.storage_busy != 0) return;
  give_command(cycles, report);
}

}  // namespace controller
