// The count of a valve's openings, on a part that is drawn here by itself: program is AND, erase is
// 0xFF, and a power loss may come after any byte.
#include "controller/valve_cycles.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <vector>

#include "shared/check_sum.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::kConfigPages;
using controller::kCyclePages;
using controller::kMostLostOpenings;
using controller::kRowPages;
using controller::ValveCycles;

constexpr int kPage = SILLION_PAGE_BYTES;

struct Part {
  std::vector<std::uint8_t> bytes = std::vector<std::uint8_t>(kRowPages * kPage, 0xff);
  std::vector<int> erases = std::vector<int>(kRowPages);
  std::vector<bool> stuck = std::vector<bool>(kRowPages);  // pages that no longer take anything
  int writes = 0;

  void write(const sillion_output& out, int count = kPage) {
    ++writes;
    if (out.storage_command == SILLION_STORAGE_ERASE) ++erases[out.storage_page];
    for (int k = 0; k < count; ++k) {
      const std::size_t at = out.storage_page * kPage + static_cast<std::size_t>(k);
      const int to = stuck[out.storage_page]                        ? 0
                     : out.storage_command == SILLION_STORAGE_ERASE ? 0xff
                                                                    : bytes[at] & out.storage[k];
      bytes[at] = static_cast<std::uint8_t>(to);
    }
  }
};

/// One start of a row: 67 openings per second, a call each ms.
struct Start {
  explicit Start(Part& on)
      : part(on), cycles(controller::valve_cycles_for(on.bytes.data(), on.bytes.size())) {}

