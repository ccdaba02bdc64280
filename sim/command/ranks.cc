#include "sim/command/ranks.h"

#include <dlfcn.h>
#include <fmt/format.h>
#include <signal.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <condition_variable>
#include <filesystem>
#include <mutex>
#include <thread>

#include "sim/bench/errors.h"
#include "sim/command/outside_world.h"
#include "sim/command/ranks_module.h"
#include "sim/text/input_error.h"

namespace sim::command {
namespace {

constexpr auto kLooksEvery = std::chrono::milliseconds(20);

#if defined(SILLION_RANKS_MODULE)
/// The module lies beside the program. It stays loaded: MPI cannot be started twice.
const RanksModule& load_module() {
  std::error_code ignored;
  const std::filesystem::path file =
      std::filesystem::read_symlink("/proc/self/exe", ignored).parent_path() / SILLION_RANKS_MODULE;
  // MPI's own parts are libraries that look for its names among those of the whole process.
  void* const handle = dlopen(file.c_str(), RTLD_NOW | RTLD_GLOBAL);
  void* const entry = handle == nullptr ? nullptr : dlsym(handle, kRanksEntry);
  if (entry == nullptr) {
    const char* why = dlerror();
    throw bench::BenchError(
        fmt::format("{}: cannot load MPI: {}", file.string(), why == nullptr ? "" : why));
  }
  return *reinterpret_cast<const RanksModule* (*)()>(entry)();
}
#else
const RanksModule& load_module() {
  throw text::InputError(
      "this sillion was built without MPI, and a launcher has started it as one of several ranks; "
      "build it where CMake finds MPI, or start each part with --shard i/S and merge them");
}
#endif

void require_ok(int error, const char* what) {
  if (error != 0) throw bench::BenchError(fmt::format("MPI cannot {} (error {})", what, error));
}

/// Where a rank runs.
struct Place {
  std::array<char, 256> host{};
  pid_t process = 0;
};

bool lives(pid_t process) { return kill(process, 0) == 0 || errno != ESRCH; }

}  // namespace

bool are_ranks() { return launched_processes() != 1; }

struct Ranks::Joined {
  const RanksModule& module;
  int rank = 0;
  int count = 1;
};

/// Looks whether the user asks to stop, and whether the ranks on this machine are still there.
class Ranks::Watch {
 public:
  explicit Watch(const std::atomic<bool>& asked) : asked_(asked) {
    thread_ = std::thread([this] { look_until_over(); });
  }
  ~Watch() {
    {
      const std::lock_guard lock(mutex_);
      over_ = true;
    }
    ended_.notify_all();
    thread_.join();
  }
  Watch(const Watch&) = delete;
  Watch& operator=(const Watch&) = delete;

  void look_at(const std::vector<Place>& places, int own) {
    const std::lock_guard lock(mutex_);
    const Place& here = places[static_cast<std::size_t>(own)];
    for (std::size_t rank = 0; rank < places.size(); ++rank)
      // A process that cannot be seen from the start, as from another container, is not watched.
      if (places[rank].host == here.host && lives(places[rank].process))
        seen_.push_back({static_cast<int>(rank), places[rank].process});
  }
  void look_away() {
    const std::lock_guard lock(mutex_);
    seen_.clear();
  }

  std::atomic<bool> stop{false};
  std::atomic<int> dead{-1};

 private:
  struct Seen {
    int rank;
    pid_t process;
  };

  void look_until_over() {
    std::unique_lock lock(mutex_);
    while (!ended_.wait_for(lock, kLooksEvery, [this] { return over_; })) {
      if (stop) continue;
      // Whoever asks all ranks to stop ends them: first the question, then the look.
      if (!asked_)
        for (const Seen& one : seen_)
          if (!lives(one.process) && !asked_ && dead < 0) dead = one.rank;
      stop = asked_ || dead >= 0;
    }
  }

  const std::atomic<bool>& asked_;
  std::mutex mutex_;
  std::condition_variable ended_;
  bool over_ = false;
  std::vector<Seen> seen_;
  std::thread thread_;
};

Ranks::Ranks(const std::atomic<bool>& asked)
    : watch_(std::make_unique<Watch>(asked)), joined_(new Joined{load_module()}) {
  require_ok(joined_->module.join(&joined_->rank, &joined_->count), "start");
  Place here{.process = getpid()};
  gethostname(here.host.data(), here.host.size() - 1);
  watch_->look_at(gather(here), rank());
}

Ranks::~Ranks() = default;

int Ranks::rank() const { return joined_->rank; }
int Ranks::count() const { return joined_->count; }
std::string Ranks::words() const { return fmt::format("rank {} of {}", rank(), count()); }
const std::atomic<bool>& Ranks::stop() const { return watch_->stop; }
int Ranks::dead() const { return watch_->dead; }

void Ranks::gather_bytes(const void* mine, void* all, int bytes) {
  require_ok(joined_->module.gather(mine, all, bytes), "gather");
  for (int complete = 0; complete == 0;) {
    const bool ends = stop();
    require_ok(joined_->module.is_gathered(&complete), "gather");
    if (complete != 0) return;
    if (ends) throw bench::Interrupted("interrupted");
    std::this_thread::sleep_for(kLooksEvery);
  }
}

void Ranks::leave() {
  watch_->look_away();
  require_ok(joined_->module.leave(), "end");
}

}  // namespace sim::command
