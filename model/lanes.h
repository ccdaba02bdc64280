// Several rows in one number: lane i of every value belongs to row i, and an operation acts on all
// lanes at once with the bits that it has for a single row.
//
// All names stand in an unnamed namespace. Each file that includes this header is compiled for its
// own processors, and a function that the linker shared between such files could carry instructions
// that the processor lacks; templates over a type of an unnamed namespace are never shared.
//
// Shapes   Number double or float; kWidth a power of two, of which one register is filled
// Errors   none
// Checked  tests/model/row/row_lanes_test.cc
#pragma once

#include <cstddef>
#include <cstdint>
#include <type_traits>

#include "model/number.h"
#include "model/reproducible_math.h"
#if defined(__x86_64__)
#include <immintrin.h>
#endif

namespace model {
namespace {

/// Whether any bit of a register is set.
template <class Pack>
[[gnu::always_inline]] inline bool any_bit(const Pack& bits) {
#if defined(__AVX512DQ__)
  if constexpr (sizeof(Pack) == 64) return _mm512_movepi32_mask((__m512i)bits) != 0;
#endif
#if defined(__AVX__)
  if constexpr (sizeof(Pack) == 32) return _mm256_testz_si256((__m256i)bits, (__m256i)bits) == 0;
#endif
#if defined(__SSE2__)
  if constexpr (sizeof(Pack) == 16) return _mm_movemask_epi8((__m128i)bits) != 0;
#endif
  constexpr int kCount = static_cast<int>(sizeof(Pack) / sizeof(bits[0]));
  bool found = false;
  for (int at = 0; at < kCount; ++at) found |= bits[at] != 0;
  return found;
}

/// What a comparison of lanes gives: all bits of a lane set, or none.
template <class Number, int kWidth>
struct LaneMask {
  using Word = std::conditional_t<sizeof(Number) == 8, std::int64_t, std::int32_t>;
  typedef Word Pack __attribute__((vector_size(sizeof(Number) * kWidth)));
  Pack bits;

  bool lane(int at) const { return bits[at] != 0; }
  void set_lane(int at, bool on) { bits[at] = on ? Word{-1} : Word{0}; }

  friend LaneMask operator&(const LaneMask& a, const LaneMask& b) { return {a.bits & b.bits}; }
  friend LaneMask operator|(const LaneMask& a, const LaneMask& b) { return {a.bits | b.bits}; }
  friend LaneMask operator!(const LaneMask& a) { return {~a.bits}; }
  friend bool any(const LaneMask& mask) { return any_bit(mask.bits); }
  friend bool all(const LaneMask& mask) { return !any_bit(~mask.bits); }
  friend LaneMask raised(const LaneMask& flag) { return flag; }
  friend void put_flag(LaneMask& flag, const LaneMask& up) { flag = up; }
};

/// A whole number per lane; `same` where all lanes have one.
template <int kWidth>
struct LaneWholes {
  int lanes[kWidth] = {};
  bool same = true;
};

template <class Number, int kWidth>
struct Lanes {
  typedef Number Pack __attribute__((vector_size(sizeof(Number) * kWidth)));
  using Mask = LaneMask<Number, kWidth>;
  using Wholes = LaneWholes<kWidth>;
  using Bits = typename Mask::Pack;
  static constexpr int width = kWidth;
  Pack numbers;

  Lanes() : numbers{} {}
  explicit Lanes(double same_ratio) : numbers(Pack{} + static_cast<Number>(same_ratio)) {}
  explicit Lanes(const Pack& pack) : numbers(pack) {}
  double lane(int at) const {  // tidy: unit is that of the value
    return static_cast<double>(numbers[at]);
  }
  void set_lane(int at, double to_ratio) { numbers[at] = static_cast<Number>(to_ratio); }

