// SHA-256 of bytes in base 64, as a Content-Security-Policy names what it allows.
//
// Errors   none
// Source   FIPS 180-4, Secure Hash Standard; RFC 4648, section 4
// Checked  tests/sim/output/report_script_test.cc
#pragma once

#include <string>
#include <string_view>

namespace sim::output {

std::string sha256_base64(std::string_view bytes);  // 44 characters

}  // namespace sim::output
