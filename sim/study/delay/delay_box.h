// The valid box: how far temperature, pressure and voltage may leave the table's reference, one at
// a time at the judged speed, before fewer than 95 % of the sensed seeds are within 10 mm.
//
//   The rows of the first report key carry their trims. The same seeds pass at every value, so the
//   ends of a range do not jitter with random draws; an end is the last tried value that held.
//   temperature   entered in the controller (its correction acts) or not (the controller uses the
//                 scenario's)
//   pressure      at the hose, over what the regulator believes
//   voltage       measured by the row, so its correction acts
//
// Checked  tests/sim/study/delay/delay_test.cc
#pragma once

#include "sim/study/delay/delay_report.h"

namespace sim::delay {

/// About the passes of a box whose values are all in the catalog; for estimates.
inline constexpr int kBoxPasses = 41;

DelayBox find_box(const DelayInputs& inputs, const DelayPlan& plan,
                  const sillion_attachment_table& table, const DelayReport& report,
                  const SeeingOptions& options);

}  // namespace sim::delay
