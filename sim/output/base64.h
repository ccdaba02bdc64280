// Bytes as base64, for a file that has to stand inside another one. libsodium writes it.
//
// Source   RFC 4648, section 4
// Checked  tests/sim/output/base64_test.cc (test vectors of RFC 4648, section 10)
#pragma once

#include <string>
#include <string_view>

namespace sim::output {

std::string base64_of(std::string_view bytes);

}  // namespace sim::output
