#include "sim/command/outside_world.h"

#include <sys/resource.h>

#include <algorithm>
#include <cstdlib>
#include <random>
#include <string_view>

namespace sim::command {
namespace {

double processor_s() {
  double sum_s = 0.0;
  for (const int who : {RUSAGE_SELF, RUSAGE_CHILDREN}) {
    rusage used{};
    getrusage(who, &used);
    for (const timeval& time : {used.ru_utime, used.ru_stime})
      sum_s += static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
  }
  return sum_s;
}

}  // namespace

ProcessorTime::ProcessorTime() : start_s_(processor_s()) {}

double ProcessorTime::spent_s() const { return processor_s() - start_s_; }

std::uint64_t fresh_number() {
  std::random_device device;
  const std::uint64_t high = device();
  return (high << 32 | device()) >> 1;  // a TOML file holds 63 bits
}

bool runs_in_ci() {
  const char* ci = std::getenv("CI");
  return ci != nullptr && std::string_view(ci) == "true";
}

int launched_processes() {
  for (const char* name : {"OMPI_COMM_WORLD_SIZE", "PMI_SIZE"})
    if (const char* count = std::getenv(name)) return std::max(1, std::atoi(count));
  return std::getenv("PMIX_RANK") != nullptr ? 0 : 1;
}

}  // namespace sim::command
