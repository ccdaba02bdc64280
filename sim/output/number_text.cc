#include "sim/output/number_text.h"

#include <charconv>
#include <cmath>

#include "shared/check.h"

namespace sim::output {

std::string number_text(double value_si) {
  if (!std::isfinite(value_si)) return {};
  char buffer[32];
  // Adding zero turns -0 into 0: the two compare equal, so their bytes must be equal.
  const auto [end, error] = std::to_chars(buffer, buffer + sizeof buffer, value_si + 0.0);
  ENSURES(error == std::errc{});
  return {buffer, end};
}

std::string fixed_text(double shown_si, int decimals) {
  if (!std::isfinite(shown_si)) return {};
  char buffer[400];  // the largest double has 309 digits before its point
  const auto [end, error] =
      std::to_chars(buffer, buffer + sizeof buffer, shown_si, std::chars_format::fixed, decimals);
  ENSURES(error == std::errc{});
  std::string text{buffer, end};
  if (text.find_first_of("123456789") == std::string::npos && text.front() == '-') text.erase(0, 1);
  return text;
}

}  // namespace sim::output
