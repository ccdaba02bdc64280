// SHA-256 of bytes, and the short form of the digest that result files carry.
//
// libsodium computes the digest. Its hash functions need neither sodium_init nor any state of the
// process: they read only the bytes that they are given.
//
// Source   FIPS 180-4, Secure Hash Standard
// Checked  tests/sim/study/run/tables_test.cc (examples of FIPS 180-4)
#pragma once

#include <string>
#include <string_view>

namespace sim::output {

std::string sha256_hex(std::string_view bytes);  // 64 hexadecimal digits
std::string short_hash_hex(
    std::string_view bytes);  // the first 16 of them: 64 bits tell builds apart, not attackers

/// Hashes of a result's inputs and of the result itself, 16 hexadecimal digits each.
struct RunHashes {
  std::string scenario, parameters, controller, program, result;
};

}  // namespace sim::output
