// The work of a line's step that is the same for all stations, several stations at a time.
//
// The widest registers that the processor has are chosen when the program starts: 2 stations (any
// processor), 4 (AVX2) or 8 (AVX-512). Every station sees the same operations in the same order, so
// all widths give the same bits; the rest of a row that fills no register goes down to the narrower
// ones.
//
// Layout   rows of waves hold one value per segment, memories [term][station]
// Errors   none
// Checked  tests/model/fluid/line_wide_test.cc
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

namespace model {

/// A flag of a segment is a mask of its lane in a register: -1 (all bits) or 0.
[[gnu::always_inline]] inline bool raised(std::int64_t flag) { return flag != 0; }
[[gnu::always_inline]] inline void put_flag(std::int64_t& flag, bool up) { flag = up ? -1 : 0; }

/// Higher than any wave: stands where no wave has left yet.
inline constexpr double kNoWave_pa = 1e300;

/// What the stations read and write in one step, taken out of plan and state once: a compiler
/// cannot know that a store of a wave leaves the plan's pointers alone.
template <class Real>
struct StationView {
  std::size_t count;
  std::size_t terms;
  Real twice_z_paspm3;
  Real dt_over_z_m3ppa;
  Real half_per_step_ps;
  const Real* boil;
  const Real* f_in;
  const Real* g_in;
  Real* f_out;
  Real* g_out;
  const Real* inverse;
  const Real* memory;
  const Real* weight;
  const Real* decay;
  const Real* gain;
  Real* sum;
  Real* flow;
  Real* cavity;
  Real* drop;
  Real* f_lowest;
  Real* g_lowest;
  Real* z;
};

/// Lowest waves in flight, by segment: of this block of steps and of the one before.
struct LowestView {
  std::size_t segments;
  const double* f_pa;
  const double* g_pa;
  const double* f_before_pa;
  const double* g_before_pa;
};

/// Nodes between the stations of the middle segments, which all have the same length.
struct NodesView {
  std::size_t step;
  std::size_t mask;  // rows of the ring less 1
  std::size_t stride;
  std::size_t delay;
  double dt_over_z_m3ppa;
  double twice_cell_head_pa;
  const double* first_boil_pa;  // twice the vapour pressure at the segment's start, by segment
  const double* drop_pa;        // friction of a station, by station
  const double* before_ratio;   // [node][segment]
  const double* after_ratio;
  double* f_pa;
  double* g_pa;
  double* cavity_m3;
};

struct LineKernels {
  const char* name;
  int width;  // stations per register
  /// Passes all stations; returns a sum of vapour volumes that is zero only if all are.
  double (*pass_stations)(const StationView<double>& at);
  /// Lowest sum of waves that may meet between two stations, over all segments.
  double (*lowest_meeting_pa)(const LowestView& at);
  /// Scans the nodes of segments [from, to) where low is -1 (all bits), leaves the others alone (0)
  /// and sets low to whether the segment holds vapour.
  void (*scan_nodes)(const NodesView& at, std::size_t from, std::size_t to, std::int64_t* low);
};

/// Those that this processor can run, the widest last; the first runs on any.
std::span<const LineKernels> line_kernels();

}  // namespace model
