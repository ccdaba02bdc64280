#include "sim/bench/apart_host.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>
#include <sys/mman.h>
#include <time.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <filesystem>
#include <mutex>
#include <new>

#include "shared/check.h"
#include "sim/bench/controller_port.h"
#include "sim/bench/futex_turn.h"
#include "sim/bench/pass.h"
#include "sim/bench/worker_exchange.h"
#include "sim/bench/worker_parent.h"
#include "sim/bench/worker_patience.h"
#include "sim/bench/worker_words.h"
#include "sim/scenario/loader.h"

namespace sim::bench {
namespace {

constexpr timespec kLookEvery{0, 50'000'000};
constexpr std::size_t kMostPrintedBytes = 16 * 1024;

/// A file in memory that goes away with its last user.
class MemoryFile {
 public:
  MemoryFile(const char* name, std::size_t bytes) : file_(memfd_create(name, MFD_CLOEXEC)) {
    if (file_ < 0 || ftruncate(file_, static_cast<off_t>(bytes)) != 0) {
      if (file_ >= 0) close(file_);
      throw std::bad_alloc();
    }
  }
  ~MemoryFile() { close(file_); }
  MemoryFile(const MemoryFile&) = delete;
  MemoryFile& operator=(const MemoryFile&) = delete;
  int file() const { return file_; }

 private:
  int file_;
};

/// Reports once per process from what this kernel cannot keep a controller.
void tell_unconfined(std::uint32_t holds) {
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
  static std::once_flag told;
  if ((holds & kNoSystemCalls) != 0 && (holds & kNoFiles) != 0) return;
  std::call_once(told, [&] {
    if ((holds & kNoSystemCalls) == 0)
      spdlog::warn(
          "this kernel has no filter of system calls (seccomp): a controller can open "
          "sockets, start processes and signal others");
    if ((holds & kNoFiles) == 0)
      spdlog::warn("this kernel cannot keep a process from writing files (Landlock)");
  });
#else
  (void)holds;
#endif
}

class ApartHost : public ControllerHost, private AheadHost {
 public:
  ApartHost(const std::string& library, int lanes)
      : shared_("exchange", WorkerExchange::kBytes), printed_("printed", 0) {
    EXPECTS(lanes <= kMostLanes);
    if (!library.empty()) require_library(library);
    void* base = mmap(nullptr, WorkerExchange::kBytes, PROT_READ | PROT_WRITE, MAP_SHARED,
                      shared_.file(), 0);
    if (base == MAP_FAILED) throw std::bad_alloc();
    exchange_ = {static_cast<unsigned char*>(base)};
    WorkerAsked& asked = exchange_.asked();
    asked.fence = kExchangeFence;
    const std::string whole =
        library.empty() ? "" : std::filesystem::absolute(library).lexically_normal().string();
    if (whole.size() >= sizeof asked.library)
      throw text::InputError(library + ": this path is too long");
    std::copy(whole.begin(), whole.end(), asked.library);
    asked.task = static_cast<std::uint32_t>(WorkerTask::kLoad);
    asked.number.store(++number_);
    try {
      name_ = spawn_worker(shared_.file(), printed_.file());
      const bool loaded = wait();
      if (!loaded && fault() == WorkerFault::kInput) throw text::InputError(fault_words());
      if (!loaded)
        throw HostFault(fmt::format("{}: {} while it was loaded", library, fault_words()));
    } catch (...) {
      give_up();
      throw;
    }
    tell_unconfined(exchange_.answered().confined);
  }

  ~ApartHost() override {
    if (!ended_) {
      ask(WorkerTask::kEnd);  // the worker hands over what it still holds of its printing
    }
    give_up();
  }

  std::optional<sillion_hardware> describe(std::uint32_t role) override {
    exchange_.asked().role = role;
    if (!ask(WorkerTask::kDescribe)) throw HostFault(fault_words() + " while it described itself");
    if (exchange_.answered().given == 0) return std::nullopt;
    return exchange_.answered().hardware;
  }

