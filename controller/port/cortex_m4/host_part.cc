// The reference controller as an emulated Cortex-M4F runs it, behind the interface's three
// functions: a library for `controller.library` with --trust.
//
//   Every thread has an emulator of its own (qemu-system-arm, machine mps2-an386), because the
//   controller's memory travels with each call. It waits for bytes on two pipes; when this process
//   ends, the pipes close and it leaves.
//
// Errors   a part that cannot start, says other sizes of the interface or stops answering: one line
//          on standard error, then abort(), which the bench reports as a controller that crashed
// Checked  tests/sim/study/check/cortex_m4_test.cc
#include <fcntl.h>
#include <signal.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <memory>
#include <string>

#include "controller/port/cortex_m4/part_exchange.h"

#define SILLION_EXPORT extern "C" __attribute__((visibility("default")))

namespace part {
namespace {

/// What was seen so far, by role: 0 row, 1 machine.
struct Seen {
  std::atomic<std::uint32_t> instructions{0};
  std::atomic<std::uint32_t> stack_bytes{0};
  std::atomic<std::uint64_t> calls{0};
};
Seen& seen_of(std::uint32_t role) {
  static Seen seen[2];
  return seen[role == SILLION_ROLE_ROW ? 0 : 1];
}

void raise_to(std::atomic<std::uint32_t>& most, std::uint32_t value) {
  std::uint32_t before = most.load();
  while (before < value && !most.compare_exchange_weak(before, value)) {
  }
}

[[noreturn]] void give_up(const char* what) {
  std::fprintf(stderr, "emulated part: %s\n", what);
  std::abort();
}

/// One emulator.
class Emulator {
 public:
  Emulator() {
    int down[2];
    int up[2];
    if (pipe2(down, O_CLOEXEC) != 0 || pipe2(up, O_CLOEXEC) != 0) give_up("no pipe can be opened");
    child_ = fork();
    if (child_ < 0) give_up("no process can be started");
    if (child_ == 0) run(down[0], up[1]);
    close(down[0]);
    close(up[1]);
    to_ = down[1];
    from_ = up[0];
    say({.operation = kHello});
    hear(&hello, sizeof hello);
    const Hello here;
    if (hello.config_bytes != here.config_bytes || hello.input_bytes != here.input_bytes ||
        hello.output_bytes != here.output_bytes)
      give_up("its compiler lays the interface's structures out otherwise");
  }
  Emulator(const Emulator&) = delete;
  Emulator& operator=(const Emulator&) = delete;
  ~Emulator() {
    close(to_);
    close(from_);
    kill(child_, SIGTERM);
    waitpid(child_, nullptr, 0);
  }

  void say(const Request& request) const { put(&request, sizeof request); }
  void put(const void* bytes, std::size_t count) const {
    const auto* at = static_cast<const unsigned char*>(bytes);
    while (count > 0) {
      const ssize_t done = write(to_, at, count);
      if (done <= 0) give_up("it stopped listening");
      at += done;
      count -= static_cast<std::size_t>(done);
    }
  }
  void hear(void* bytes, std::size_t count) const {
    auto* at = static_cast<unsigned char*>(bytes);
    while (count > 0) {
      const ssize_t done = read(from_, at, count);
      if (done <= 0) give_up("it stopped answering (is qemu-system-arm installed?)");
      at += done;
      count -= static_cast<std::size_t>(done);
    }
  }

  Hello hello;

 private:
  /// Becomes the emulator; it opens the pipes by their names in /proc.
  [[noreturn]] static void run(int from, int to) {
    prctl(PR_SET_PDEATHSIG, SIGKILL);
    fcntl(from, F_SETFD, 0);
    fcntl(to, F_SETFD, 0);
    const std::string files = "enable=on,target=native,arg=part,arg=/proc/self/fd/" +
                              std::to_string(from) + ",arg=/proc/self/fd/" + std::to_string(to);
    const int nothing = open("/dev/null", O_RDWR);
    dup2(nothing, 0);
    dup2(nothing, 1);
    dup2(nothing, 2);
    execlp("qemu-system-arm", "qemu-system-arm", "-M", "mps2-an386", "-display", "none", "-monitor",
           "null", "-serial", "null", "-nic", "none", "-icount", "shift=10,sleep=off", "-kernel",
           SILLION_PART_IMAGE, "-semihosting-config", files.c_str(), static_cast<char*>(nullptr));
    _exit(127);
  }

