// The ranks of one command: processes that a launcher such as mpirun started together.
//
//   MPI is loaded only if the environment names a launcher with several ranks, so that every other
//   command neither loads nor starts it. Waiting looks every 20 ms and takes no processor time.
//   A rank that dies on the same machine is seen within 0.1 s, and the others stop; for one that
//   dies on another machine the launcher ends the others.
//
// Errors   InputError if this build has no MPI; BenchError if MPI fails or a rank has died;
//          Interrupted
// Checked  tests/sim/command/ranks_slow_test.cc
#pragma once

#include <atomic>
#include <cstring>
#include <memory>
#include <string>
#include <type_traits>
#include <vector>

namespace sim::command {

/// Whether this process is one of several that a launcher started.
bool are_ranks();

class Ranks {
 public:
  /// Joins the others. `asked`: the user asks to stop.
  explicit Ranks(const std::atomic<bool>& asked);
  ~Ranks();
  Ranks(const Ranks&) = delete;
  Ranks& operator=(const Ranks&) = delete;

  int rank() const;
  int count() const;
  /// "rank 1 of 3"
  std::string words() const;
  /// For the work of this rank: the user asks to stop, or another rank has died.
  const std::atomic<bool>& stop() const;
  /// The rank that has died; -1: none is known.
  int dead() const;

  /// Waits for all ranks, and gives what each of them states, in order. All call it alike.
  template <class Plain>
  std::vector<Plain> gather(const Plain& mine) {
    static_assert(std::is_trivially_copyable_v<Plain>);
    std::vector<Plain> all(static_cast<std::size_t>(count()));
    gather_bytes(&mine, all.data(), static_cast<int>(sizeof mine));
    return all;
  }
  /// Ends MPI once all ranks have come here. Whoever has not called it ends without MPI.
  void leave();

 private:
  void gather_bytes(const void* mine, void* all, int bytes);

  class Watch;
  std::unique_ptr<Watch> watch_;
  struct Joined;
  std::unique_ptr<Joined> joined_;
};

}  // namespace sim::command
