#include "sim/command/outside_world.h"

#include <cstdlib>
#include <random>
#include <string_view>

namespace sim {

std::uint64_t fresh_number() {
  std::random_device device;
  const std::uint64_t high = device();
  return (high << 32 | device()) >> 1;  // a TOML file holds 63 bits
}

bool runs_in_ci() {
  const char* ci = std::getenv("CI");
  return ci != nullptr && std::string_view(ci) == "true";
}

}  // namespace sim
