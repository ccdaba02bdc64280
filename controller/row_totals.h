// What each row has applied since the machine was built: seeds, bands, volume.
//
//   counts   a report carries counters of 16 bits since the row's start; their advance since the
//            report before is added, so that a lost report loses nothing
//   restart  the row has started anew where its sequence has, or where both counters go back: they
//            then count from 0
//   leap     an advance by more than kMostAdvance of one counter, either way, is a damaged frame
//            and not believed: the next report advances from the counters before. What comes after
//            five such reports is believed, and so is the first report after the machine's start;
//            backwards, the counter then counts from 0. A smaller wrong advance is taken back by
//            the next report
//   volume   bands, each of the reported flow for B/v of the row, v - omega y; without a valid flow
//            of the set rate over B w. A row that streams has no bands: its flow for the 200 ms of
//            a report, without a valid flow the set rate over w v
//
// In       reports; speed (um/s), yaw rate (urad/s)            Out   counts, ml
// State    20 bytes per row: totals and the counters that were heard last
// Errors   a row that starts anew while the machine is off, and is heard again when it has counted
//          beyond the counters that were heard last, lacks as many seeds and bands as these
// Checked  tests/controller/row_totals_test.cc, tests/sim/bench/kept_counts_test.cc
#pragma once

#include <array>
#include <cstdint>

#include "controller/frames.h"
#include "controller/pressure_loop.h"
#include "shared/controller_abi.h"

namespace controller {

inline constexpr std::int32_t kMostAdvance = 2000;
inline constexpr std::uint8_t kBelievedAfter = 5;

struct RowTotal {
  std::uint32_t seeds = 0;
  std::uint32_t bands = 0;
  std::uint32_t volume_ml = 0;
  std::uint16_t seeds_heard = 0;  // counters of the row, as they were heard last
  std::uint16_t bands_heard = 0;
  std::uint16_t rest_mm3 = 0;  // of the volume, below 1 ml; not kept
  std::uint8_t seeds_doubted = kBelievedAfter;
  std::uint8_t bands_doubted = kBelievedAfter;
};

struct RowTotals {
  std::array<RowTotal, kMostRows> rows{};
  std::uint32_t seconds = 0;  // in which something was counted
  std::uint16_t second_ms = 0;
  bool counted = false;    // since the owner took this down
  bool in_second = false;  // something was counted in this second
};

/// `started_anew`: the sequence of the row's reports has begun again.
void take_counts(RowTotals& totals, const RowReportFrame& row, bool started_anew,
                 const sillion_config& config, std::int32_t speed_umps, std::int32_t yaw_uradps);
/// Once per tick: counts the seconds.
void count_seconds(RowTotals& totals);

}  // namespace controller
