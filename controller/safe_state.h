// When a row must keep its valve closed, and for how long it has done so.
//
//   closed while any of these holds (enum sillion_safe_cause): no speed or an old one; standing or
//   backwards (v_row <= 50 mm/s); lifted; row disabled; not in run; a rate of 0; the stored
//   configuration is lost (until a start that finds its storage whole or blank). The causes are
//   evaluated in every call, so the valve closes within one tick of a speed growing old and at once
//   on a digital input.
//
//   A row that is lifted or in hold sleeps 20 ms between two ticks (row_controller.h); its time in
//   the safe state is counted for all of them.
//
//   open <-> safe: events once per entry and exit; a stale speed has events of its own. At the
//   start nothing has been lost yet, so the first wait for a speed raises none.
//
//   The closing command is given on every entry and in the first call after a reset, whatever the
//   controller believes of the valve: a restart in the middle of a pulse finds the bridge driving.
//
// State    the causes that hold; whether a speed has ever come
// Errors   none
// Checked  tests/controller/safe_state_test.cc
#pragma once

#include <cstdint>

#include "controller/report.h"
#include "controller/row_motion.h"

namespace controller {

struct SafeState {
  std::uint32_t causes = SILLION_SAFE_NO_SPEED;
  bool had_speed = false;
  bool config_lost = false;  // as the start found it
  bool no_rate = false;      // the rate is 0
};

/// Evaluates the causes; true while the valve must stay closed.
bool must_close(SafeState& safe, const RowMotion& motion, std::uint32_t digital, Report& report);
/// Call once per tick: adds time in safe states to health, `gone_ms` since the tick before.
void count_safe_time(const SafeState& safe, std::int32_t gone_ms, Report& report);

}  // namespace controller
