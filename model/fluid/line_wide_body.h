// The loops of model/fluid/line_wide.h, written once for every width of register.
//
// Each of line_wide_2.cc, _4 and _8 includes this file and is compiled for its own processors. All
// names stand in an unnamed namespace: a function that the linker shared between these files could
// carry instructions that the processor lacks.
//
// Errors   none
// Checked  tests/model/fluid/line_wide_test.cc
#pragma once

#include <cstddef>
#include <cstdint>

#include "model/fluid/line_wide.h"

namespace model {
namespace {

template <int kWidth>
struct Wide {
  typedef double Reals __attribute__((vector_size(8 * kWidth)));
  typedef std::int64_t Masks __attribute__((vector_size(8 * kWidth)));
};
template <>
struct Wide<1> {
  typedef double Reals;
  typedef std::int64_t Masks;
};

template <class Pack, class From>
[[gnu::always_inline]] inline Pack loaded(const From* from) {
  Pack pack;
  __builtin_memcpy(&pack, from, sizeof(Pack));
  return pack;
}
template <class Pack, class To>
[[gnu::always_inline]] inline void stored(To* to, const Pack& pack) {
  __builtin_memcpy(to, &pack, sizeof(Pack));
}

/// Sum over the lanes, halves first. The order differs from width to width: good for sums of which
/// only the sign counts.
template <int kWidth>
[[gnu::always_inline]] inline double folded_m3(const typename Wide<kWidth>::Reals& wide_m3) {
  if constexpr (kWidth == 1) {
    return wide_m3;
  } else {
    typename Wide<kWidth / 2>::Reals low_m3, high_m3;
    __builtin_memcpy(&low_m3, &wide_m3, sizeof(low_m3));
    __builtin_memcpy(&high_m3, reinterpret_cast<const char*>(&wide_m3) + sizeof(low_m3),
                     sizeof(high_m3));
    return folded_m3<kWidth / 2>(low_m3 + high_m3);
  }
}

/// Passes the stations from j on that fill one register.
template <int kWidth, std::size_t kTerms>
[[gnu::always_inline]] inline void pass_register(const StationView<double>& at, std::size_t j,
                                                 typename Wide<kWidth>::Reals& vapour_m3) {
  using Pack = typename Wide<kWidth>::Reals;
  const Pack zero = Pack{};
  const Pack f_pa = loaded<Pack>(at.f_in + j);
  const Pack g_pa = loaded<Pack>(at.g_in + j);
  const Pack before_m3ps = loaded<Pack>(at.flow + j);
  const Pack lost_pa = loaded<Pack>(at.weight + j) * loaded<Pack>(at.sum + j);
  const Pack kept_pa = loaded<Pack>(at.memory + j) * before_m3ps;
  const Pack difference_pa = f_pa - g_pa;
  const Pack q_m3ps = (difference_pa - lost_pa + kept_pa) * loaded<Pack>(at.inverse + j);
  const Pack change_m3ps = q_m3ps - before_m3ps;
  const Pack old_m3 = loaded<Pack>(at.cavity + j);
  const Pack grown_m3 = old_m3 + at.dt_over_z_m3ppa * (loaded<Pack>(at.boil + j) - (f_pa + g_pa));
  const Pack new_m3 = grown_m3 > zero ? grown_m3 : zero;
  const Pack growth_m3ps = (new_m3 - old_m3) * at.half_per_step_ps;
  const Pack f_leaves_pa = g_pa + at.twice_z_paspm3 * (q_m3ps + growth_m3ps);
  const Pack g_leaves_pa = f_pa - at.twice_z_paspm3 * (q_m3ps - growth_m3ps);
  stored(at.cavity + j, new_m3);
  stored(at.flow + j, q_m3ps);
  stored(at.drop + j, Pack(difference_pa - at.twice_z_paspm3 * q_m3ps));
  stored(at.f_out + j, f_leaves_pa);
  stored(at.g_out + j, g_leaves_pa);
  const Pack f_lowest_pa = loaded<Pack>(at.f_lowest + j);
  const Pack g_lowest_pa = loaded<Pack>(at.g_lowest + j);
  stored(at.f_lowest + j, Pack(f_lowest_pa < f_leaves_pa ? f_lowest_pa : f_leaves_pa));
  stored(at.g_lowest + j, Pack(g_lowest_pa < g_leaves_pa ? g_lowest_pa : g_leaves_pa));
  Pack sum_pa = zero;
  const std::size_t terms = kTerms > 0 ? kTerms : at.terms;
  for (std::size_t k = 0; k < terms; ++k) {
    double* const memory_pa = at.z + k * at.count + j;
    const Pack z_pa = at.decay[k] * loaded<Pack>(memory_pa) + at.gain[k] * change_m3ps;
    stored(memory_pa, z_pa);
    sum_pa = sum_pa + z_pa;
  }
  stored(at.sum + j, sum_pa);
  vapour_m3 = vapour_m3 + new_m3;
}

/// Passes the stations from j on: as many whole registers as there are, then narrower ones.
template <int kWidth, std::size_t kTerms>
[[gnu::always_inline]] inline double pass_from_m3(const StationView<double>& at, std::size_t j) {
  typename Wide<kWidth>::Reals wide_m3{};
  for (; j + kWidth <= at.count; j += kWidth) pass_register<kWidth, kTerms>(at, j, wide_m3);
  if constexpr (kWidth == 1) {
    return wide_m3;
  } else {
    const double vapour_m3 = folded_m3<kWidth>(wide_m3);
    return j < at.count ? vapour_m3 + pass_from_m3<kWidth / 2, kTerms>(at, j) : vapour_m3;
  }
}

template <int kWidth>
double pass_all_m3(const StationView<double>& of_row) {
  const StationView<double> at = of_row;  // no store of a wave can change this copy
  if (at.terms == 5) return pass_from_m3<kWidth, 5>(at, 0);
  if (at.terms == 6) return pass_from_m3<kWidth, 6>(at, 0);
  return pass_from_m3<kWidth, 0>(at, 0);
}

template <int kWidth>
[[gnu::always_inline]] inline double lowest_from_pa(const LowestView& at, std::size_t i,
                                                    double lowest_pa) {
  using Pack = typename Wide<kWidth>::Reals;
  Pack all_pa = Pack{} + lowest_pa;
  for (; i + kWidth <= at.segments; i += kWidth) {
    const Pack f_pa = loaded<Pack>(at.f_pa + i), f_before_pa = loaded<Pack>(at.f_before_pa + i);
    const Pack g_pa = loaded<Pack>(at.g_pa + i), g_before_pa = loaded<Pack>(at.g_before_pa + i);
    const Pack meet_pa =
        (f_pa < f_before_pa ? f_pa : f_before_pa) + (g_pa < g_before_pa ? g_pa : g_before_pa);
    all_pa = all_pa < meet_pa ? all_pa : meet_pa;
  }
  if constexpr (kWidth == 1) {
    return all_pa;
  } else {
    for (int lane = 0; lane < kWidth; ++lane)
      lowest_pa = lowest_pa < all_pa[lane] ? lowest_pa : all_pa[lane];
    return i < at.segments ? lowest_from_pa<kWidth / 2>(at, i, lowest_pa) : lowest_pa;
  }
}

template <int kWidth>
double lowest_of_all_pa(const LowestView& at) {
  return lowest_from_pa<kWidth>(at, 0, kNoWave_pa);
}

/// Scans the nodes of the segments from i on that fill one register; i is never the first segment.
template <int kWidth>
[[gnu::always_inline]] inline void scan_register(const NodesView& at, std::size_t i,
                                                 std::int64_t* low) {
  using Pack = typename Wide<kWidth>::Reals;
  using Mask = typename Wide<kWidth>::Masks;
  const Mask scanned = loaded<Mask>(low + i);
  const Pack zero = Pack{};
  const Pack before_pa = loaded<Pack>(at.drop_pa + i - 1);
  const Pack after_pa = loaded<Pack>(at.drop_pa + i);
  const double z_per_step_papm3 = 1.0 / at.dt_over_z_m3ppa;  // tidy: unit Pa/m3
  Pack boils_pa = loaded<Pack>(at.first_boil_pa + i);
  Pack held_m3 = zero;
  for (std::size_t m = 1; m < at.delay; ++m) {
    const std::size_t node = (m - 1) * at.stride + i;
    double* const f_at_pa = at.f_pa + ((at.step - m) & at.mask) * at.stride + i;
    double* const g_at_pa = at.g_pa + ((at.step - at.delay + m) & at.mask) * at.stride + i;
    const Pack f_pa = loaded<Pack>(f_at_pa), g_pa = loaded<Pack>(g_at_pa);
    const Pack twice_pa = f_pa + g_pa + loaded<Pack>(at.before_ratio + node) * before_pa -
                          loaded<Pack>(at.after_ratio + node) * after_pa;
    const Pack old_m3 = loaded<Pack>(at.cavity_m3 + node);
    boils_pa = boils_pa + at.twice_cell_head_pa;
    const Pack grown_m3 = old_m3 + at.dt_over_z_m3ppa * (boils_pa - twice_pa);
    const Pack new_m3 = grown_m3 > zero ? grown_m3 : zero;
    const Pack rise_pa = (new_m3 - old_m3) * z_per_step_papm3;
    stored(f_at_pa, Pack(scanned ? f_pa + rise_pa : f_pa));
    stored(g_at_pa, Pack(scanned ? g_pa + rise_pa : g_pa));
    const Pack kept_m3 = scanned ? new_m3 : old_m3;
    stored(at.cavity_m3 + node, kept_m3);
    held_m3 = held_m3 + kept_m3;
  }
  if constexpr (kWidth == 1) {
    low[i] = held_m3 > 0.0 ? -1 : 0;
  } else {
    stored(low + i, Mask(held_m3 > zero));
  }
}

template <int kWidth>
[[gnu::always_inline]] inline void scan_from(const NodesView& at, std::size_t i, std::size_t to,
                                             std::int64_t* low) {
  for (; i + kWidth <= to; i += kWidth) {
    std::int64_t any_low = 0;
    for (int lane = 0; lane < kWidth; ++lane) any_low |= low[i + static_cast<std::size_t>(lane)];
    if (any_low != 0) scan_register<kWidth>(at, i, low);
  }
  if constexpr (kWidth > 1) {
    if (i < to) scan_from<kWidth / 2>(at, i, to, low);
  }
}

template <int kWidth>
void scan_all(const NodesView& of_row, std::size_t from, std::size_t to, std::int64_t* low) {
  const NodesView at = of_row;
  scan_from<kWidth>(at, from, to, low);
}

template <int kWidth>
constexpr LineKernels kernels_of(const char* name) {
  return {name, kWidth, pass_all_m3<kWidth>, lowest_of_all_pa<kWidth>, scan_all<kWidth>};
}

}  // namespace
}  // namespace model
