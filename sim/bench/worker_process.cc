#include "sim/bench/worker_process.h"

#include <fcntl.h>
#include <signal.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "sim/bench/float_state.h"
#include "sim/bench/guarded_call.h"
#include "sim/bench/pass.h"
#include "sim/bench/worker_confinement.h"
#include "sim/bench/worker_state.h"
#include "sim/scenario/loader.h"

namespace sim::bench {
namespace {

constexpr timespec kSleepAtMost{0, 200'000'000};

/// Only what the controller prints is left open.
void close_everything(int printed) {
  const int nothing = open("/dev/null", O_RDONLY | O_CLOEXEC);
  dup2(nothing, STDIN_FILENO);
  dup2(printed, STDOUT_FILENO);
  dup2(printed, STDERR_FILENO);
  if (syscall(SYS_close_range, 3u, ~0u, 0u) != 0)
    for (int file = 3; file < 1024; ++file) close(file);
  setvbuf(stdout, nullptr, _IOLBF, BUFSIZ);
}

void check_floats(const FloatState& floats) {
  switch (floats.restore()) {
    case FloatChange::kNone: return;
    case FloatChange::kMode: end_with(WorkerFault::kFloatMode, 0, 0);
    case FloatChange::kInvalid: end_with(WorkerFault::kInvalid, 0, 0);
  }
}

/// Makes one call of the controller; any fault in it ends the worker.
template <typename Body>
void call_controller(int lane, const Body& body) {
  WorkerAnswered& said = worker->exchange.answered();
  said.lane = lane;
  const FloatState floats;
  try {
    body();
  } catch (...) {
    end_with(WorkerFault::kThrew, 0, 0, exception_words().c_str());
  }
  check_floats(floats);
  const auto& block = worker->lanes[static_cast<std::size_t>(std::max(0, lane))].block;
  if (lane >= 0 && block != nullptr && !block->fences_whole()) end_with(WorkerFault::kBlock, 0, 0);
  said.lane = -1;
}

void load(const WorkerAsked& asked) {
  call_controller(-1, [&] {
    try {
      worker->library =
          asked.library[0] == '\0' ? reference_controller() : load_controller(asked.library);
    } catch (const text::InputError& error) {
      end_with(WorkerFault::kInput, 0, 0, error.what());
    }
  });
  confine_for_calls();
}

void describe(std::uint32_t role, WorkerAnswered& said) {
  call_controller(-1, [&] {
    const sillion_hardware* found = worker->library.describe(role);
    said.given = found != nullptr ? 1 : 0;
    if (found != nullptr) said.hardware = *found;
  });
}

bool start(int lane, std::uint32_t memory_bytes, const sillion_config& config, Retained retained,
           std::span<const std::uint8_t> storage) {
  ControllerInstance& one = worker->lanes[static_cast<std::size_t>(lane)];
  ready_block(one, memory_bytes, retained);
  const sillion_config given = config;
  // The controller may write into what it is shown; the part keeps its own pages.
  const std::vector<std::uint8_t> shown(storage.begin(), storage.end());
  call_controller(lane, [&] { call_init(worker->library, one, given, retained, shown); });
  WorkerAnswered& said = worker->exchange.answered();
  said.lane = lane;
  if (const std::string fault = start_fault(one); !fault.empty())
    end_with(WorkerFault::kText, 0, 0, fault.c_str());
  said.lane = -1;
  return one.controller != nullptr;
}

void step_lane(std::size_t lane, const sillion_input& asked, sillion_output& answered) {
  auto* input = reinterpret_cast<sillion_input*>(worker->input.data());
  auto* output = reinterpret_cast<sillion_output*>(worker->output.data());
  // The controller may write into what it is handed.
  *input = asked;
  *output = {};
  sillion_controller* controller = worker->lanes[lane].controller;
  call_controller(static_cast<int>(lane), [&] { worker->library.step(controller, input, output); });
  if (!worker->input.fences_whole() || !worker->output.fences_whole())
    end_with(WorkerFault::kBlock, 0, 0);
  answered = *output;
}

/// Reads the question only once: a controller may reach what is shared.
void take_lanes(const WorkerAsked& asked, std::uint32_t number) {
  Now& now = worker->now;
  now.number = number;
  now.count = std::min<std::size_t>(asked.count, now.lanes.size());
  std::copy_n(asked.lanes, now.count, now.lanes.begin());
}

/// Ends the worker once a controller has written over what is shared with the bench. The answers of
/// the lanes before it are put back, so that the fault is reported for the right one.
void check_exchange(std::size_t at) {
  if (worker->exchange.fences_whole()) return;
  WorkerAnswered& said = worker->exchange.answered();
  std::fill(std::begin(said.done), std::end(said.done), 0u);
  for (std::size_t k = 0; k < at; ++k) {
    const auto lane = static_cast<std::size_t>(worker->now.lanes[k]);
    said.outputs[lane] = worker->outputs[lane];
    said.done[lane] = worker->now.number;
  }
  end_with(WorkerFault::kText, 0, 0, "wrote over what it shares with the bench");
}

void step(const WorkerAsked& asked, WorkerAnswered& said, std::uint32_t number) {
  take_lanes(asked, number);
  for (std::size_t k = 0; k < worker->now.count; ++k) {
    const auto lane = static_cast<std::size_t>(worker->now.lanes[k]);
    step_lane(lane, asked.inputs[lane], worker->outputs[lane]);
    check_exchange(k);
    said.outputs[lane] = worker->outputs[lane];
    said.done[lane] = number;
  }
}

/// Calls the controllers of ports that live here, and says before each call what it is.
class DirectHost : public ControllerHost {
 public:
  std::optional<sillion_hardware> describe(std::uint32_t role) override {
    WorkerAnswered& said = worker->exchange.answered();
    sim::bench::describe(role, said);
    if (said.given == 0) return std::nullopt;
    return said.hardware;
  }
  bool start(int lane, std::uint32_t memory_bytes, const sillion_config& config, Retained retained,
             std::span<const std::uint8_t> storage) override {
    return sim::bench::start(lane, memory_bytes, config, retained, storage);
  }
  void step(std::span<StepCall> calls) override {
    WorkerAnswered& said = worker->exchange.answered();
    for (StepCall& call : calls) {
      const auto lane = static_cast<std::size_t>(call.lane);
      const auto say = [&] {
        said.called_why = call.input->why;
        said.called_at = worker->ahead[lane].port->at();
        said.called = worker->ahead[lane].port->calls();
      };
      say();
      step_lane(lane, *call.input, *call.output);
      if (!worker->exchange.fences_whole()) say();
      check_exchange(worker->now.at);
      call.answered = true;
    }
  }
  bool apart() const override { return false; }
};

/// Runs a port's work; where the port refuses what the controller did, its sentence is the fault.
template <typename Body>
void with_port(const Body& body) {
  try {
    body();
  } catch (const ControllerError& error) {
    end_with(WorkerFault::kPort, error.row,
             static_cast<std::uint64_t>(shared::instant_of(error.at_s).ns), error.what());
  }
}

void open_port(const WorkerAsked& asked) {
  static DirectHost host;
  WorkerAnswered& said = worker->exchange.answered();
  said.called_why = 0;
  said.called = 0;
  said.called_at = {};
  with_port([&] {
    worker->ahead[static_cast<std::size_t>(asked.lane)].port = std::make_unique<ControllerPort>(
        host, asked.lane, asked.config, ClockSetup{asked.drift_ratio, asked.start_before_wrap_s},
        std::vector<EdgePair>{});
  });
}

/// Follows the plant's steps as far as the question goes: what is due within a step sees the supply
/// at its start.
void follow(const AheadQuestion& question, AheadAnswer& answer) {
  AheadLane& lane = worker->ahead[static_cast<std::size_t>(question.lane)];
  if (question.fresh != 0) {
    lane.at = question.from;
    lane.step = question.step;
    lane.supply = question.supply;
  }
  std::vector<BridgeChange>& changes = worker->changes;
  changes.clear();
  lane.port->give(question);
  while (lane.at < question.until) {
    const shared::Instant end = lane.at + lane.step;
    const shared::Instant until = std::min(end, question.until);
    if (lane.port->busy_before(until))
      lane.port->run_until(until,
                           {.pressure_pa = lane.supply.pressure_pa(),
                            .supply_voltage_v = lane.supply.voltage_v(),
                            .digital = question.digital},
                           changes);
    if (end > question.until) break;  // within a step: the next question goes on from here
    lane.at = end;
    lane.supply.next_step();
  }
  lane.port->tell(changes, answer);
}

void run_ahead(const WorkerAsked& asked, WorkerAnswered& said, std::uint32_t number) {
  take_lanes(asked, number);
  for (worker->now.at = 0; worker->now.at < worker->now.count; ++worker->now.at) {
    const auto lane = static_cast<std::size_t>(worker->now.lanes[worker->now.at]);
    with_port([&] { follow(asked.ahead[lane], said.ahead[lane]); });
    said.done[lane] = number;
  }
}

void stop_port(const WorkerAsked& asked) {
  std::vector<BridgeChange> known;  // the bench's own port knows them as well
  worker->ahead[static_cast<std::size_t>(asked.lane)].port->stop(asked.at, known,
                                                                 asked.power_lost != 0);
}

void restart_port(const WorkerAsked& asked) {
  with_port([&] {
    worker->ahead[static_cast<std::size_t>(asked.lane)].port->restart(
        asked.at, asked.cause, static_cast<Retained>(asked.retained));
  });
}

/// Waits for the next question and returns its number.
std::uint32_t next_question(std::uint32_t answered) {
  const WorkerAsked& asked = worker->exchange.asked();
  WorkerAnswered& said = worker->exchange.answered();
  while (!worker->look.changed(asked.number, answered)) {
    said.sleeps.store(1);
    if (asked.number.load() == answered) futex_sleep(asked.number, answered, &kSleepAtMost);
    said.sleeps.store(0);
  }
  return asked.number.load(std::memory_order_acquire);
}

void answer(const WorkerAsked& asked, WorkerAnswered& said, std::uint32_t number) {
  switch (static_cast<WorkerTask>(asked.task)) {
    case WorkerTask::kLoad: return load(asked);
    case WorkerTask::kDescribe: return describe(asked.role, said);
    case WorkerTask::kStart:
      said.given =
          start(asked.lane, asked.memory_bytes, asked.config, static_cast<Retained>(asked.retained),
                {asked.storage, std::min<std::size_t>(asked.storage_bytes, sizeof asked.storage)})
              ? 1
              : 0;
      return;
    case WorkerTask::kStep: return step(asked, said, number);
    case WorkerTask::kOpen: return open_port(asked);
    case WorkerTask::kAhead: return run_ahead(asked, said, number);
    case WorkerTask::kStop: return stop_port(asked);
    case WorkerTask::kRestart: return restart_port(asked);
    case WorkerTask::kEnd: std::fflush(stdout); return;
  }
}

}  // namespace

void run_worker(const WorkerExchange& exchange, int printed) {
  prctl(PR_SET_NAME, "controllers");
  prctl(PR_SET_PDEATHSIG, SIGKILL);
  setpgid(0, 0);
  static Worker only;
  worker = &only;
  only.exchange = exchange;
  catch_worker_signals();
  close_everything(printed);
  mprotect(&exchange.asked(), WorkerExchange::kAnsweredAt, PROT_READ);
  munmap(&exchange.watched(), WorkerExchange::kBytes - WorkerExchange::kWatchedAt);
  WorkerAnswered& said = exchange.answered();
  said.fence_before = said.fence_after = kExchangeFence;
  said.lane = -1;
  said.confined = confine_for_loading();
  for (std::uint32_t number = 0;;) {
    number = next_question(number);
    answer(exchange.asked(), said, number);
    said.number.store(number);
    if (exchange.asked().sleeps.load() != 0) futex_wake(said.number);
  }
}

}  // namespace sim::bench
