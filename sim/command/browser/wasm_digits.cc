// Numbers with a stated count of digits, by the C library's printf: exact, as the C++ library's
// own (printf of musl computes with all digits). The latter has tables for speed that would be a
// tenth of the module; the linker calls these in its place (CMakeLists.txt beside this file).
#include <algorithm>
#include <charconv>
#include <cstdio>
#include <cstring>
#include <system_error>

namespace {

std::to_chars_result printed(const char* form, char* first, char* last, double value_ratio,
                             unsigned digits) {
  char text[512];  // a whole number of 309 digits, and more decimals than anything here asks for
  const int length = std::snprintf(text, sizeof text, form, static_cast<int>(digits), value_ratio);
  if (length < 0 || length >= static_cast<int>(sizeof text) || length > last - first)
    return {last, std::errc::value_too_large};
  std::memcpy(first, text, static_cast<std::size_t>(length));
  return {first + length, std::errc()};
}

}  // namespace

extern "C" {
std::to_chars_result __wrap__ZNSt3__220__d2fixed_buffered_nEPcS0_dj(char* first, char* last,
                                                                    double value_ratio,
                                                                    unsigned digits) {
  return printed("%.*f", first, last, value_ratio, digits);
}
std::to_chars_result __wrap__ZNSt3__218__d2exp_buffered_nEPcS0_dj(char* first, char* last,
                                                                  double value_ratio,
                                                                  unsigned digits) {
  return printed("%.*e", first, last, value_ratio, digits);
}
}
