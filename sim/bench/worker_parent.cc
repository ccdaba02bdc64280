#include "sim/bench/worker_parent.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/signalfd.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cstdio>
#include <cstring>
#include <fstream>
#include <mutex>
#include <stdexcept>
#include <vector>

#include "sim/bench/futex_turn.h"
#include "sim/bench/worker_exchange.h"
#include "sim/bench/worker_process.h"

namespace sim::bench {
namespace {

struct Message {
  std::uint32_t kill = 0;  // 0: spawn
  std::uint32_t name = 0;
};

/// One worker as its parent knows it.
struct Child {
  pid_t process = 0;
  std::uint32_t name = 0;
  WorkerExchange exchange;
};

/// The loop of the parent process.
class Parent {
 public:
  explicit Parent(int line) : line_(line) {}

  [[noreturn]] void run() {
    sigset_t child;
    sigemptyset(&child);
    sigaddset(&child, SIGCHLD);
    sigprocmask(SIG_BLOCK, &child, nullptr);
    const int ends = signalfd(-1, &child, SFD_CLOEXEC | SFD_NONBLOCK);
    while (true) {
      pollfd waits[] = {{line_, POLLIN, 0}, {ends, POLLIN, 0}};
      if (poll(waits, 2, -1) < 0) continue;
      if ((waits[1].revents & POLLIN) != 0) {
        signalfd_siginfo told{};
        while (read(ends, &told, sizeof told) > 0) {
        }
        reap();
      }
      if (waits[0].revents != 0 && !take_message()) end();
    }
  }

 private:
  bool take_message() {
    Message message;
    alignas(cmsghdr) std::array<char, CMSG_SPACE(2 * sizeof(int))> room{};
    iovec part{&message, sizeof message};
    msghdr header{};
    header.msg_iov = &part;
    header.msg_iovlen = 1;
    header.msg_control = room.data();
    header.msg_controllen = room.size();
    const ssize_t got = recvmsg(line_, &header, MSG_CMSG_CLOEXEC);
    if (got == 0 || (got < 0 && errno != EINTR && errno != EAGAIN)) return false;
    if (got != sizeof message) return true;
    if (message.kill != 0) {
      for (const Child& one : children_)
        if (one.name == message.name) kill_group(one.process);
      return true;
    }
    int files[2] = {-1, -1};
    const cmsghdr* control = CMSG_FIRSTHDR(&header);
    if (control == nullptr || control->cmsg_len != CMSG_LEN(sizeof files)) return true;
    std::memcpy(files, CMSG_DATA(control), sizeof files);
    spawn(message.name, files[0], files[1]);
    close(files[0]);
    close(files[1]);
    return true;
  }

  void spawn(std::uint32_t name, int exchange_file, int printed) {
    void* base =
        mmap(nullptr, WorkerExchange::kBytes, PROT_READ | PROT_WRITE, MAP_SHARED, exchange_file, 0);
    if (base == MAP_FAILED) return;  // the bench's patience ends the wait
    Child child{.name = name, .exchange = {static_cast<unsigned char*>(base)}};
    const pid_t forked = fork();
    if (forked == 0) run_worker(child.exchange, printed);
    child.process = forked;
    child.exchange.watched().process.store(forked);
    if (forked < 0) {
      tell_end(child, -1);
      munmap(base, WorkerExchange::kBytes);
      return;
    }
    setpgid(forked, forked);  // parent and child both set it: either may come first
    // A worker that is forked later must not reach what this one shares with its pass.
    madvise(base, WorkerExchange::kBytes, MADV_DONTFORK);
    children_.push_back(child);
  }

  static void kill_group(pid_t process) {
    kill(-process, SIGKILL);
    kill(process, SIGKILL);
  }

  static void tell_end(const Child& child, int status) {
    WorkerWatched& watched = child.exchange.watched();
    if (watched.ended.load() != 0) return;  // it stopped itself before it was killed
    watched.status = status;
    watched.ended.store(1);
    futex_wake(child.exchange.answered().number);
  }

