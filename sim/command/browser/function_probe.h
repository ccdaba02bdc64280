// A digest of what an elementary function gives over many arguments, for the comparison of two
// builds of it: the module's own (functions.wasm) and the library's.
//
//   argument k of a function is made of splitmix64(k): a third are any bits, a third have
//   exponents around 1, a third lie in -8 to 8. The first arguments are edges: zeros, infinities,
//   not-a-number, the smallest and largest numbers
//   digest   FNV-1a over the results' bits; every not-a-number counts as one
//
// Errors   none
// Source   splitmix64: Steele, Lea, Flood, Fast splittable pseudorandom number generators (2014);
//          FNV-1a: Fowler, Noll, Vo, its constants from memory
// Checked  tests/sim/command/row_module_slow_test.cc
#pragma once

#include <bit>
#include <cmath>
#include <cstdint>

#include "model/reproducible_math.h"

namespace sim::command {

inline constexpr double kMostAngle_rad = 1e14;  // tables of larger ones are not in the module

inline std::uint64_t mixed(std::uint64_t number) {
  number += 0x9e3779b97f4a7c15u;
  number = (number ^ (number >> 30)) * 0xbf58476d1ce4e5b9u;
  number = (number ^ (number >> 27)) * 0x94d049bb133111ebu;
  return number ^ (number >> 31);
}

inline double probe_argument(std::uint64_t k) {  // tidy: unit is the function's
  constexpr double kEdges_ratio[] = {
      0.0,    -0.0,   1.0,    -1.0,   1e-300, -1e-300, HUGE_VAL, -HUGE_VAL, 5e-324,  -5e-324,
      709.78, 709.79, -745.2, -708.4, NAN,    0.5,     2.3e-308, 1.7e308,   -1.7e308};
  constexpr std::uint64_t kCount = sizeof kEdges_ratio / sizeof kEdges_ratio[0];
  if (k < kCount) return kEdges_ratio[k];
  const std::uint64_t bits = mixed(k);
  if (k % 3 == 0) return std::bit_cast<double>(bits);
  const double share_ratio = static_cast<double>(static_cast<std::int64_t>(bits)) * 0x1p-63;
  if (k % 3 == 1) return 8.0 * share_ratio;
  return std::ldexp(share_ratio, static_cast<int>(mixed(bits) % 24) - 12);
}

inline constexpr const char* kProbed[] = {"exp", "expm1", "log",   "log1p", "pow", "sin",
                                          "cos", "tan",   "atan2", "acosh", "erfc"};

/// The function number `which` of kProbed.
inline double probed_ratio(int which, double x_ratio, double y_ratio) {
  switch (which) {
    case 0: return model::exp_of(x_ratio);
    case 1: return model::expm1_of(x_ratio);
    case 2: return model::log_of(x_ratio);
    case 3: return model::log1p_of(x_ratio);
    case 4: return model::pow_of(x_ratio, y_ratio);
    case 5: return model::sin_of(x_ratio);
    case 6: return model::cos_of(x_ratio);
    case 7: return model::tan_of(x_ratio);
    case 8: return model::atan2_of(x_ratio, y_ratio);
    case 9: return model::acosh_of(x_ratio);
    default: return model::erfc_of(x_ratio);
  }
}

inline std::uint64_t probe(int which, std::uint64_t from, std::uint64_t count) {
  const bool angles = which >= 5 && which <= 7;
  std::uint64_t digest = 0xcbf29ce484222325u;
  for (std::uint64_t k = from; k < from + count; ++k) {
    const double x_ratio = probe_argument(k), y_ratio = probe_argument(mixed(k) >> 40);
    if (angles && std::fabs(x_ratio) > kMostAngle_rad) continue;
    const double got_ratio = probed_ratio(which, x_ratio, y_ratio);
    const bool number = got_ratio == got_ratio;
    digest ^= number ? std::bit_cast<std::uint64_t>(got_ratio) : 0x7ff8000000000000u;
    digest *= 0x100000001b3u;
  }
  return digest;
}

}  // namespace sim::command
