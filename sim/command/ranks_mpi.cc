// The only file that calls MPI. It is built as a module of its own where CMake finds MPI
// (sim/command/ranks_module.h); the program does not link it.
#include <mpi.h>
#include <signal.h>

#include <array>
#include <cstddef>

#include "sim/command/ranks_module.h"

namespace sim::command {
namespace {

// MPI may set handlers of its own, with which a fault of a controller would end the program.
constexpr std::array kSignals = {SIGINT, SIGTERM, SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT};

MPI_Request request = MPI_REQUEST_NULL;

int join(int* rank, int* count) {
  std::array<struct sigaction, kSignals.size()> before{};
  for (std::size_t k = 0; k < kSignals.size(); ++k) sigaction(kSignals[k], nullptr, &before[k]);
  int provided = 0;
  int error = MPI_Init_thread(nullptr, nullptr, MPI_THREAD_FUNNELED, &provided);
  for (std::size_t k = 0; k < kSignals.size(); ++k) sigaction(kSignals[k], &before[k], nullptr);
  if (error == MPI_SUCCESS) error = MPI_Comm_set_errhandler(MPI_COMM_WORLD, MPI_ERRORS_RETURN);
  if (error == MPI_SUCCESS) error = MPI_Comm_rank(MPI_COMM_WORLD, rank);
  if (error == MPI_SUCCESS) error = MPI_Comm_size(MPI_COMM_WORLD, count);
  return error;
}

int gather(const void* mine, void* all, int bytes) {
  return MPI_Iallgather(mine, bytes, MPI_BYTE, all, bytes, MPI_BYTE, MPI_COMM_WORLD, &request);
}

int is_gathered(int* complete) { return MPI_Test(&request, complete, MPI_STATUS_IGNORE); }

int leave() { return MPI_Finalize(); }

}  // namespace
}  // namespace sim::command

extern "C" const sim::command::RanksModule* sillion_ranks() {
  static constexpr sim::command::RanksModule kModule = {
      &sim::command::join, &sim::command::gather, &sim::command::is_gathered, &sim::command::leave};
  return &kModule;
}
