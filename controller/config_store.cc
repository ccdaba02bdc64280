#include "controller/config_store.h"

#include <algorithm>
#include <cstddef>

#include "shared/check_sum.h"

namespace controller {
namespace {

constexpr std::uint16_t kVersion = 1;
constexpr std::uint8_t kBlank = 0xff;
constexpr std::uint32_t kCheckAt = 8;  // in a copy: behind version, length and sequence
constexpr std::uint32_t kWords = sizeof(sillion_config) / sizeof(std::uint32_t);
static_assert(sizeof(sillion_config) % sizeof(std::uint32_t) == 0, "a copy holds whole words");
static_assert(kConfigPages <= SILLION_PAGES_MAX);

/// A word of the configuration as it is kept; those of a start are 0.
std::uint32_t kept_word(const sillion_config& config, std::uint32_t index) {
  if (index == offsetof(sillion_config, reset_cause) / sizeof(std::uint32_t)) return 0;
  if (index == offsetof(sillion_config, start_ticks) / sizeof(std::uint32_t)) return 0;
  const auto* bytes = reinterpret_cast<const unsigned char*>(&config);
  std::uint32_t word = 0;
  std::copy_n(bytes + index * sizeof word, sizeof word, reinterpret_cast<unsigned char*>(&word));
  return word;
}

std::uint8_t byte_of(std::uint32_t word, std::uint32_t index) {
  return static_cast<std::uint8_t>(word >> (8 * (index % sizeof word)));
}

std::uint32_t head_word(const ConfigStore& store, std::uint32_t index) {
  constexpr std::uint32_t kForm = kVersion | (sizeof(sillion_config) << 16);
  return index == 0 ? kForm : index == 1 ? store.sequence : store.check;
}

/// Byte `at` of the copy that is being written; behind its end it stays erased.
std::uint8_t copy_byte(const ConfigStore& store, const sillion_config& config, std::uint32_t at) {
  if (at >= kConfigCopyBytes) return kBlank;
  if (at < kConfigHeadBytes) return byte_of(head_word(store, at / 4), at);
  return byte_of(kept_word(config, (at - kConfigHeadBytes) / 4), at);
}

std::uint32_t check_of(const ConfigStore& store, const sillion_config& config) {
  shared::CheckSum sum;
  sum.take_word(head_word(store, 0));
  sum.take_word(store.sequence);
  for (std::uint32_t k = 0; k < kWords; ++k) sum.take_word(kept_word(config, k));
  return sum.value();
}

std::uint32_t word_at(const unsigned char* bytes) {
  return bytes[0] | (std::uint32_t{bytes[1]} << 8) | (std::uint32_t{bytes[2]} << 16) |
         (std::uint32_t{bytes[3]} << 24);
}

struct FoundCopy {
  bool blank = false;
  bool whole = false;     // its CRC is right
  bool as_given = false;  // and it holds what was given, in this version
  std::uint32_t sequence = 0;
};

FoundCopy found_copy(const unsigned char* copy, const sillion_config& given) {
  FoundCopy found;
  found.blank = std::all_of(copy, copy + kConfigCopyPages * SILLION_PAGE_BYTES,
                            [](unsigned char byte) { return byte == kBlank; });
  const std::uint32_t form = word_at(copy);
  const std::uint32_t length = form >> 16;
  if (found.blank || length > kConfigCopyPages * SILLION_PAGE_BYTES - kConfigHeadBytes)
    return found;
  found.sequence = word_at(copy + 4);
  shared::CheckSum sum;
  for (std::uint32_t k = 0; k < kCheckAt; ++k) sum.take(copy[k]);
  for (std::uint32_t k = 0; k < length; ++k) sum.take(copy[kConfigHeadBytes + k]);
  found.whole = sum.value() == word_at(copy + kCheckAt);
  ConfigStore same;
  same.sequence = found.sequence;
  found.as_given = found.whole && form == head_word(same, 0) &&
                   word_at(copy + kCheckAt) == check_of(same, given);
  for (std::uint32_t k = 0; k < kWords && found.as_given; ++k)
    found.as_given = word_at(copy + kConfigHeadBytes + 4 * k) == kept_word(given, k);
  return found;
}

/// Writes `copies` copies, the first of them being `copy`.
void begin_write(ConfigStore& store, const sillion_config& given, std::uint32_t copy,
                 std::uint32_t copies) {
  store.check = check_of(store, given);
  store.copy = static_cast<std::uint8_t>(copy);
  store.copies_to_write = static_cast<std::uint8_t>(copies);
  store.command = SILLION_STORAGE_ERASE;
}

std::uint32_t page_of(const ConfigStore& store) {
  return store.copy * kConfigCopyPages + store.page;
}

bool reads_back(const ConfigStore& store, const sillion_config& config, const sillion_input& in) {
  for (std::uint32_t k = 0; k < SILLION_PAGE_BYTES; ++k)
    if (in.storage[k] != copy_byte(store, config, store.page * SILLION_PAGE_BYTES + k))
      return false;
  return true;
}

/// A command has ended: what comes next.
void advance(ConfigStore& store, const sillion_config& config, const sillion_input& in,
             Report& report) {
  store.under_way = false;
  if (store.command == SILLION_STORAGE_ERASE) {
    store.command = SILLION_STORAGE_PROGRAM;
    return;
  }
  if (store.command == SILLION_STORAGE_PROGRAM) {
    store.command = SILLION_STORAGE_READ;
    return;
  }
  if (!reads_back(store, config, in)) {
    report.event(SILLION_EVENT_STORAGE_FAILED, static_cast<std::int32_t>(page_of(store)));
    store.copies_to_write = 0;
    return;
  }
  store.command = SILLION_STORAGE_ERASE;
  if (++store.page < kConfigCopyPages) return;
  store.page = 0;
  store.copy ^= 1;
  --store.copies_to_write;
}

void tell_what_was_found(ConfigStore& store, Report& report) {
  if (store.told) return;
  store.told = true;
  for (std::int32_t copy = 0; copy < static_cast<std::int32_t>(kConfigCopies); ++copy)
    if (((store.bad_copies >> copy) & 1) != 0) report.event(SILLION_EVENT_CONFIG_BAD_COPY, copy);
  if (store.lost) report.event(SILLION_EVENT_CONFIG_LOST);
  if (store.replaced)
    report.event(SILLION_EVENT_CONFIG_REPLACED, static_cast<std::int32_t>(store.sequence));
}

}  // namespace

ConfigStore config_store_for(const sillion_config& given, const void* storage, std::size_t size) {
  ConfigStore store;
  if (storage == nullptr || size < kConfigPages * SILLION_PAGE_BYTES) return store;
  const auto* pages = static_cast<const unsigned char*>(storage);
  FoundCopy found[kConfigCopies];
  for (std::uint32_t copy = 0; copy < kConfigCopies; ++copy) {
    found[copy] = found_copy(pages + copy * kConfigCopyPages * SILLION_PAGE_BYTES, given);
    if (!found[copy].whole && !found[copy].blank)
      store.bad_copies |= static_cast<std::uint8_t>(1u << copy);
  }
  if (!found[0].whole && !found[1].whole) {
    store.lost = store.bad_copies == 3;
    store.sequence = 1;
    if (!store.lost) begin_write(store, given, 0, kConfigCopies);
    return store;
  }
  // Sequences wrap, so the difference decides.
  const bool second_newer = static_cast<std::int32_t>(found[1].sequence - found[0].sequence) > 0;
  const std::uint32_t newest = !found[0].whole || (found[1].whole && second_newer) ? 1 : 0;
  store.sequence = found[newest].sequence;
  if (!found[newest].as_given) {
    store.replaced = true;
    ++store.sequence;
    begin_write(store, given, newest ^ 1u, 1);
  } else if (!found[newest ^ 1u].whole) {
    begin_write(store, given, newest ^ 1u, 1);
  }
  return store;
}

void go_on(ConfigStore& store, const sillion_config& config, const sillion_input& in,
           Report& report) {
  tell_what_was_found(store, report);
  if (store.copies_to_write == 0) return;
  if (store.under_way && in.storage_done == store.command && in.storage_page == page_of(store))
    advance(store, config, in, report);
  else if (in.storage_refused != 0)
    store.under_way = false;
  if (store.under_way || store.copies_to_write == 0 || in.storage_busy != 0) return;
  store.under_way = true;
  report.out.storage_command = store.command;
  report.out.storage_page = page_of(store);
  if (store.command != SILLION_STORAGE_PROGRAM) return;
  for (std::uint32_t k = 0; k < SILLION_PAGE_BYTES; ++k)
    report.out.storage[k] = copy_byte(store, config, store.page * SILLION_PAGE_BYTES + k);
}

}  // namespace controller