  bool start(int lane, std::uint32_t memory_bytes, const sillion_config& config, Retained retained,
             std::span<const std::uint8_t> storage) override {
    // Rows that start again in the same slot ask from threads of their own.
    const std::lock_guard<std::mutex> one_at_a_time(starting_);
    WorkerAsked& asked = exchange_.asked();
    asked.lane = lane;
    asked.memory_bytes = memory_bytes;
    asked.config = config;
    asked.retained = static_cast<std::uint32_t>(retained);
    EXPECTS(storage.size() <= sizeof asked.storage);
    asked.storage_bytes = static_cast<std::uint32_t>(storage.size());
    std::copy(storage.begin(), storage.end(), asked.storage);
    if (!ask(WorkerTask::kStart)) throw HostFault(fault_words() + when_starting());
    return exchange_.answered().given != 0;
  }

  void step(std::span<StepCall> calls) override {
    WorkerAsked& asked = exchange_.asked();
    asked.count = static_cast<std::uint32_t>(calls.size());
    for (std::size_t k = 0; k < calls.size(); ++k) {
      asked.lanes[k] = calls[k].lane;
      asked.inputs[calls[k].lane] = *calls[k].input;
    }
    const bool whole = ask(WorkerTask::kStep);
    const WorkerAnswered& answered = exchange_.answered();
    for (StepCall& call : calls) {
      if (answered.done[call.lane] == number_) {
        *call.output = answered.outputs[call.lane];
        call.answered = true;
        continue;
      }
      // The first call without an answer is the one that was being made.
      call.fault = whole ? "wrote over what it shares with the bench" : fault_words();
      return;
    }
  }

  bool apart() const override { return true; }
  void go_ahead() override { ahead_ = true; }
  AheadHost* ahead() override { return ahead_ ? this : nullptr; }

 private:
  void open(int lane, const sillion_config& config, const ClockSetup& clock) override {
    WorkerAsked& asked = exchange_.asked();
    asked.lane = lane;
    asked.config = config;
    asked.drift_ratio = clock.drift_ratio;
    asked.start_before_wrap_s = clock.start_before_wrap_s;
    roles_[static_cast<std::size_t>(lane)] = config.role;
    if (!ask(WorkerTask::kOpen)) throw_port_fault(lane, when_starting());
  }

  void stop(int lane, shared::Instant at, bool power_lost) override {
    exchange_.asked().lane = lane;
    exchange_.asked().power_lost = power_lost ? 1 : 0;
    exchange_.asked().at = at;
    if (!ask(WorkerTask::kStop)) throw_port_fault(lane, "");
  }

  void restart(int lane, shared::Instant at, std::uint32_t cause, Retained retained) override {
    WorkerAsked& asked = exchange_.asked();
    asked.lane = lane;
    asked.at = at;
    asked.cause = cause;
    asked.retained = static_cast<std::uint32_t>(retained);
    if (!ask(WorkerTask::kRestart)) throw_port_fault(lane, when_starting());
  }

  AheadQuestion& question(int lane) override { return exchange_.asked().ahead[lane]; }
  const AheadAnswer& answer(int lane) const override { return exchange_.answered().ahead[lane]; }

  void run(std::span<const int> lanes) override {
    WorkerAsked& asked = exchange_.asked();
    asked.count = static_cast<std::uint32_t>(lanes.size());
    std::copy(lanes.begin(), lanes.end(), asked.lanes);
    const bool whole = ask(WorkerTask::kAhead);
    for (const int lane : lanes) {
      if (exchange_.answered().done[lane] == number_) continue;
      if (!whole) throw_port_fault(lane, "");
      throw ControllerError("the controller wrote over what it shares with the bench");
    }
  }

  /// " while it started", unless the fault is a sentence of its own.
  const char* when_starting() const {
    const bool own = exchange_.answered().fault == static_cast<std::uint32_t>(WorkerFault::kText);
    return own ? "" : " while it started";
  }

