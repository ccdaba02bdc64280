// Which captured edges are seeds.
//
//   accepted  rising, stamped within the last 50 ms, after the last accepted edge and at least half
//             a dwell after it
//   rejected  everything else that rises: counted, with an event
//
// Policy    Half a dwell and no more. A seed covers the beam for its dwell, so two rising edges
//           closer than half of it are the contact chatter of one seed; two seeds one behind the
//           other need a whole dwell, and half of it leaves room for small seeds. A false second
//           edge that comes later looks exactly like a double of the meter, which may lie as close
//           as 5 % of the spacing: rejecting it would leave true doubles without liquid, accepting
//           it costs liquid only, mostly a lengthened band as two pulses merge. So it is accepted.
//
// State    stamp of the last accepted edge; forgotten after 1 s, long before the counter could
//          alias
// Errors   bad stamps are rejected and counted
// Checked  tests/controller/edge_filter_test.cc
#pragma once

#include <cstdint>

#include "controller/report.h"
#include "shared/controller_abi.h"

namespace controller {

struct EdgeFilter {
  std::int32_t least_gap_us = 0;
  bool has_last = false;
  std::uint32_t last_ticks = 0;
};

EdgeFilter edge_filter_for(const sillion_config& config);
/// True when this edge is a seed.
bool accept_edge(EdgeFilter& filter, const sillion_edge& edge, Report& report);
/// Call at every tick: forgets an edge that is too old to matter.
void forget_old_edge(EdgeFilter& filter, std::uint32_t now_ticks);

}  // namespace controller
