// `today`: the fastest row speed at which an attachment with its table holds the tolerance at
// today's temperature, pressure and voltage, and what limits it.
//
//   holds     as for the table of `delay`: same passes, trims, share and search (holding.h), around
//             today's temperature and voltage instead of the scenario's
//   search    never above the fastest speed that was judged, here or for the table
//   limit     at the slowest speed that fails, the first that applies:
//             pressure   the rate needs more than the supply has
//             closed     the valve does not open at this voltage
//             offset     the delay is negative
//             valve      bands run together: spacing below B + v (T_lead - T_lag + closed)
//             column     the speed would hold if its mean error were tuned away
//             delivery   it would hold if, besides, seeds came without scatter and bounce
//             spread     none of these alone: sensor, speed signal, jet and column together
//
// Errors   InputError; BenchError; Interrupted
// Checked  tests/sim/study/delay/today_test.cc
#pragma once

#include <cmath>
#include <string>

#include "sim/study/delay/holding.h"

namespace sim::delay {

enum class TodayLimit : std::uint8_t {
  kNone,  // the fastest judged speed holds
  kPressure,
  kClosed,
  kOffset,
  kValve,
  kDelivery,
  kColumn,
  kSpread,
};

struct TodayResult {
  scenario::Scenario scenario;                   // the machine as it is today
  Judging judging;                               // the conditions that judge its speeds
  std::vector<DelaySpeed> speeds;                // all speeds that were judged, rising
  double fastest_mps = statistics::kNone_ratio;  // that holds; not-a-number: none does
  double fails_mps = statistics::kNone_ratio;    // slowest tried speed that fails
  TodayLimit limit = TodayLimit::kNone;
  double share_ratio = statistics::kNone_ratio;          // at fastest_mps
  double failing_share_ratio = statistics::kNone_ratio;  // at fails_mps
  double mean_error_m = statistics::kNone_ratio;         // at fails_mps, with trims
  double pressure_needed_pa = 0.0;                       // at fails_mps
  double opening_voltage_v =
      statistics::kNone_ratio;  // kClosed: the lowest that opens the valve, if any does
  bool outside_table = false;   // beyond the corrections, whose ends are used
  std::string table_words;      // which table it is, and its evidence
  output::RunHashes hashes;
};

struct TodayOptions {
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
  double fastest_judged_mps = HUGE_VAL;  // of the table, where a file gives it
};

/// `inputs` is the machine of today. The strip was laid at `reference`, the machine that the table
/// was tuned on.
/// Errors   InputError: no speed of [tuning] is slow enough for the speeds that the table was
///          judged at
TodayResult find_today(const DelayInputs& inputs, const DelayInputs& reference,
                       const sillion_attachment_table& table, const TodayOptions& options = {});
const char* limit_words(TodayLimit limit);  // "column-limited; warm the product or retune"

}  // namespace sim::delay