  friend Lanes operator+(const Lanes& a, const Lanes& b) { return Lanes(a.numbers + b.numbers); }
  friend Lanes operator-(const Lanes& a, const Lanes& b) { return Lanes(a.numbers - b.numbers); }
  friend Lanes operator*(const Lanes& a, const Lanes& b) { return Lanes(a.numbers * b.numbers); }
  friend Lanes operator/(const Lanes& a, const Lanes& b) { return Lanes(a.numbers / b.numbers); }
  friend Lanes operator-(const Lanes& a) { return Lanes(-a.numbers); }
  friend Mask operator<(const Lanes& a, const Lanes& b) { return {a.numbers < b.numbers}; }
  friend Mask operator>(const Lanes& a, const Lanes& b) { return {a.numbers > b.numbers}; }
  friend Mask operator<=(const Lanes& a, const Lanes& b) { return {a.numbers <= b.numbers}; }
  friend Mask operator>=(const Lanes& a, const Lanes& b) { return {a.numbers >= b.numbers}; }
  friend Mask operator==(const Lanes& a, const Lanes& b) { return {a.numbers == b.numbers}; }

  friend Lanes select(const Mask& mask, const Lanes& yes, const Lanes& no) {
    return Lanes(mask.bits ? yes.numbers : no.numbers);
  }
  friend Lanes max_of(const Lanes& a, const Lanes& b) {
    return Lanes(a.numbers > b.numbers ? a.numbers : b.numbers);
  }
  friend Lanes min_of(const Lanes& a, const Lanes& b) {
    return Lanes(a.numbers < b.numbers ? a.numbers : b.numbers);
  }
  friend Lanes abs_of(const Lanes& a) { return Lanes((Pack)((Bits)a.numbers & size_bits())); }
  friend Lanes signed_like(const Lanes& size, const Lanes& sign) {
    return Lanes((Pack)(((Bits)size.numbers & size_bits()) | ((Bits)sign.numbers & ~size_bits())));
  }
  friend Lanes sqrt_of(const Lanes& a) { return Lanes(root_of(a.numbers)); }

  // What is rare goes lane by lane through the function of one row.
  template <class Function>
  static Lanes lane_by_lane(const Lanes& a, const Function& function) {
    Lanes results;
    for (int at = 0; at < kWidth; ++at) results.set_lane(at, function(a.lane(at)));
    return results;
  }
  friend Lanes expm1_of(const Lanes& a) {
    return lane_by_lane(a, [](double x_ratio) { return Sleef_cinz_expm1d1_u10purec(x_ratio); });
  }
  friend Lanes log1p_of(const Lanes& a) {
    return lane_by_lane(a, [](double x_ratio) { return Sleef_cinz_log1pd1_u10purec(x_ratio); });
  }

 private:
  /// All bits of a number but its sign.
  static Bits size_bits() {
    using Word = typename Mask::Word;
    return Bits{} + static_cast<Word>(sizeof(Number) == 8 ? 0x7fffffffffffffffLL : 0x7fffffff);
  }

  static Pack root_of(const Pack& a) {
    constexpr bool kDouble = sizeof(Number) == 8;
#if defined(__AVX512F__)
    if constexpr (sizeof(Pack) == 64) {
      if constexpr (kDouble) return (Pack)_mm512_maskz_sqrt_pd(0xff, (__m512d)a);
      return (Pack)_mm512_maskz_sqrt_ps(0xffff, (__m512)a);
    }
#endif
#if defined(__AVX__)
    if constexpr (sizeof(Pack) == 32) {
      if constexpr (kDouble) return (Pack)_mm256_sqrt_pd((__m256d)a);
      return (Pack)_mm256_sqrt_ps((__m256)a);
    }
#endif
#if defined(__SSE2__)
    if constexpr (sizeof(Pack) == 16) {
      if constexpr (kDouble) return (Pack)_mm_sqrt_pd((__m128d)a);
      return (Pack)_mm_sqrt_ps((__m128)a);
    }
#endif
    Pack roots;
    for (int at = 0; at < kWidth; ++at)
      roots[at] = static_cast<Number>(__builtin_sqrt(static_cast<double>(a[at])));
    return roots;
  }
};

}  // namespace
}  // namespace model
