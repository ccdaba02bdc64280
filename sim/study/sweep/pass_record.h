// One finished pass of a cell as bytes for the ledger (sim/output/ledger.h): its rows as they were
// recorded, because the figures of a cell are computed over the seeds of all its passes. The passes
// of a cell leave the ledger when the cell itself enters it.
//
// Errors   reading: nothing if the bytes are not a whole record
// Checked  tests/sim/study/sweep/pass_record_test.cc
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "sim/study/sweep/sweep.h"

namespace sim::sweep {

std::string pass_bytes(const FinishedPass& pass);
std::optional<FinishedPass> pass_from(std::string_view bytes);

}  // namespace sim::sweep
