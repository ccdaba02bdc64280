// Instants and durations of the bench: integer nanoseconds, so that sums are exact and two clocks
// never mix.
//
//   instant - instant = duration      instant + duration = instant
//   seconds() only inside equations
//
// Range    +-292 years in nanoseconds
// Rounding duration_of, instant_of: to the nearest nanosecond, halves away from zero
// Checked  tests/shared/time_test.cc
#pragma once

#include <compare>
#include <cstdint>

namespace shared {

struct Duration {
  std::int64_t ns = 0;
  constexpr double seconds() const { return static_cast<double>(ns) * 1e-9; }
  friend constexpr auto operator<=>(Duration, Duration) = default;
  friend constexpr Duration operator+(Duration a, Duration b) { return {a.ns + b.ns}; }
  friend constexpr Duration operator-(Duration a, Duration b) { return {a.ns - b.ns}; }
  friend constexpr Duration operator*(Duration a, std::int64_t n) { return {a.ns * n}; }
};

struct Instant {
  std::int64_t ns = 0;
  constexpr double seconds() const { return static_cast<double>(ns) * 1e-9; }
  friend constexpr auto operator<=>(Instant, Instant) = default;
  friend constexpr Instant operator+(Instant at, Duration by) { return {at.ns + by.ns}; }
  friend constexpr Instant operator-(Instant at, Duration by) { return {at.ns - by.ns}; }
  friend constexpr Duration operator-(Instant a, Instant b) { return {a.ns - b.ns}; }
};

constexpr std::int64_t nanoseconds_of(double time_s) {
  const double ns = time_s * 1e9;
  return static_cast<std::int64_t>(ns < 0.0 ? ns - 0.5 : ns + 0.5);
}
constexpr Duration duration_of(double time_s) { return {nanoseconds_of(time_s)}; }
constexpr Instant instant_of(double time_s) { return {nanoseconds_of(time_s)}; }
constexpr Duration milliseconds(std::int64_t ms) { return {ms * 1'000'000}; }
constexpr Duration microseconds(std::int64_t us) { return {us * 1'000}; }

}  // namespace shared
