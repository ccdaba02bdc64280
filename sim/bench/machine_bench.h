// The machine's side of a pass: its controller's interrupts, the speed on the bus, the regulator,
// what rows share, and the host of all controllers.
//
// Errors   ControllerError of its controller; InputError of a library that cannot be loaded
// Checked  tests/sim/bench/pass_test.cc, tests/sim/bench/drives_test.cc
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "model/machine/speed_signal.h"
#include "model/machine/travel.h"
#include "sim/bench/cab_bus.h"
#include "sim/bench/controller_life.h"
#include "sim/bench/controller_port.h"
#include "sim/bench/radio_sender.h"
#include "sim/bench/random.h"
#include "sim/bench/rate_bus.h"
#include "sim/bench/row_link.h"
#include "sim/bench/supply_exchange.h"
#include "sim/bench/supply_line.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

struct MachineBench {
  std::unique_ptr<ControllerHost> host;  // of the rows' controllers too
  ControllerPort port;
  int lane = 0;
  ControllerLife life;
  model::SpeedSignal signal;
  RandomStream stream;
  RateBus rates;
  long long next_sample = 0;
  RegulatorState regulator;
  SupplyExchange exchange;
  std::vector<RowLink> links;            // of every row
  std::vector<FrameLink> fates;          // as the machine's side knows of losses without a radio
  bool acknowledged = true;              // network.acknowledged
  std::vector<sillion_frame> last_said;  // sent on the bus last while no fault bent them
  std::optional<RadioSender> radio;      // its station
  std::optional<CabBus> cab;

  double sample_s() const { return static_cast<double>(next_sample) * signal.params.period_s; }

  /// The machine controller's slot begins: its bus frames come in, and it sees the supply as it is
  /// at the start.
  void begin_slot(const scenario::Scenario& scenario, shared::Instant start, shared::Instant end);
  /// Whether a call is due before the slot ends; it has no valve, so its bridge changes nothing.
  bool go_on();
  StepCall call() { return port.call(); }
  void take(const StepCall& answered) {
    port.take(answered, no_bridge);
    life.answered(port);
  }
  /// When running ahead: as RowBench's.
  bool ask_ahead(AheadHost& ahead, shared::Instant start);
  void take_ahead(const AheadHost& ahead) {
    port.take(ahead.answer(lane), no_bridge);
    life.answered(port);
  }
  /// The frames that its station sent to the rows by `until`, a slot's end; without a radio, all
  /// that its controller gave. Its controller learns their fate.
  std::vector<SentFrame> take_sent(shared::Instant until);
  /// Hears at `at`, a slot's end, what a row sent in that slot.
  void hear(std::size_t row, const std::vector<SentFrame>& sent, shared::Instant at);
  /// A slot is over: the regulator follows the controller's set point. Where there is a manifold,
  /// its pressure stays.
  void move_regulator(const scenario::Scenario& scenario, double slot_s);

  shared::Instant slot_end{};
  PlantView view;
  std::vector<BridgeChange> no_bridge;
};

/// `calls_are_kept`: every call has to pass through this process (sim/bench/call_log.h).
MachineBench make_machine(const scenario::Scenario& scenario, const sillion_attachment_table& table,
                          const model::Travel& travel, std::uint32_t pass, bool calls_are_kept);

}  // namespace sim::bench
