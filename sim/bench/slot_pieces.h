// A slot of all rows and of the machine's controller, where the controllers live in a process of
// their own: in rounds, all that have come to a call together; or, where nothing that a controller
// does comes back to it within a slot, the whole slot at once (slot_ahead.h). Controllers in this
// process are asked by sim/bench/slot_crew.h.
//
//   The slot runs in one piece where the rows share nothing, else in exchange steps between which
//   the supply moves. Draws are summed in order of rows, whatever thread ran them.
// Errors   of several controllers that fail in one piece the machine's is reported, else the first
//          row's
// Checked  tests/sim/bench/controller_host_test.cc, tests/sim/bench/pass_test.cc
#pragma once

#include <deque>
#include <vector>

#include "sim/bench/machine_bench.h"
#include "sim/bench/row_bench.h"
#include "sim/bench/row_team.h"

namespace sim::bench {

struct Span {
  shared::Instant from{};
  shared::Instant to{};
};

/// `to_rows`: the machine's frames of the slot before.
void run_slot_pieces(const scenario::Scenario& scenario, MachineBench& machine, RowBenches& rows,
                     std::deque<RowTeam>& teams, const std::vector<SentFrame>& to_rows,
                     const Span& slot);

}  // namespace sim::bench
