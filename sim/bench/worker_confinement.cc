#include "sim/bench/worker_confinement.h"

#include <fcntl.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/landlock.h>
#include <linux/seccomp.h>
#include <sys/ioctl.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <cstddef>
#include <fstream>
#include <vector>

#include "sim/bench/worker_exchange.h"

namespace sim::bench {
namespace {

constexpr rlim_t kMostMoreBytes = rlim_t{1} << 30;  // of addresses, beyond what is mapped already
constexpr rlim_t kMostFileBytes = 256 * 1024;
constexpr std::uint32_t kMostPieceBytes = 256u << 20;

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
// The sanitizers' own memory and system calls would be refused.
constexpr bool kConfines = false;
#elif defined(__x86_64__) || defined(__aarch64__)
constexpr bool kConfines = true;
#else
constexpr bool kConfines = false;
#endif

#if defined(__aarch64__)
constexpr std::uint32_t kArchitecture = AUDIT_ARCH_AARCH64;
#else
constexpr std::uint32_t kArchitecture = AUDIT_ARCH_X86_64;
#endif

/// A filter over system calls, written down rule by rule.
class Filter {
 public:
  explicit Filter(std::uint32_t otherwise) : otherwise_(otherwise) {
    add(BPF_LD | BPF_W | BPF_ABS, offsetof(seccomp_data, arch));
    add(BPF_JMP | BPF_JEQ | BPF_K, kArchitecture, 1, 0);
    add(BPF_RET | BPF_K, SECCOMP_RET_KILL_PROCESS);
    add(BPF_LD | BPF_W | BPF_ABS, offsetof(seccomp_data, nr));
  }
  void rule(long number, std::uint32_t action) {
    begin(number, 1);
    add(BPF_RET | BPF_K, action);
  }
  /// Allowed where the argument's low word is `value`.
  void only_value(long number, int argument, std::uint32_t value) {
    begin(number, 4);
    add(BPF_LD | BPF_W | BPF_ABS, low_word(argument));
    add(BPF_JMP | BPF_JEQ | BPF_K, value, 0, 1);
    add(BPF_RET | BPF_K, SECCOMP_RET_ALLOW);
    add(BPF_RET | BPF_K, SECCOMP_RET_TRAP);
  }
  /// Allowed where none of these bits is set in the argument.
  void only_without(long number, int argument, std::uint32_t bits) {
    begin(number, 4);
    add(BPF_LD | BPF_W | BPF_ABS, low_word(argument));
    add(BPF_JMP | BPF_JSET | BPF_K, bits, 1, 0);
    add(BPF_RET | BPF_K, SECCOMP_RET_ALLOW);
    add(BPF_RET | BPF_K, SECCOMP_RET_TRAP);
  }
  /// Allowed where the argument is at most `most`.
  void only_up_to(long number, int argument, std::uint32_t most) {
    begin(number, 6);
    add(BPF_LD | BPF_W | BPF_ABS, low_word(argument) + 4);
    add(BPF_JMP | BPF_JEQ | BPF_K, 0, 0, 2);
    add(BPF_LD | BPF_W | BPF_ABS, low_word(argument));
    add(BPF_JMP | BPF_JGT | BPF_K, most, 0, 1);
    add(BPF_RET | BPF_K, SECCOMP_RET_TRAP);
    add(BPF_RET | BPF_K, SECCOMP_RET_ALLOW);
  }
  bool install() {
    add(BPF_RET | BPF_K, otherwise_);
    sock_fprog program{static_cast<unsigned short>(code_.size()), code_.data()};
    return syscall(SYS_seccomp, SECCOMP_SET_MODE_FILTER, 0, &program) == 0;
  }

