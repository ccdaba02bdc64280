// The pass of one condition of a delay study in the ledger (sim/output/ledger.h).
//
//   key      hash of the condition's scenario, its parameters and the table, the controller, the
//            program, and of what a condition has beside its scenario
//   record   the condition as it was seen, before its clusters are numbered
//
// Errors   reading: nothing if the bytes are not a whole record
// Checked  tests/sim/study/delay/seen_record_test.cc
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "sim/output/ledger.h"
#include "sim/study/delay/delay_seen.h"

namespace sim::delay {

std::string condition_key(const scenario::Scenario& scenario, const DelayCondition& condition,
                          const sillion_attachment_table& table);
std::string seen_bytes(const SeenCondition& seen);
std::optional<SeenCondition> seen_from(std::string_view bytes);

/// To whom the ledger of a study of this scenario belongs.
output::LedgerOwner delay_owner(const scenario::Scenario& scenario);

}  // namespace sim::delay
