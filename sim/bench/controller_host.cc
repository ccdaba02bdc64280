#include "sim/bench/controller_host.h"

#include <fmt/format.h>

#include <utility>
#include <vector>

#include "sim/bench/apart_host.h"
#include "sim/bench/controller_instance.h"
#include "sim/bench/guarded_call.h"

namespace sim::bench {
namespace {

HostSettings& settings() {
  static HostSettings kept;
  return kept;
}

template <typename Body>
CallEnd guarded(Body& body) {
  return guarded_call([](void* call) { (*static_cast<Body*>(call))(); }, &body);
}

class HereHost : public ControllerHost {
 public:
  HereHost(const ControllerLibrary& library, int lanes)
      : library_(library), lanes_(static_cast<std::size_t>(lanes)) {}

  std::optional<sillion_hardware> describe(std::uint32_t role) override {
    const sillion_hardware* found = nullptr;
    sillion_hardware hardware{};
    auto body = [&] {
      found = library_.describe(role);
      if (found != nullptr) hardware = *found;
    };
    if (const CallEnd end = guarded(body); end.fault != CallFault::kNone)
      throw HostFault(fault_words(end) + " while it described itself");
    if (found == nullptr) return std::nullopt;
    return hardware;
  }

  bool start(int lane, std::uint32_t memory_bytes, const sillion_config& config, Retained retained,
             std::span<const std::uint8_t> storage) override {
    ControllerInstance& one = lanes_[static_cast<std::size_t>(lane)];
    ready_block(one, memory_bytes, retained);
    // The controller may write into what it is shown; the part keeps its own pages.
    const std::vector<std::uint8_t> shown(storage.begin(), storage.end());
    auto body = [&] { call_init(library_, one, config, retained, shown); };
    const CallEnd end = guarded(body);
    if (end.fault != CallFault::kNone) throw HostFault(words(one, end) + " while it started");
    if (const std::string fault = start_fault(one); !fault.empty()) throw HostFault(fault);
    return one.controller != nullptr;
  }

  void step(std::span<StepCall> calls) override {
    for (StepCall& call : calls) {
      ControllerInstance& one = lanes_[static_cast<std::size_t>(call.lane)];
      // The controller may write into what it is handed; the caller keeps its own input.
      sillion_input given = *call.input;
      auto body = [&] { library_.step(one.controller, &given, call.output); };
      const CallEnd end = guarded(body);
      if (end.fault != CallFault::kNone)
        call.fault = words(one, end);
      else if (!one.block->fences_whole())
        call.fault = "wrote outside its memory block";
      if (!call.fault.empty()) return;
      call.answered = true;
    }
  }

  bool apart() const override { return false; }

 private:
  static std::string words(const ControllerInstance& one, const CallEnd& end) {
    const bool beside = end.fault == CallFault::kCrash && one.block->beside(end.address);
    return beside ? "wrote outside its memory block" : fault_words(end);
  }

  ControllerLibrary library_;
  std::vector<ControllerInstance> lanes_;
};

}  // namespace

void set_host_settings(const HostSettings& asked) { settings() = asked; }

std::unique_ptr<ControllerHost> make_host_here(const ControllerLibrary& library, int lanes) {
  return std::make_unique<HereHost>(library, lanes);
}

std::unique_ptr<ControllerHost> make_host(const std::string& library, int lanes) {
  const bool apart = library.empty() ? settings().reference_apart : !settings().trusts_foreign;
  if (apart) return make_host_apart(library, lanes);
  return make_host_here(library.empty() ? reference_controller() : load_controller(library), lanes);
}

}  // namespace sim::bench
