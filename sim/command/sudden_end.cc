#include "sim/command/sudden_end.h"

#include <poll.h>
#include <spdlog/spdlog.h>
#include <sys/eventfd.h>
#include <unistd.h>

#include <chrono>
#include <csignal>

#include "sim/command/exit_code.h"
#include "sim/command/out_lock.h"
#include "sim/output/write_folder.h"

namespace sim::command {
namespace {

/// An orderly end takes less; both together stay below a second.
constexpr auto kPatience = std::chrono::milliseconds(500);
constexpr auto kWriting = std::chrono::milliseconds(300);

std::atomic<bool> stop_asked{false};
std::atomic<int> stop_signal{0};
std::atomic<int> bell{-1};  // an event counter: a signal handler may write to it

/// Safe in a signal handler. An eventfd of this size takes every write, so there is nothing to do
/// where it fails.
void ring() {
  const std::uint64_t one = 1;
  if (bell >= 0 && write(bell, &one, sizeof one) < 0) return;
}

void ask_to_stop(int signal) {
  stop_signal = signal;
  stop_asked = true;
  ring();
}

}  // namespace

const std::atomic<bool>& SuddenEnd::asked() { return stop_asked; }

int SuddenEnd::code() { return stop_signal == SIGTERM ? kTerminated : kInterrupted; }

void SuddenEnd::tell(const std::string& again) {
  spdlog::warn("interrupted; nothing half-written was left. Run it again with:\n  {}", again);
}

SuddenEnd::SuddenEnd(std::string again) : again_(std::move(again)) {
  bell = eventfd(0, EFD_CLOEXEC);
  std::signal(SIGINT, ask_to_stop);
  std::signal(SIGTERM, ask_to_stop);
  thread_ = std::thread([this] { watch(); });
}

SuddenEnd::~SuddenEnd() {
  {
    const std::lock_guard lock(mutex_);
    ended_ = true;
  }
  ended_changed_.notify_all();
  ring();
  thread_.join();
  close(bell.exchange(-1));
}

void SuddenEnd::watch() {
  pollfd rung{.fd = bell, .events = POLLIN, .revents = 0};
  while (poll(&rung, 1, -1) < 0) {
  }
  std::unique_lock lock(mutex_);
  if (ended_changed_.wait_for(lock, kPatience, [this] { return ended_; })) return;
  // A result that is being written is finished first; one that nobody reads (a pipe) is not.
  const bool whole = output::hold_writes_for(kWriting);
  if (ended_) return;
  drop_out_locks();
  if (whole)
    tell(again_);
  else
    spdlog::warn("interrupted while a result was being written. Run it again with:\n  {}", again_);
  _exit(code());
}

}  // namespace sim::command
