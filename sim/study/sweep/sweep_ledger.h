// The ledger of a sweep: its finished cells, and the finished passes of cells that have not ended
// (sim/output/ledger.h). A shard and a rank have a ledger of their own.
//
//   key      cell_inputs(); kWhole is the cell (cell_record.h), other numbers are the indices of
//            its passes (pass_record.h)
//   owner    hashes_of_study(): a ledger serves the whole study and each of its shards
//
// Errors   as sim/output/ledger.h
// Checked  tests/sim/study/sweep/sweep_ledger_test.cc
#pragma once

#include <optional>

#include "sim/output/ledger.h"
#include "sim/study/sweep/sweep.h"

namespace sim::sweep {

output::LedgerOwner owner_of(const StudyHashes& hashes);

/// `options` find what the ledger holds and keep in it what ends. Ledger and study must outlive
/// them. `earlier`: a ledger in which is looked as well; may be null.
void use_ledger(const Study& study, output::Ledger& ledger, output::LedgerReader* earlier,
                SweepOptions& options);

/// The cell of this plan in a ledger; nothing if it is not there, or damaged.
std::optional<FinishedCell> cell_in(output::LedgerReader& ledger, const std::string& inputs);

}  // namespace sim::sweep
