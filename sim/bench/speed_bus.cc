#include "sim/bench/speed_bus.h"

#include <algorithm>
#include <cmath>

#include "shared/row_frames.h"
#include "shared/units.h"

namespace sim::bench {
namespace {

constexpr std::uint8_t kBusSender = 254;
constexpr double kLargestSignal_counts = 64255.0;  // 0xFAFF: above it stand error and not-available

void put16(std::uint8_t* bytes, std::uint32_t value) {
  bytes[0] = static_cast<std::uint8_t>(value & 0xffu);
  bytes[1] = static_cast<std::uint8_t>((value >> 8) & 0xffu);
}

std::uint32_t counts(double value, double per_count) {
  return static_cast<std::uint32_t>(
      std::clamp(std::floor(value / per_count + 0.5), 0.0, kLargestSignal_counts));
}

}  // namespace

std::vector<sillion_frame> bus_frames(const model::SpeedSignal& signal, long long sample,
                                      const RandomStream& stream) {
  const double draw_ratio =
      stream.normal_ratio(Purpose::kSpeedNoise, static_cast<std::uint64_t>(sample));
  const model::SpeedReading reading = model::speed_sample(signal, sample, draw_ratio);

  sillion_frame speed{};
  speed.id = SILLION_BUS_GROUND_SPEED;
  speed.length = 8;
  speed.sender = kBusSender;
  std::fill_n(speed.bytes, 8, std::uint8_t{0xff});
  put16(speed.bytes, counts(std::abs(reading.speed_mps), 0.001));
  speed.bytes[7] = static_cast<std::uint8_t>(0xfcu | (reading.speed_mps < 0.0 ? 0u : 1u));

  sillion_frame course{};
  course.id = SILLION_BUS_COURSE_SPEED;
  course.length = 8;
  course.sender = kBusSender;
  std::fill_n(course.bytes, 8, std::uint8_t{0xff});
  const double turn_rad = 2.0 * shared::kPi_ratio;
  const double moves_rad = reading.course_rad + (reading.speed_mps < 0.0 ? 0.5 * turn_rad : 0.0);
  const double course_rad = moves_rad - turn_rad * std::floor(moves_rad / turn_rad);
  course.bytes[1] = 0xfc;
  put16(course.bytes + 2, counts(course_rad, 1e-4) % 62832u);
  put16(course.bytes + 4, counts(std::abs(reading.speed_mps), 0.01));
  return {speed, course};
}

std::vector<sillion_frame> bent_frames(const std::vector<sillion_frame>& frames,
                                       const scenario::BusSeam& seam,
                                       std::vector<sillion_frame>& last) {
  const bool bent = seam.speed_counts >= 0 || seam.direction >= 0 || seam.stale ||
                    seam.course_lost || seam.speed_ratio != 1.0;
  if (!bent || last.empty()) last = frames;
  if (!bent) return frames;
  std::vector<sillion_frame> sent = seam.stale ? last : frames;
  for (sillion_frame& frame : sent) {
    if (frame.id != SILLION_BUS_GROUND_SPEED) continue;
    if (seam.speed_ratio != 1.0)
      put16(frame.bytes, counts((frame.bytes[0] + 256.0 * frame.bytes[1]) * seam.speed_ratio, 1.0));
    if (seam.speed_counts >= 0) put16(frame.bytes, static_cast<std::uint32_t>(seam.speed_counts));
    if (seam.direction >= 0)
      frame.bytes[7] = static_cast<std::uint8_t>(0xfcu | static_cast<unsigned>(seam.direction));
  }
  if (seam.course_lost)
    std::erase_if(sent, [](const auto& frame) { return frame.id == SILLION_BUS_COURSE_SPEED; });
  return sent;
}

}  // namespace sim::bench