  void reap() {
    int status = 0;
    for (pid_t ended; (ended = waitpid(-1, &status, WNOHANG | WUNTRACED)) > 0;) {
      const auto child = std::find_if(children_.begin(), children_.end(),
                                      [&](const Child& one) { return one.process == ended; });
      if (child == children_.end()) {
        if (WIFSTOPPED(status)) kill(ended, SIGKILL);
        continue;
      }
      tell_end(*child, status);
      kill_group(ended);
      if (WIFSTOPPED(status)) continue;  // its end follows
      munmap(child->exchange.base, WorkerExchange::kBytes);
      children_.erase(child);
    }
    kill_orphans();
  }

  /// Kills what a worker forked and left behind: it comes to this process as a child of its own.
  void kill_orphans() const {
    std::ifstream in("/proc/thread-self/children");
    for (pid_t found = 0; in >> found;)
      if (std::none_of(children_.begin(), children_.end(),
                       [&](const Child& one) { return one.process == found; }))
        kill(found, SIGKILL);
  }

  [[noreturn]] void end() const {
    for (const Child& one : children_) kill_group(one.process);
    _exit(0);
  }

  int line_;
  std::vector<Child> children_;
};

/// The bench's end of the line.
struct Line {
  std::mutex mutex;
  int file = -1;
  pid_t bench = 0;  // a process that was forked from this one needs a parent of its own
  std::atomic<std::uint32_t> names{0};
};
Line& line() {
  static Line* const kept = new Line;  // workers may be asked for while the program ends
  return *kept;
}

[[noreturn]] void become_parent(int far) {
  setsid();  // the terminal's signals are for the bench
  prctl(PR_SET_NAME, "worker-parent");
  prctl(PR_SET_CHILD_SUBREAPER, 1);
  for (const int number : {SIGINT, SIGTERM, SIGHUP, SIGPIPE}) signal(number, SIG_IGN);
  const int nothing = open("/dev/null", O_RDWR);
  for (int file = 0; file < 3; ++file) dup2(nothing, file);
  const int kept = dup2(far, 3);
  if (syscall(SYS_close_range, 4u, ~0u, 0u) != 0)
    for (int file = 4; file < 1024; ++file) close(file);
  fcntl(kept, F_SETFD, FD_CLOEXEC);
  static_cast<void>(chdir("/"));
  Parent(kept).run();
}

void send(const Message& message, const int* files) {
  alignas(cmsghdr) std::array<char, CMSG_SPACE(2 * sizeof(int))> room{};
  Message copy = message;
  iovec part{&copy, sizeof copy};
  msghdr header{};
  header.msg_iov = &part;
  header.msg_iovlen = 1;
  if (files != nullptr) {
    header.msg_control = room.data();
    header.msg_controllen = room.size();
    cmsghdr* control = CMSG_FIRSTHDR(&header);
    control->cmsg_level = SOL_SOCKET;
    control->cmsg_type = SCM_RIGHTS;
    control->cmsg_len = CMSG_LEN(2 * sizeof(int));
    std::memcpy(CMSG_DATA(control), files, 2 * sizeof(int));
  }
  if (sendmsg(line().file, &header, MSG_NOSIGNAL) != sizeof copy)
    throw std::runtime_error("the process that starts controllers has ended");
}

}  // namespace

void start_worker_parent() {
  const std::lock_guard lock(line().mutex);
  if (line().file >= 0 && line().bench == getpid()) return;
  int ends[2] = {-1, -1};
  if (socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends) != 0)
    throw std::runtime_error("no socket for the process that starts controllers");
  std::fflush(nullptr);  // so that nothing is written twice
  const pid_t forked = fork();
  if (forked < 0) throw std::runtime_error("no process for the controllers could be started");
  if (forked == 0) {
    close(ends[0]);
    become_parent(ends[1]);
  }
  close(ends[1]);
  line().file = ends[0];
  line().bench = getpid();
}

std::uint32_t spawn_worker(int exchange_file, int printed) {
  start_worker_parent();
  const std::uint32_t name = ++line().names;
  const int files[] = {exchange_file, printed};
  send({.kill = 0, .name = name}, files);
  return name;
}

void kill_worker(std::uint32_t name) { send({.kill = 1, .name = name}, nullptr); }

}  // namespace sim::bench
