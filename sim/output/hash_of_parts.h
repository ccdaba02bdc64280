// The short digest (sim/output/hash.h) of bytes that arrive in parts, for texts that are too long
// to be held whole; it is that of the parts one after another.
//
// Checked  tests/sim/study/sweep/cell_record_test.cc
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace sim::output {

class HashOfParts {
 public:
  HashOfParts();
  void add(std::string_view bytes);
  std::string short_hex();  // once, at the end

 private:
  std::array<std::uint64_t, 16> state_{};  // room for libsodium's state
};

}  // namespace sim::output
