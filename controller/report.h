// What the controller reports of itself: events for the log and counters of its health.
//
//   A signal that is bad is counted, never asserted. Events beyond SILLION_EVENTS_MAX in one call
//   are dropped; the counters are not, so nothing is lost without a trace.
//
// State    none of its own: it writes into the caller's output and the controller's health
// Checked  tests/controller/report_test.cc
#pragma once

#include <cstdint>

#include "shared/controller_abi.h"

namespace controller {

struct Report {
  sillion_output& out;
  sillion_health& health;
  std::uint32_t now_ticks;

  void event(sillion_event code, std::int32_t a = 0, std::int32_t b = 0) {
    if (out.event_count >= SILLION_EVENTS_MAX) return;
    out.events[out.event_count++] = {now_ticks, static_cast<std::uint32_t>(code), a, b};
  }
};

}  // namespace controller
