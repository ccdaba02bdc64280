#include "sim/bench/random.h"

#include <Random123/philox.h>

#include <cmath>

#include "model/reproducible_math.h"
#include "shared/units.h"

namespace sim::bench {
namespace {

r123::Philox4x32::ctr_type words(std::uint64_t key, std::uint32_t row, std::uint32_t pass,
                                 Purpose purpose, std::uint64_t index) {
  r123::Philox4x32::ctr_type counter = {{static_cast<std::uint32_t>(index),
                                         static_cast<std::uint32_t>(index >> 32) ^ (pass << 16),
                                         row, static_cast<std::uint32_t>(purpose)}};
  r123::Philox4x32::key_type philox_key = {
      {static_cast<std::uint32_t>(key), static_cast<std::uint32_t>(key >> 32)}};
  return r123::Philox4x32{}(counter, philox_key);
}

double unit_ratio(std::uint32_t high, std::uint32_t low) {
  const std::uint64_t bits = ((static_cast<std::uint64_t>(high) << 32) | low) >> 11;
  return static_cast<double>(bits) * 0x1p-53;
}

}  // namespace

double RandomStream::uniform_ratio(Purpose purpose, std::uint64_t index) const {
  const auto drawn = words(rng_key, row, pass, purpose, index);
  return unit_ratio(drawn[0], drawn[1]);
}

double RandomStream::normal_ratio(Purpose purpose, std::uint64_t index) const {
  const auto drawn = words(rng_key, row, pass, purpose, index);
  // (0, 1]: the logarithm stays finite
  const double above_zero_ratio = unit_ratio(drawn[0], drawn[1]) + 0x1p-53;
  const double angle_rad = 2.0 * shared::kPi_ratio * unit_ratio(drawn[2], drawn[3]);
  return std::sqrt(-2.0 * model::log_of(above_zero_ratio)) * model::cos_of(angle_rad);
}

std::uint64_t replica_key(std::uint64_t rng_key, std::uint64_t index) {
  if (index == 0) return rng_key;  // the first replica is the scenario as it stands
  const auto drawn = words(rng_key, 0xffffffffu, 0, Purpose{0}, index);
  return (static_cast<std::uint64_t>(drawn[0]) << 32) | drawn[1];
}

}  // namespace sim::bench
