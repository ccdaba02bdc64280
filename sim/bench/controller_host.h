// Where the controllers of one pass live and how they are called.
//
//   here    in this process, every call guarded (guarded_call.h): the reference, and a foreign
//           build that is trusted
//   apart   in a worker process of the pass (apart_host.h): a foreign build, and the reference
//           where it is asked for. What such a controller does to its process reaches nothing of
//           the bench
//
// Both call the same code with the same bytes, so both give the same results; they differ in what a
// controller can do to the bench. A lane is one controller: the rows by index, then the machine's.
//
// Calls    of one pass come from one thread at a time where the host is apart; `here` serves
//          different lanes from different threads
// Errors   InputError: the library; HostFault: what a build does while it loads, describes itself
//          or starts. What it does in a step is reported with the call
// Checked  tests/sim/bench/controller_host_test.cc, tests/sim/bench/hostile_controllers_test.cc
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <stdexcept>
#include <string>

#include "shared/controller_abi.h"
#include "sim/bench/controller_library.h"
#include "sim/bench/slot_ahead.h"

namespace sim::bench {

/// What a controller did outside of a step, in words: "crashed (bad address)".
struct HostFault : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// The largest memory block that a controller may ask for.
inline constexpr std::uint32_t kMostMemoryBytes = 16u << 20;

struct StepCall {
  int lane = 0;
  const sillion_input* input = nullptr;
  sillion_output* output = nullptr;  // comes zeroed
  bool answered = false;
  std::string fault;  // in words; empty: none
};

class ControllerHost {
 public:
  virtual ~ControllerHost() = default;
  /// What hardware this build wants; nothing where it does not offer the role.
  virtual std::optional<sillion_hardware> describe(std::uint32_t role) = 0;
  /// Starts a lane, or starts it again; false: it refused. The block has `memory_bytes`; `storage`
  /// is shown to it for the time of this call.
  virtual bool start(int lane, std::uint32_t memory_bytes, const sillion_config& config,
                     Retained retained, std::span<const std::uint8_t> storage) = 0;
  /// Calls each lane once, in their order; after a fault the calls behind it stay unanswered.
  virtual void step(std::span<StepCall> calls) = 0;
  virtual bool apart() const = 0;

  /// Ports live with their controllers from now on and run a slot ahead (slot_ahead.h); only apart,
  /// and before any lane has started.
  virtual void go_ahead() {}
  /// The host of ports that run ahead; null where they do not.
  virtual AheadHost* ahead() { return nullptr; }
};

/// How controllers run from now on; set before the first pass. Changes no result.
struct HostSettings {
  bool reference_apart = false;  // --apart
  bool trusts_foreign = false;   // --trust
};
void set_host_settings(const HostSettings& settings);

/// The host of one pass; `library` empty: the reference.
std::unique_ptr<ControllerHost> make_host(const std::string& library, int lanes);
/// In this process whatever the settings say.
std::unique_ptr<ControllerHost> make_host_here(const ControllerLibrary& library, int lanes);

}  // namespace sim::bench
