// What is kept over a start, at its limits: copies of the configuration that are written here byte
// by byte, and the counters of a block that was started and never called.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstring>
#include <vector>

#include "controller/config_store.h"
#include "tests/controller/fake_hardware.h"

namespace {

using namespace controller;

constexpr std::size_t kCopyBytes = kConfigCopyPages * SILLION_PAGE_BYTES;

struct Crc {
  std::uint32_t value = 0xffff'ffffu;
  /// CRC-32 of ISO 3309: reflected, polynomial 0xEDB88320.
  void take(std::uint8_t byte) {
    value ^= byte;
    for (int bit = 0; bit < 8; ++bit)
      value = (value >> 1) ^ ((value & 1u) != 0 ? 0xedb8'8320u : 0u);
  }
};

struct Part {
  std::vector<std::uint8_t> bytes = std::vector<std::uint8_t>(2 * kCopyBytes, 0xff);

  std::uint8_t* copy(std::size_t number) { return bytes.data() + number * kCopyBytes; }
  void put(std::size_t number, std::size_t at, std::uint32_t value) {
    for (std::size_t k = 0; k < 4; ++k)
      copy(number)[at + k] = static_cast<std::uint8_t>(value >> (8 * k));
  }
  /// Head of version 1 over what stands behind it: length, sequence, CRC.
  void seal(std::size_t number, std::uint32_t length, std::uint32_t sequence) {
    put(number, 0, 1u | (length << 16));
    put(number, 4, sequence);
    Crc crc;
    for (std::size_t k = 0; k < 8; ++k) crc.take(copy(number)[k]);
    for (std::size_t k = 0; k < length; ++k) crc.take(copy(number)[12 + k]);
    put(number, 8, ~crc.value);
  }
  /// A whole copy of a configuration.
  void write(std::size_t number, sillion_config config, std::uint32_t sequence) {
    config.reset_cause = config.start_ticks = 0;
    const auto* from = reinterpret_cast<const std::uint8_t*>(&config);
    std::copy(from, from + sizeof config, copy(number) + 12);
    seal(number, sizeof config, sequence);
  }
  ConfigStore found(const sillion_config& given) const {
    return config_store_for(given, bytes.data(), bytes.size());
  }
};

// A copy has eight pages, 512 bytes, 12 of them its head: 500 bytes are the longest that another
// version may have. The CRC of 501 would cover a byte that lies in the other copy.
TEST(KeptBounds, ACopyIsAtMostAsLongAsItsPages) {
  ASSERT_EQ(kCopyBytes, 512u);
  for (const std::uint32_t length : {499u, 500u, 501u}) {
    Part part;
    part.seal(0, length, 7);
    const ConfigStore store = part.found(test::row_config());
    EXPECT_EQ(store.replaced, length <= 500) << length;
    EXPECT_EQ(store.bad_copies, length <= 500 ? 0 : 1) << length;
    EXPECT_EQ(store.sequence, length <= 500 ? 8u : 1u) << length;
  }
}

// The same CRC is not the same configuration: the generator polynomial itself, x^32 first, laid
// over two words leaves every CRC as it was.
TEST(KeptBounds, TheSameCheckSumIsNotTheSameConfiguration) {
  const sillion_config given = test::row_config();
  Part part;
  part.write(0, given, 7);
  part.write(1, given, 7);
  EXPECT_EQ(part.found(given).copies_to_write, 0);
  constexpr std::uint64_t kPolynomial = (std::uint64_t{0xedb8'8320u} << 1) | 1u;
  sillion_config other = given;
  auto* words = reinterpret_cast<std::uint32_t*>(&other.attachment.flow_mm3ps[2]);
  words[0] ^= static_cast<std::uint32_t>(kPolynomial);
  words[1] ^= static_cast<std::uint32_t>(kPolynomial >> 32);
  Part same_sum;
  same_sum.write(0, other, 7);
  same_sum.write(1, other, 7);
  ASSERT_TRUE(std::equal(part.copy(0) + 8, part.copy(0) + 12, same_sum.copy(0) + 8));
  const ConfigStore store = same_sum.found(given);
  EXPECT_TRUE(store.replaced);
  EXPECT_EQ(store.sequence, 8u);
  EXPECT_EQ(store.copies_to_write, 1);
}

// One whole copy as given: only the other one is written again, under its sequence; a blank one
// silently.
TEST(KeptBounds, OnlyTheMissingCopyIsWritten) {
  const sillion_config given = test::row_config();
  for (const std::size_t whole : {std::size_t{0}, std::size_t{1}})
    for (const bool bad : {false, true}) {
      Part part;
      part.write(whole, given, 7);
      if (bad) part.copy(1 - whole)[100] = 0;
      const ConfigStore store = part.found(given);
      EXPECT_FALSE(store.lost);
      EXPECT_FALSE(store.replaced);
      EXPECT_EQ(store.sequence, 7u);
      EXPECT_EQ(store.copies_to_write, 1);
      EXPECT_EQ(store.copy, 1 - whole);
      EXPECT_EQ(store.bad_copies, bad ? 1u << (1 - whole) : 0u);
    }
}

// A bad copy is judged by nothing that it holds: its higher number does not make it the newer one.
TEST(KeptBounds, ABadCopyIsNotTheNewer) {
  const sillion_config given = test::row_config();
  for (const std::size_t whole : {std::size_t{0}, std::size_t{1}}) {
    Part part;
    part.write(whole, given, 7);
    part.write(1 - whole, given, 9);
    part.copy(1 - whole)[100] ^= 1;
    ConfigStore store = part.found(given);
    EXPECT_FALSE(store.replaced);
    EXPECT_EQ(store.sequence, 7u);
    EXPECT_EQ(store.copy, 1 - whole);
    // It is the one that is told.
    sillion_output out{};
    sillion_health health{};
    Report report{out, health, 0};
    go_on(store, given, {}, report);
    ASSERT_EQ(out.event_count, 1u);
    EXPECT_EQ(out.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_CONFIG_BAD_COPY));
    EXPECT_EQ(out.events[0].a, static_cast<std::int32_t>(1 - whole));
  }
}

/// A part that does at once what it is told, and the calls until nothing is asked any more.
struct Writing {
  sillion_config given = test::row_config();
  Part part;
  std::size_t stuck = 2 * kCopyBytes;  // a byte that stays 0
  int failed_page = -1;
  int programs = 0;

  void run() {
    ConfigStore store = part.found(given);
    sillion_input in{};
    for (int call = 0; call < 100; ++call) {
      sillion_output out{};
      sillion_health health{};
      Report report{out, health, 0};
      go_on(store, given, in, report);
      EXPECT_EQ(out.watchdog_kick, 0u);  // it stands behind the page's bytes
      for (std::uint32_t k = 0; k < out.event_count; ++k)
        if (out.events[k].code == SILLION_EVENT_STORAGE_FAILED) failed_page = out.events[k].a;
      if (out.storage_command == SILLION_STORAGE_NONE) return;
      in = {};
      in.storage_done = out.storage_command;
      in.storage_page = out.storage_page;
      std::uint8_t* page = part.bytes.data() + out.storage_page * SILLION_PAGE_BYTES;
      programs += out.storage_command == SILLION_STORAGE_PROGRAM ? 1 : 0;
      for (std::size_t k = 0; k < SILLION_PAGE_BYTES; ++k) {
        if (out.storage_command == SILLION_STORAGE_ERASE) page[k] = 0xff;
        if (out.storage_command == SILLION_STORAGE_PROGRAM) page[k] &= out.storage[k];
        if (page + k == part.bytes.data() + stuck) page[k] = 0;
        if (out.storage_command == SILLION_STORAGE_READ) in.storage[k] = page[k];
      }
    }
    ADD_FAILURE() << "it writes without end";
  }
};

// Behind the configuration's end a copy stays erased.
TEST(KeptBounds, WhatIsBehindTheCopyStaysErased) {
  Writing writing;
  writing.run();
  EXPECT_EQ(writing.programs, 16);
  for (const std::size_t copy : {std::size_t{0}, std::size_t{1}})
    for (std::size_t at = kConfigCopyBytes; at < kCopyBytes; ++at)
      EXPECT_EQ(writing.part.copy(copy)[at], 0xff) << copy << ' ' << at;
  EXPECT_EQ(writing.part.found(writing.given).copies_to_write, 0);
}

// Each byte of a page is read back, the first and the last too. A page that does not hold what was
// written ends the writing, the last one of a copy too.
TEST(KeptBounds, APageThatFailsEndsTheWriting) {
  for (const std::size_t stuck : {std::size_t{0}, std::size_t{63}, std::size_t{7 * 64}}) {
    Writing writing;
    std::memset(&writing.given, 0x55, sizeof writing.given);  // no byte of it is that of the fault
    writing.stuck = stuck;
    writing.run();
    const int page = static_cast<int>(stuck / SILLION_PAGE_BYTES);
    EXPECT_EQ(writing.failed_page, page) << stuck;
    EXPECT_EQ(writing.programs, page + 1) << stuck;
  }
}

// A command's end counts where the command was given, for its page; until then nothing else is
// asked, and no end or refusal of another's makes it ask again.
TEST(KeptBounds, OneCommandAtATime) {
  const sillion_config given = test::row_config();
  ConfigStore store = Part{}.found(given);
  const auto asks = [&](std::uint32_t done, std::uint32_t page, std::uint32_t refused) {
    sillion_input in{};
    in.storage_done = done;
    in.storage_page = page;
    in.storage_refused = refused;
    sillion_output out{};
    sillion_health health{};
    Report report{out, health, 0};
    go_on(store, given, in, report);
    return out.storage_command;
  };
  constexpr std::uint32_t kNone = SILLION_STORAGE_NONE;
  constexpr std::uint32_t kErase = SILLION_STORAGE_ERASE;
  constexpr std::uint32_t kProgram = SILLION_STORAGE_PROGRAM;
  EXPECT_EQ(asks(kErase, 0, 0), kErase);  // an erase of before the start is none of ours
  EXPECT_EQ(asks(0, 0, 0), kNone);
  EXPECT_EQ(asks(kErase, 1, 0), kNone);
  EXPECT_EQ(asks(kProgram, 0, 0), kNone);
  EXPECT_EQ(asks(0, 0, kErase), kErase);
  EXPECT_EQ(asks(0, 0, SILLION_STORAGE_READ), kErase);
  EXPECT_EQ(asks(kErase, 0, 0), kProgram);
}

// No pages, however many are said to be there; no memory, however much.
TEST(KeptBounds, NullIsNoMemory) {
  const sillion_config config = test::row_config();
  EXPECT_EQ(config_store_for(config, nullptr, 1 << 20).copies_to_write, 0);
  EXPECT_EQ(sillion_init(nullptr, 1 << 20, &config, nullptr, 0, nullptr, 0), nullptr);
}

// The bytes of out->storage are those of a program (controller_abi.h); with an erase and a read
// they stay 0.
TEST(KeptBounds, OnlyAProgramHasBytes) {
  const sillion_config given = test::row_config();
  const Part part;
  ConfigStore store = part.found(given);
  sillion_input in{};
  for (const std::uint32_t command :
       {SILLION_STORAGE_ERASE, SILLION_STORAGE_PROGRAM, SILLION_STORAGE_READ}) {
    sillion_output out{};
    sillion_health health{};
    Report report{out, health, 0};
    go_on(store, given, in, report);
    ASSERT_EQ(out.storage_command, command);
    EXPECT_EQ(out.storage_page, 0u);
    const bool any = std::any_of(std::begin(out.storage), std::end(out.storage),
                                 [](std::uint8_t byte) { return byte != 0; });
    EXPECT_EQ(any, command == SILLION_STORAGE_PROGRAM) << command;
    in.storage_done = command;
  }
}

// A start that is reset before its first call has counted: the block carries its seal from the
// start on.
TEST(KeptBounds, AResetBeforeTheFirstCallCounts) {
  for (sillion_config config : {test::row_config(), test::machine_config()}) {
    std::vector<std::uint64_t> memory(sillion_describe(config.role)->memory_bytes / 8 + 1);
    const std::size_t size = memory.size() * 8;
    sillion_controller* block = sillion_init(memory.data(), size, &config, nullptr, 0, nullptr, 0);
    config.reset_cause = SILLION_RESET_WATCHDOG;
    for (int reset = 0; reset < 3; ++reset) {
      const std::vector<std::uint64_t> kept = memory;
      block = sillion_init(memory.data(), size, &config, kept.data(), size, nullptr, 0);
      ASSERT_NE(block, nullptr);
    }
    sillion_input in{};
    sillion_output out{};
    sillion_step(block, &in, &out);
    EXPECT_EQ(out.health.resets, 3u);
  }
}

}  // namespace
