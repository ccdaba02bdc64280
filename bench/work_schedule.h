// What a pass would take on more processors than this machine has: its pieces, as a trace on one
// thread shows them, are dealt to P processors under the rules of sim/bench/slot_crew.h.
//
//   in time   a free processor takes the piece that is furthest behind, of those that are ready
//   serial    what no piece covers (before, between and after them) runs on one processor
//   overhead  the time between two pieces of the trace, which every piece pays
//   left out  caches, memory and clock rates that processors share
#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

namespace bench {

struct Pieces {
  std::vector<double> made_s;                 // by row
  std::vector<std::vector<double>> of_row_s;  // by row and phase
  std::vector<double> between_s;              // by phase
  double serial_s = 0.0;
  double overhead_s = 0.0;  // of a piece
};

/// When the last of these pieces ends, dealt in their order, each to the processor that is free
/// first. None waits for another.
inline double dealt_s(const std::vector<double>& pieces_s, std::size_t processors) {
  std::vector<double> free_s(std::max<std::size_t>(1, processors), 0.0);
  for (const double piece_s : pieces_s) {
    auto first = std::min_element(free_s.begin(), free_s.end());
    *first += piece_s;
  }
  return *std::max_element(free_s.begin(), free_s.end());
}

/// The slots of all rows: phase p of a row waits for p - 1 of what lies between the rows, and that
/// for p - 1 of all rows.
inline double slots_s(const Pieces& pieces, std::size_t processors) {
  const std::size_t rows = pieces.of_row_s.size(), phases = pieces.between_s.size();
  std::vector<std::size_t> done(rows + 1, 0);
  std::vector<double> lane_free_s(rows + 1, 0.0), processor_s(processors, 0.0);
  std::vector<double> between_end_s(phases, 0.0), rows_end_s(phases, 0.0);
  for (std::size_t left = (rows + 1) * phases; left > 0; --left) {
    // The piece that can begin first, of these the one furthest behind; what lies between first.
    std::size_t best = rows + 1;
    double best_s = 0.0;
    for (std::size_t k = rows + 1; k-- > 0;) {
      const std::size_t phase = done[k];
      if (phase == phases) continue;
      double ready_s = lane_free_s[k];
      if (phase > 0 && k < rows) {
        if (done[rows] < phase) continue;
        ready_s = std::max(ready_s, between_end_s[phase - 1]);
      }
      if (phase > 0 && k == rows) {
        if (*std::min_element(done.begin(), done.end() - 1) < phase) continue;
        ready_s = std::max(ready_s, rows_end_s[phase - 1]);
      }
      if (best > rows || ready_s < best_s || (ready_s == best_s && phase < done[best]))
        best = k, best_s = ready_s;
    }
    auto free = std::min_element(processor_s.begin(), processor_s.end());
    const std::size_t phase = done[best]++;
    const double lasts_s =
        (best < rows ? pieces.of_row_s[best][phase] : pieces.between_s[phase]) + pieces.overhead_s;
    const double end_s = std::max(*free, best_s) + lasts_s;
    *free = lane_free_s[best] = end_s;
    if (best == rows)
      between_end_s[phase] = end_s;
    else
      rows_end_s[phase] = std::max(rows_end_s[phase], end_s);
  }
  return *std::max_element(lane_free_s.begin(), lane_free_s.end());
}

inline double pass_s(const Pieces& pieces, std::size_t processors) {
  return pieces.serial_s + dealt_s(pieces.made_s, processors) + slots_s(pieces, processors);
}

}  // namespace bench
