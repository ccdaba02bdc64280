// `today`: the fastest row speed at which an attachment with its table holds the tolerance at
// today's temperature, pressure and voltage, and what ends it.
//
//   holds     as the table of `delay` means it: same passes, trims, share and search (holding.h),
//             around today's temperature and voltage instead of the scenario's
//   search    never above the fastest speed that was judged, here or for the table
//   limit     at the slowest speed that does not hold, first that applies:
//             pressure   the rate needs more than the supply has
//             closed     the valve does not open at this voltage
//             offset     the delay is negative
//             valve      bands run together: spacing below B + v (T_lead - T_lag + closed)
//             column     it would hold if the mean error of that speed were tuned away
//             delivery   it would hold if, besides, seeds came without scatter and bounce
//             spread     neither alone: sensor, speed signal, jet and column together
//
// Errors   InputError; BenchError; Interrupted
// Checked  tests/sim/study/delay/today_test.cc
#pragma once

#include <cmath>
#include <string>

#include "sim/study/delay/holding.h"

namespace sim::delay {

enum class TodayLimit : std::uint8_t {
  kNone,  // the fastest that was judged holds
  kPressure,
  kClosed,
  kOffset,
  kValve,
  kDelivery,
  kColumn,
  kSpread,
};

struct TodayResult {
  scenario::Scenario scenario;                   // the machine of today
  Judging judging;                               // what its speeds were judged by
  std::vector<DelaySpeed> speeds;                // that were judged, rising
  double fastest_mps = statistics::kNone_ratio;  // that holds; not-a-number: none
  double fails_mps = statistics::kNone_ratio;    // slowest tried that does not
  TodayLimit limit = TodayLimit::kNone;
  double share_ratio = statistics::kNone_ratio;          // at the fastest that holds
  double failing_share_ratio = statistics::kNone_ratio;  // at the speed that does not hold
  double mean_error_m = statistics::kNone_ratio;         // there, with trims
  double pressure_needed_pa = 0.0;                       // at that speed
  double opening_voltage_v =
      statistics::kNone_ratio;  // kClosed: the lowest that opens the valve, if any
  bool outside_table = false;   // viscosity or voltage beyond the table's corrections: held
  std::string table_words;      // which table, with what evidence
  output::RunHashes hashes;
};

struct TodayOptions {
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
  double fastest_judged_mps = HUGE_VAL;  // of the table, where it comes from a file
};

/// `inputs` is the machine of today. The strip was laid at `reference`: the same machine as the
/// table was tuned on.
/// Errors   InputError: no speed of [tuning] is as slow as the table was judged at
TodayResult find_today(const DelayInputs& inputs, const DelayInputs& reference,
                       const sillion_attachment_table& table, const TodayOptions& options = {});
const char* limit_words(TodayLimit limit);  // "column-limited; warm the product or retune"

}  // namespace sim::delay
