// `today`: the fastest row speed at which an attachment with its table holds the tolerance at
// today's temperature, pressure and voltage, and what ends it.
//
//   holds     at least 95 % of the sensed seeds within 10 mm, rows with trims of a strip that was
//             laid
//             at the table's reference; two keys of row.count rows
//   search    [tuning]'s speeds from the fastest down, then halving between the last that held and
//             the next that did not, four times
//   limit     at the slowest speed that does not hold, first that applies:
//             pressure   the rate needs more than the supply has
//             offset     the delay is negative
//             valve      bands run together: spacing below B + v (T_lead - T_lag + closed)
//             column     it would hold if the mean error of that speed were tuned away
//             delivery   it would hold if, besides, seeds came without scatter and bounce
//             spread     neither alone: sensor, speed signal, jet and column together
//
// Errors   InputError; BenchError; Interrupted
// Checked  tests/sim/today_test.cc
#pragma once

#include <string>

#include "sim/study/delay_report.h"

namespace sim {

enum class TodayLimit : std::uint8_t {
  kNone,  // the fastest of [tuning] holds
  kPressure,
  kOffset,
  kValve,
  kDelivery,
  kColumn,
  kSpread,
};

struct TodayResult {
  double fastest_mps = kNone_ratio;  // that holds; not-a-number: none
  double fails_mps = kNone_ratio;    // slowest tried that does not
  TodayLimit limit = TodayLimit::kNone;
  double share_ratio = kNone_ratio;          // at the fastest that holds, or at the slowest tried
  double failing_share_ratio = kNone_ratio;  // at the speed that does not hold
  double mean_error_m = kNone_ratio;         // there
  double pressure_needed_pa = 0.0;           // at that speed
  bool outside_table = false;  // viscosity or voltage beyond the table's corrections: held
};

struct TodayOptions {
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
};

/// `inputs` is the machine of today. The strip was laid at `reference`: the same machine as the
/// table was tuned on.
TodayResult find_today(const DelayInputs& inputs, const DelayInputs& reference,
                       const sillion_attachment_table& table, const TodayOptions& options = {});
const char* limit_words(TodayLimit limit);  // "column-limited; warm the product or retune"

}  // namespace sim
