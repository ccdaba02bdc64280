// The controllers of a pass in a process of their own: the bench's side.
//
//   question   inputs into shared memory, the worker is woken, the bench waits
//   limits     one question may take 1 s of the worker's processor time, or 1 s in which it sleeps;
//              30 s of wall clock in any case. A busy machine is no fault
//   fault      the worker has ended or is killed; what it did is reported in words, with the lane
//              that it was calling
//   printed    what the controller prints is kept apart and goes to standard error, each line with
//              "controller: " before it, when the pass ends
//
// Errors   InputError: the library cannot be loaded; HostFault; in a step: StepCall::fault
// Checked  tests/sim/bench/apart_host_test.cc, tests/sim/bench/hostile_controllers_test.cc
#pragma once

#include <memory>
#include <string>

#include "sim/bench/controller_host.h"

namespace sim::bench {

/// An empty `library` means the reference.
std::unique_ptr<ControllerHost> make_host_apart(const std::string& library, int lanes);

}  // namespace sim::bench