  /// Works until `until` openings, or until the power is cut in write number `cut` (from 0) after
  /// `bytes` of it. False: it was cut.
  bool work(std::uint32_t until, int cut = -1, int bytes = 0) {
    while (openings < until) {
      if (++calls % 15 == 0) ++openings;
      if (!call(cut, bytes)) return false;
    }
    return true;
  }
  void stay(int ms) {
    for (int k = 0; k < ms; ++k) call(-1, 0);
  }
  bool call(int cut, int bytes) {
    sillion_output out{};
    sillion_health health{};
    controller::Report report{out, health, 0};
    in.digital = digital;
    in.storage_busy = busy_ms > 0 ? 1 : 0;
    if (busy_ms == 0 && pending != 0) {
      in.storage_done = pending;
      in.storage_page = page;
      pending = 0;
    }
    controller::go_on(cycles, openings, in, report);
    events.insert(events.end(), out.events, out.events + out.event_count);
    in = {};
    busy_ms = std::max(0, busy_ms - 1);
    if (out.storage_command == SILLION_STORAGE_NONE) return true;
    EXPECT_EQ(pending, 0u);
    EXPECT_GE(out.storage_page, kConfigPages);
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
  std::uint32_t count() const { return cycles.before + openings; }

  Part& part;
  ValveCycles cycles;
  std::uint32_t openings = 0;
  std::uint32_t digital = SILLION_INPUT_LOWERED;
  std::vector<sillion_event_record> events;
  sillion_input in{};
  std::uint32_t pending = 0, page = 0;
  int busy_ms = 0, calls = 0;
};

// A blank part counts from 0 and says nothing; the next start goes on and says from where.
TEST(ValveCycles, TheCountGoesOnAfterARestart) {
  Part part;
  Start first(part);
  first.work(1000);
  EXPECT_TRUE(first.events.empty());
  Start second(part);
  second.work(5);
  EXPECT_LE(second.cycles.before, 1000u);
  EXPECT_GE(second.cycles.before, 1000u - kMostLostOpenings);
  ASSERT_EQ(second.events.size(), 1u);
  EXPECT_EQ(second.events[0].code, std::uint32_t{SILLION_EVENT_CYCLES_KEPT});
  EXPECT_EQ(second.events[0].a, static_cast<std::int32_t>(second.cycles.before));
}

// A lift writes whatever has been counted, so a planter that is parked lifted loses nothing.
TEST(ValveCycles, ALiftWritesTheCountOnce) {
  Part part;
  Start row(part);
  row.work(100);
  EXPECT_EQ(part.writes, 0);
  row.digital = 0;
  row.stay(200);
  EXPECT_EQ(part.writes, 2);  // an erase and a program
  EXPECT_EQ(Start(part).cycles.before, 100u);
}

// Writes of the first two turns of the ring are cut: the first 24 after every byte, of the others
// every fifth after every ninth byte. What is lost is at most what the header states, and the count
// never exceeds the openings that there were.
TEST(ValveCycles, APowerLossAtAnyByteLosesNoMoreThanIsStated) {
  constexpr int kWrites = 2 * static_cast<int>(kCyclePages) * 9;
  // Steps of 7 and 9 bytes come to every byte of a record of 8 in some write.
  for (int cut = 0; cut < kWrites; cut += cut < 24 ? 1 : 11)
    for (int bytes = cut % 7; bytes <= kPage; bytes += cut < 24 ? 7 : 9) {
      Part part;
      Start row(part);
      ASSERT_FALSE(row.work(1'000'000, cut, bytes));
      const std::uint32_t kept = Start(part).cycles.before;
      ASSERT_LE(kept, row.count()) << cut << ", " << bytes;
      ASSERT_GE(kept + kMostLostOpenings, row.count()) << cut << ", " << bytes;
      // The next start writes beside what was cut.
      Start next(part);
      next.work(300);
      ASSERT_GE(Start(part).cycles.before, kept + 200) << cut << ", " << bytes;
    }
}

// 8 pages of 8 records every 240 openings: 1 536 000 openings are 100 erases of each page.
TEST(ValveCycles, WearIsSharedByThePages) {
  Part part;
  Start row(part);
  row.work(154'000);  // a tenth of that
  for (std::uint32_t page = 0; page < kRowPages; ++page)
    EXPECT_NEAR(part.erases[page], page < kConfigPages ? 0 : 10, 1) << page;
}

TEST(ValveCycles, AWornPageIsPassedOverAndAWornRingIsReportedOnce) {
  Part part;
  part.stuck[kConfigPages] = part.stuck[kConfigPages + 1] = true;
  Start row(part);
  row.work(300);
  EXPECT_TRUE(row.events.empty());
  EXPECT_GE(Start(part).cycles.before, 240u);
  std::fill(part.stuck.begin(), part.stuck.end(), true);
  Start worn(part);
  worn.work(400);
  EXPECT_EQ(std::ranges::count_if(worn.events,
                                  [](const auto& one) {
                                    return one.code == std::uint32_t{SILLION_EVENT_STORAGE_FAILED};
                                  }),
            1);
}

// Every flipped bit of the newest record: the one before it counts.
TEST(ValveCycles, ADamagedRecordFallsBackToTheOneBefore) {
  Part good;
  Start(good).work(600);
  ASSERT_GE(Start(good).cycles.before, 480u);
  for (std::uint32_t bit = 0; bit < 64; ++bit) {
    Part part = good;
    part.bytes[static_cast<std::size_t>(kConfigPages * kPage + 8 + bit / 8)] ^=
        static_cast<std::uint8_t>(1u << (bit % 8));
    ASSERT_EQ(Start(part).cycles.before, 240u) << bit;
  }
}

TEST(ValveCycles, WithoutThePagesNothingIsAsked) {
  Part part;
  part.bytes.resize(kConfigPages * kPage);
  Start row(part);
  EXPECT_TRUE(row.work(1000));
  EXPECT_EQ(part.writes, 0);
}

// The row itself: its report counts seeds and bands from its start.
TEST(ValveCycles, ARowReportsSeedsAndBandsSinceItsStart) {
  test::FakeHardware row(test::row_config());
  row.report_speed([](double) { return 4.0; }, 0.0, 500, 3'000'000);
  for (int i = 0; i < 40; ++i) row.drop_seed(500'000 + i * 37'000);
  row.run_until(3'000'000);
  controller::RowReportFrame last;
  for (const auto& [at, frame] : row.sent)
    if (frame.id == SILLION_FRAME_ROW_REPORT) {
      ASSERT_TRUE(controller::decode(frame, last));
    }
  EXPECT_EQ(last.seeds, 40);
  EXPECT_EQ(last.bands, 40);
  EXPECT_EQ(row.pulses().size(), 40u);
}

}  // namespace
