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
#include "model/lanes.h"
#include "model/number.h"

namespace model {
namespace {

/// kWidth doubles in one register.
template <int kWidth>
struct WideOf {
  using Pack = Lanes<double, kWidth>;
  using Flags = LaneMask<double, kWidth>;
};
template <>
struct WideOf<1> {
  using Pack = double;
  using Flags = std::int64_t;
};
template <int kWidth>
using Wide = typename WideOf<kWidth>::Pack;

template <class Pack, class From>
[[gnu::always_inline]] inline Pack loaded(const From* from) {
  Pack pack;
  __builtin_memcpy(static_cast<void*>(&pack), from, sizeof(Pack));
  return pack;
}
template <class Pack, class To>
[[gnu::always_inline]] inline void stored(To* to, const Pack& pack) {
  __builtin_memcpy(to, &pack, sizeof(Pack));
}

/// Sum over the lanes, halves first. The order differs from width to width: good for sums of which
/// only the sign counts.
template <int kWidth>
[[gnu::always_inline]] inline double folded_m3(const Wide<kWidth>& wide_m3) {
  if constexpr (kWidth == 1) {
    return wide_m3;
  } else {
    Wide<kWidth / 2> low_m3, high_m3;
    __builtin_memcpy(static_cast<void*>(&low_m3), &wide_m3, sizeof(low_m3));
    __builtin_memcpy(static_cast<void*>(&high_m3),
                     reinterpret_cast<const char*>(&wide_m3) + sizeof(low_m3), sizeof(high_m3));
    return folded_m3<kWidth / 2>(low_m3 + high_m3);
  }
}

/// Passes the stations from j on that fill one Pack: neighbours of one row (Real is double), or one
/// station of several rows (Pack and Real are the same lanes).
template <class Pack, class Real, std::size_t kTerms>
[[gnu::always_inline]] inline void pass_register(const StationView<Real>& at, std::size_t j,
                                                 Pack& vapour_m3) {
  const Pack twice_z_paspm3(at.twice_z_paspm3);
  const Pack f_pa = loaded<Pack>(at.f_in + j);
  const Pack g_pa = loaded<Pack>(at.g_in + j);
  const Pack before_m3ps = loaded<Pack>(at.flow + j);
  const Pack lost_pa = loaded<Pack>(at.weight + j) * loaded<Pack>(at.sum + j);
  const Pack kept_pa = loaded<Pack>(at.memory + j) * before_m3ps;
  const Pack difference_pa = f_pa - g_pa;
  const Pack q_m3ps = (difference_pa - lost_pa + kept_pa) * loaded<Pack>(at.inverse + j);
  const Pack change_m3ps = q_m3ps - before_m3ps;
  const Pack old_m3 = loaded<Pack>(at.cavity + j);
  const Pack grown_m3 =
      old_m3 + Pack(at.dt_over_z_m3ppa) * (loaded<Pack>(at.boil + j) - (f_pa + g_pa));
  const Pack new_m3 = max_of(grown_m3, Pack(0.0));
  const Pack growth_m3ps = (new_m3 - old_m3) * Pack(at.half_per_step_ps);
  const Pack f_leaves_pa = g_pa + twice_z_paspm3 * (q_m3ps + growth_m3ps);
  const Pack g_leaves_pa = f_pa - twice_z_paspm3 * (q_m3ps - growth_m3ps);
  stored(at.cavity + j, new_m3);
  stored(at.flow + j, q_m3ps);
  stored(at.drop + j, Pack(difference_pa - twice_z_paspm3 * q_m3ps));
  stored(at.f_out + j, f_leaves_pa);
  stored(at.g_out + j, g_leaves_pa);
  stored(at.f_lowest + j, Pack(min_of(loaded<Pack>(at.f_lowest + j), f_leaves_pa)));
  stored(at.g_lowest + j, Pack(min_of(loaded<Pack>(at.g_lowest + j), g_leaves_pa)));
  Pack sum_pa(0.0);
  const std::size_t terms = kTerms > 0 ? kTerms : at.terms;
  for (std::size_t k = 0; k < terms; ++k) {
    Real* const memory_pa = at.z + k * at.count + j;
    const Pack z_pa = Pack(at.decay[k]) * loaded<Pack>(memory_pa) + Pack(at.gain[k]) * change_m3ps;
    stored(memory_pa, z_pa);
    sum_pa = sum_pa + z_pa;
  }
  stored(at.sum + j, sum_pa);
  vapour_m3 = vapour_m3 + new_m3;
}

/// Passes the stations from j on: as many whole registers as there are, then narrower ones.
template <int kWidth, std::size_t kTerms>
[[gnu::always_inline]] inline double pass_from_m3(const StationView<double>& at, std::size_t j) {
  Wide<kWidth> wide_m3{};
  for (; j + kWidth <= at.count; j += kWidth)
    pass_register<Wide<kWidth>, double, kTerms>(at, j, wide_m3);
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
  using Pack = Wide<kWidth>;
  Pack all_pa(lowest_pa);
  for (; i + kWidth <= at.segments; i += kWidth) {
    const Pack f_pa = loaded<Pack>(at.f_pa + i), f_before_pa = loaded<Pack>(at.f_before_pa + i);
    const Pack g_pa = loaded<Pack>(at.g_pa + i), g_before_pa = loaded<Pack>(at.g_before_pa + i);
    all_pa = min_of(all_pa, min_of(f_pa, f_before_pa) + min_of(g_pa, g_before_pa));
  }
  if constexpr (kWidth == 1) {
    return all_pa;
  } else {
    for (int lane = 0; lane < kWidth; ++lane) lowest_pa = min_of(lowest_pa, all_pa.lane(lane));
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
  using Pack = Wide<kWidth>;
  using Flags = typename WideOf<kWidth>::Flags;
  const auto scanned = raised(loaded<Flags>(low + i));
  const Pack before_pa = loaded<Pack>(at.drop_pa + i - 1);
  const Pack after_pa = loaded<Pack>(at.drop_pa + i);
  const Pack dt_over_z_m3ppa(at.dt_over_z_m3ppa);
  const Pack z_per_step_papm3(1.0 / at.dt_over_z_m3ppa);  // tidy: unit Pa/m3
  Pack boils_pa = loaded<Pack>(at.first_boil_pa + i);
  Pack held_m3(0.0);
  for (std::size_t m = 1; m < at.delay; ++m) {
    const std::size_t node = (m - 1) * at.stride + i;
    double* const f_at_pa = at.f_pa + ((at.step - m) & at.mask) * at.stride + i;
    double* const g_at_pa = at.g_pa + ((at.step - at.delay + m) & at.mask) * at.stride + i;
    const Pack f_pa = loaded<Pack>(f_at_pa), g_pa = loaded<Pack>(g_at_pa);
    const Pack twice_pa = f_pa + g_pa + loaded<Pack>(at.before_ratio + node) * before_pa -
                          loaded<Pack>(at.after_ratio + node) * after_pa;
    const Pack old_m3 = loaded<Pack>(at.cavity_m3 + node);
    boils_pa = boils_pa + Pack(at.twice_cell_head_pa);
    const Pack grown_m3 = old_m3 + dt_over_z_m3ppa * (boils_pa - twice_pa);
    const Pack new_m3 = max_of(grown_m3, Pack(0.0));
    const Pack rise_pa = (new_m3 - old_m3) * z_per_step_papm3;
    stored(f_at_pa, Pack(select(scanned, f_pa + rise_pa, f_pa)));
    stored(g_at_pa, Pack(select(scanned, g_pa + rise_pa, g_pa)));
    const Pack kept_m3 = select(scanned, new_m3, old_m3);
    stored(at.cavity_m3 + node, kept_m3);
    held_m3 = held_m3 + kept_m3;
  }
  Flags held{};
  put_flag(held, held_m3 > Pack(0.0));
  stored(low + i, held);
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