  pid_t child_ = -1;
  int to_ = -1;
  int from_ = -1;
};

Emulator& emulator() {
  signal(SIGPIPE, SIG_IGN);
  static thread_local std::unique_ptr<Emulator> own;
  if (!own) own = std::make_unique<Emulator>();
  return *own;
}

/// The block begins with what this library keeps of a controller; the controller's own follows.
struct Head {
  std::uint32_t role = 0;
  std::uint32_t block_bytes = 0;
};

/// A start may take its time, so only its stack counts.
void book(std::uint32_t role, const Answer& answer, bool step) {
  Seen& seen = seen_of(role);
  if (step) raise_to(seen.instructions, answer.instructions);
  raise_to(seen.stack_bytes, answer.stack_bytes);
  seen.calls.fetch_add(1);
}

}  // namespace
}  // namespace part

SILLION_EXPORT const sillion_hardware* sillion_describe(uint32_t role) {
  static thread_local sillion_hardware described;
  const part::Hello& hello = part::emulator().hello;
  if (role != SILLION_ROLE_ROW && role != SILLION_ROLE_MACHINE) return nullptr;
  described = role == SILLION_ROLE_ROW ? hello.row : hello.machine;
  described.memory_bytes += sizeof(part::Head);
  return &described;
}

SILLION_EXPORT sillion_controller* sillion_init(void* memory, size_t size,
                                                const sillion_config* config, const void* retained,
                                                size_t retained_size, const void* storage,
                                                size_t storage_size) {
  const sillion_hardware* hardware = sillion_describe(config->role);
  if (hardware == nullptr || size < hardware->memory_bytes) return nullptr;
  part::Emulator& emulated = part::emulator();
  auto* bytes = static_cast<unsigned char*>(memory);
  const auto own_bytes = static_cast<std::uint32_t>(hardware->memory_bytes - sizeof(part::Head));
  // The bench gives the block itself as what survived.
  const bool kept = retained == memory && retained_size >= hardware->memory_bytes;
  const part::Head head{config->role, own_bytes};
  std::memcpy(bytes, &head, sizeof head);
  const auto pages = static_cast<std::uint32_t>(storage == nullptr ? 0 : storage_size);
  emulated.say({part::kStart, own_bytes, pages, kept ? 1u : 0u});
  emulated.put(config, sizeof *config);
  emulated.put(bytes + sizeof head, own_bytes);
  if (pages > 0) emulated.put(storage, pages);
  part::Answer answer;
  emulated.hear(&answer, sizeof answer);
  emulated.hear(bytes + sizeof head, own_bytes);
  part::book(config->role, answer, false);
  return answer.good != 0 ? static_cast<sillion_controller*>(memory) : nullptr;
}

SILLION_EXPORT void sillion_step(sillion_controller* controller, const sillion_input* in,
                                 sillion_output* out) {
  part::Emulator& emulated = part::emulator();
  auto* bytes = reinterpret_cast<unsigned char*>(controller);
  part::Head head;
  std::memcpy(&head, bytes, sizeof head);
  emulated.say({part::kStep, head.block_bytes, 0, 0});
  emulated.put(in, sizeof *in);
  emulated.put(bytes + sizeof head, head.block_bytes);
  part::Answer answer;
  emulated.hear(&answer, sizeof answer);
  emulated.hear(out, sizeof *out);
  emulated.hear(bytes + sizeof head, head.block_bytes);
  part::book(head.role, answer, true);
}

/// The largest number of instructions of a step, the deepest stack and the number of calls so far,
/// over all controllers of a role (enum sillion_role) in this process.
SILLION_EXPORT void sillion_part_figures(uint32_t role, uint32_t* instructions,
                                         uint32_t* stack_bytes, uint64_t* calls) {
  const part::Seen& seen = part::seen_of(role);
  *instructions = seen.instructions.load();
  *stack_bytes = seen.stack_bytes.load();
  *calls = seen.calls.load();
}