  /// The worker has ended within a port's call: throws the port's own sentence, or what the worker
  /// was doing.
  [[noreturn]] void throw_port_fault(int lane, const char* when) const {
    const WorkerAnswered& said = exchange_.answered();
    const bool row = roles_[static_cast<std::size_t>(lane)] == SILLION_ROLE_ROW;
    const bool own =
        limit_words_ == nullptr && said.fault == static_cast<std::uint32_t>(WorkerFault::kPort);
    const double at_s = own ? shared::Instant{static_cast<std::int64_t>(said.argument)}.seconds()
                            : said.called_at.seconds();
    ControllerError error(own ? fault_words()
                              : call_sentence({.row = row ? lane : -1,
                                               .at = said.called_at,
                                               .call = said.called,
                                               .why = said.called_why},
                                              fault_words() + when));
    error.row = own ? std::clamp(said.code, -1, kMostLanes) : row ? lane : -1;
    error.at_s = at_s;
    throw error;
  }

  bool ask(WorkerTask task) {
    if (ended_) return false;
    WorkerAsked& asked = exchange_.asked();
    asked.task = static_cast<std::uint32_t>(task);
    asked.number.store(++number_);
    if (exchange_.answered().sleeps.load() != 0) futex_wake(asked.number);
    return wait();
  }

  /// True when the question is answered; false when the worker has ended, or had to be ended.
  bool wait() {
    const WorkerAnswered& answered = exchange_.answered();
    WorkerAsked& asked = exchange_.asked();
    const WorkerWatched& watched = exchange_.watched();
    WorkerPatience patience;
    while (true) {
      const std::uint32_t seen = answered.number.load(std::memory_order_acquire);
      if (seen == number_) return true;
      if (watched.ended.load() != 0) {
        // It may have answered just before it ended.
        ended_ = true;
        return answered.number.load() == number_;
      }
      if (look_.changed(answered.number, seen)) continue;
      asked.sleeps.store(1);
      if (answered.number.load() == seen && watched.ended.load() == 0)
        futex_sleep(answered.number, seen, &kLookEvery);
      asked.sleeps.store(0);
      if (answered.number.load() != seen) continue;
      if (const char* words = patience.over(watched.process.load())) {
        limit_words_ = words;
        ended_ = true;
        kill_worker(name_);
        return false;
      }
    }
  }

  WorkerFault fault() const { return static_cast<WorkerFault>(exchange_.answered().fault); }
  std::string fault_words() const {
    return limit_words_ != nullptr ? limit_words_
                                   : worker_fault_words(exchange_.answered(), exchange_.watched());
  }

  /// Ends the worker and shows what it printed.
  void give_up() {
    ended_ = true;
    try {
      if (name_ != 0) kill_worker(name_);
    } catch (const std::exception&) {
      // The parent is gone, and its workers with it.
    }
    show_printed();
    munmap(exchange_.base, WorkerExchange::kBytes);
  }

  void show_printed() const {
    std::string kept(kMostPrintedBytes, '\0');
    const ssize_t got = pread(printed_.file(), kept.data(), kept.size(), 0);
    if (got <= 0) return;
    kept.resize(static_cast<std::size_t>(got));
    std::string lines;
    for (std::size_t at = 0; at < kept.size();) {
      const std::size_t end = std::min(kept.find('\n', at), kept.size());
      lines += "controller: " + kept.substr(at, end - at) + "\n";
      at = end + 1;
    }
    const off_t all = lseek(printed_.file(), 0, SEEK_END);
    if (all > got) lines += fmt::format("controller: ... {} bytes more\n", all - got);
    std::fputs(lines.c_str(), stderr);
  }

  MemoryFile shared_;
  MemoryFile printed_;
  WorkerExchange exchange_;
  std::uint32_t number_ = 0;
  std::mutex starting_;
  std::uint32_t name_ = 0;
  bool ended_ = false;
  bool ahead_ = false;
  std::array<std::uint32_t, kMostLanes> roles_{};
  const char* limit_words_ = nullptr;
  Look look_;
};

}  // namespace

std::unique_ptr<ControllerHost> make_host_apart(const std::string& library, int lanes) {
  return std::make_unique<ApartHost>(library, lanes);
}

}  // namespace sim::bench