 private:
  void add(unsigned code, std::uint32_t value, unsigned yes = 0, unsigned no = 0) {
    code_.push_back({static_cast<std::uint16_t>(code), static_cast<std::uint8_t>(yes),
                     static_cast<std::uint8_t>(no), value});
  }
  void begin(long number, unsigned body) {
    add(BPF_JMP | BPF_JEQ | BPF_K, static_cast<std::uint32_t>(number), 0, body);
  }
  static std::uint32_t low_word(int argument) {
    return static_cast<std::uint32_t>(offsetof(seccomp_data, args) +
                                      static_cast<std::size_t>(argument) * sizeof(std::uint64_t));
  }
  std::vector<sock_filter> code_;
  std::uint32_t otherwise_;
};

/// What loading a library and calling it needs of the kernel.
constexpr long kPlain[] = {
    SYS_read,
    SYS_pread64,
    SYS_write,
    SYS_writev,
    SYS_close,
    SYS_fstat,
    SYS_newfstatat,
    SYS_lseek,
    SYS_mmap,
    SYS_mprotect,
    SYS_munmap,
    SYS_mremap,
    SYS_brk,
    SYS_madvise,
    SYS_futex,
    SYS_rt_sigprocmask,
    SYS_rt_sigaction,
    SYS_rt_sigreturn,
    SYS_sigaltstack,
    SYS_getpid,
    SYS_getppid,
    SYS_gettid,
    SYS_getuid,
    SYS_geteuid,
    SYS_getgid,
    SYS_getegid,
    SYS_clock_gettime,
    SYS_clock_getres,
    SYS_gettimeofday,
    SYS_exit,
    SYS_exit_group,
    SYS_getrandom,
    SYS_set_robust_list,
    SYS_set_tid_address,
    SYS_readlinkat,
    SYS_faccessat,
    SYS_getcwd,
    SYS_sched_yield,
    SYS_sysinfo,
    SYS_uname,
    SYS_restart_syscall,
    SYS_sched_getaffinity,
#if defined(SYS_rseq)
    SYS_rseq,
#endif
#if defined(__x86_64__)
    SYS_stat,
    SYS_lstat,
    SYS_readlink,
    SYS_access,
    SYS_arch_prctl,
    SYS_time,
#endif
};

bool refuse_system_calls() {
  Filter filter(SECCOMP_RET_TRAP);
  for (const long number : kPlain) filter.rule(number, SECCOMP_RET_ALLOW);
  constexpr std::uint32_t kWrites = O_WRONLY | O_RDWR | O_CREAT | O_TRUNC | O_APPEND;
  filter.only_without(SYS_openat, 2, kWrites);
#if defined(SYS_open)
  filter.only_without(SYS_open, 1, kWrites);
#endif
  // Signals to itself are allowed, as abort sends one.
  const auto self = static_cast<std::uint32_t>(getpid());
  for (const long number : {SYS_kill, SYS_tkill, SYS_tgkill}) filter.only_value(number, 0, self);
  filter.only_value(SYS_prlimit64, 2, 0);
  filter.only_value(SYS_ioctl, 1, TCGETS);
  filter.only_value(SYS_seccomp, 0, SECCOMP_SET_MODE_FILTER);
  return filter.install();
}

bool refuse_writing() {
  const long version =
      syscall(SYS_landlock_create_ruleset, nullptr, 0, LANDLOCK_CREATE_RULESET_VERSION);
  if (version < 1) return false;
  landlock_ruleset_attr rules{};
  rules.handled_access_fs = LANDLOCK_ACCESS_FS_WRITE_FILE | LANDLOCK_ACCESS_FS_REMOVE_DIR |
                            LANDLOCK_ACCESS_FS_REMOVE_FILE | LANDLOCK_ACCESS_FS_MAKE_CHAR |
                            LANDLOCK_ACCESS_FS_MAKE_DIR | LANDLOCK_ACCESS_FS_MAKE_REG |
                            LANDLOCK_ACCESS_FS_MAKE_SOCK | LANDLOCK_ACCESS_FS_MAKE_FIFO |
                            LANDLOCK_ACCESS_FS_MAKE_BLOCK | LANDLOCK_ACCESS_FS_MAKE_SYM;
  constexpr std::uint64_t kRefer = 1u << 13;     // of version 2
  constexpr std::uint64_t kTruncate = 1u << 14;  // of version 3
  if (version >= 2) rules.handled_access_fs |= kRefer;
  if (version >= 3) rules.handled_access_fs |= kTruncate;
  const auto file = static_cast<int>(syscall(SYS_landlock_create_ruleset, &rules, sizeof rules, 0));
  if (file < 0) return false;
  const bool done = syscall(SYS_landlock_restrict_self, file, 0) == 0;
  close(file);
  return done;
}

/// What this process has mapped; 0 where the kernel does not say.
rlim_t mapped_bytes() {
  std::ifstream in("/proc/self/statm");
  rlim_t pages = 0;
  in >> pages;
  return pages * static_cast<rlim_t>(sysconf(_SC_PAGESIZE));
}

void limit(int resource, rlim_t most) {
  const rlimit limits{most, most};
  setrlimit(static_cast<__rlimit_resource_t>(resource), &limits);
}

struct Named {
  long number;
  const char* words;
};

constexpr Named kNamed[] = {
    {SYS_clone, "a new process or thread (clone)"},
    {SYS_clone3, "a new process or thread (clone3)"},
#if defined(__x86_64__)
    {SYS_fork, "a new process (fork)"},
    {SYS_vfork, "a new process (vfork)"},
    {SYS_open, "a file (open)"},
    {SYS_creat, "a file (creat)"},
    {SYS_pause, "a sleep (pause)"},
    {SYS_alarm, "a timer (alarm)"},
    {SYS_unlink, "a file to be removed (unlink)"},
    {SYS_rename, "a file to be renamed (rename)"},
    {SYS_mkdir, "a folder (mkdir)"},
    {SYS_rmdir, "a folder to be removed (rmdir)"},
    {SYS_dup2, "a copy of a descriptor (dup2)"},
    {SYS_pipe, "a pipe (pipe)"},
    {SYS_poll, "a wait (poll)"},
    {SYS_select, "a wait (select)"},
    {SYS_access, "a file (access)"},
    {SYS_readlink, "a file (readlink)"},
#endif
    {SYS_execve, "another program (execve)"},
    {SYS_execveat, "another program (execveat)"},
    {SYS_openat, "a file (openat)"},
    {SYS_read, "input (read)"},
    {SYS_pread64, "input (pread64)"},
    {SYS_close, "a descriptor to be closed (close)"},
    {SYS_close_range, "descriptors to be closed (close_range)"},
    {SYS_dup, "a copy of a descriptor (dup)"},
    {SYS_dup3, "a copy of a descriptor (dup3)"},
    {SYS_fcntl, "a descriptor to be changed (fcntl)"},
    {SYS_unlinkat, "a file to be removed (unlinkat)"},
    {SYS_renameat, "a file to be renamed (renameat)"},
    {SYS_renameat2, "a file to be renamed (renameat2)"},
    {SYS_mkdirat, "a folder (mkdirat)"},
    {SYS_truncate, "a file to be cut (truncate)"},
    {SYS_ftruncate, "a file to be cut (ftruncate)"},
    {SYS_getdents64, "a folder's list (getdents64)"},
    {SYS_chdir, "another working folder (chdir)"},
    {SYS_fchdir, "another working folder (fchdir)"},
    {SYS_chroot, "another root folder (chroot)"},
    {SYS_socket, "a socket (socket)"},
    {SYS_socketpair, "a socket (socketpair)"},
    {SYS_connect, "a connection (connect)"},
    {SYS_pipe2, "a pipe (pipe2)"},
    {SYS_memfd_create, "a file in memory (memfd_create)"},
    {SYS_nanosleep, "a sleep (nanosleep)"},
    {SYS_clock_nanosleep, "a sleep (clock_nanosleep)"},
    {SYS_rt_sigsuspend, "a sleep (rt_sigsuspend)"},
    {SYS_rt_sigtimedwait, "a wait (rt_sigtimedwait)"},
    {SYS_ppoll, "a wait (ppoll)"},
    {SYS_pselect6, "a wait (pselect6)"},
    {SYS_wait4, "a wait (wait4)"},
    {SYS_waitid, "a wait (waitid)"},
    {SYS_setitimer, "a timer (setitimer)"},
    {SYS_timer_create, "a timer (timer_create)"},
    {SYS_kill, "a signal to another process (kill)"},
    {SYS_tkill, "a signal to another process (tkill)"},
    {SYS_tgkill, "a signal to another process (tgkill)"},
    {SYS_setsid, "a session of its own (setsid)"},
    {SYS_setpgid, "a process group (setpgid)"},
    {SYS_prctl, "other rules for its process (prctl)"},
    {SYS_seccomp, "other rules for its process (seccomp)"},
    {SYS_prlimit64, "other limits (prlimit64)"},
    {SYS_setrlimit, "other limits (setrlimit)"},
    {SYS_ptrace, "another process's memory (ptrace)"},
    {SYS_process_vm_writev, "another process's memory (process_vm_writev)"},
    {SYS_process_vm_readv, "another process's memory (process_vm_readv)"},
    {SYS_mmap, "a large piece of memory (mmap)"},
    {SYS_mremap, "a large piece of memory (mremap)"},
    {SYS_ioctl, "a device (ioctl)"},
    {SYS_reboot, "a restart of the machine (reboot)"},
};

}  // namespace

std::uint32_t confine_for_loading() {
  if (!kConfines) return 0;
  limit(RLIMIT_CORE, 0);
  limit(RLIMIT_AS, mapped_bytes() + kMostMoreBytes);
  limit(RLIMIT_FSIZE, kMostFileBytes);
  if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) != 0) return 0;
  std::uint32_t holds = 0;
  if (refuse_writing()) holds |= kNoFiles;
  if (refuse_system_calls()) holds |= kNoSystemCalls;
  return holds;
}

void confine_for_calls() {
  if (!kConfines) return;
  Filter filter(SECCOMP_RET_ALLOW);
  for (const long number : {SYS_openat, SYS_read, SYS_pread64, SYS_close, SYS_readlinkat,
                            SYS_faccessat, SYS_seccomp, SYS_prlimit64})
    filter.rule(number, SECCOMP_RET_TRAP);
#if defined(__x86_64__)
  for (const long number : {SYS_open, SYS_stat, SYS_lstat, SYS_readlink, SYS_access})
    filter.rule(number, SECCOMP_RET_TRAP);
#endif
  filter.only_up_to(SYS_mmap, 1, kMostPieceBytes);
  filter.only_up_to(SYS_mremap, 2, kMostPieceBytes);
  filter.install();
}

const char* system_call_words(std::int32_t number) {
  for (const Named& one : kNamed)
    if (one.number == number) return one.words;
  return nullptr;
}

}  // namespace sim::bench
