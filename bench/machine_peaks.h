// What this processor can do at most in registers of 8 doubles, measured by short kernels.
//
// Errors   measure_peaks returns false where the program was not compiled for such registers; it
//          must only be called on a processor that has them
// Checked  bench/roofline_bench.cc prints them
#pragma once

namespace bench {

struct MachinePeaks {
  // Bytes per ns, of data that fit the first or the second level of the cache.
  double first_load = 0.0, first_store = 0.0;    // tidy: unit B/ns
  double second_load = 0.0, second_store = 0.0;  // tidy: unit B/ns
  // Operations per ns, 8 per instruction: fused multiply-add counts as two. The model's code has no
  // fused ones, because contraction would change its bits.
  double fused_flops = 0.0, separate_flops = 0.0;  // tidy: unit 1/ns
  // From a value to the next one that waits for it.
  double root_and_division_ns = 0.0;  // x = 1 / (1 + sqrt(x)), its addition included
  double addition_ns = 0.0;           // x = x + c
};

bool measure_peaks(MachinePeaks& peaks);

}  // namespace bench
