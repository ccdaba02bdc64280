// The strip test before a pass: bands of dyed water on a paper strip are read with a tape and give
// each row a trim in mm.
//
//   trim_row = -(mean placement error of the row's bands + tape error)
//   tape error sd = reading / sqrt(bands)
//
// The test uses the table as it was commissioned, without the errors that the scenario adds to the
// table. It has what a person would have: the same rows (mounts, bores, coils), other seeds, a
// straight run at the judged speed. It removes the fixed part of a row's error and nothing of the
// scatter from seed to seed.
// Strips that do not differ are laid once per process, and with a keeper (sim/study/tune/keeper.h)
// once for all; those of a foreign controller are laid each time.
//
// Shape    one trim per row, micrometres
// Checked  tests/sim/study/run/run_test.cc,
//          tests/sim/command/kept_findings_test.cc
#pragma once

#include <functional>
#include <vector>

#include "sim/bench/pass.h"

namespace sim::tune {

/// `on_progress` works as in a pass (sim/bench/pass.h).
std::vector<int> strip_test_trim_um(const scenario::Scenario& scenario,
                                    const std::atomic<bool>* stop = nullptr,
                                    const std::function<void(double done_ratio)>& on_progress = {});
/// The same with a table that was tuned before on strip_scenario.
std::vector<int> strip_test_trim_um(const scenario::Scenario& scenario,
                                    const sillion_attachment_table& table,
                                    const std::atomic<bool>* stop = nullptr,
                                    const std::function<void(double done_ratio)>& on_progress = {});
/// The run over the strip: straight, at the judged speed, with bands and with the table's own law.
scenario::Scenario strip_scenario(const scenario::Scenario& scenario);

}  // namespace sim::tune
