// 8 stations per register; CMakeLists.txt compiles this file for the processors that have them.
#include "model/fluid/line_wide_body.h"

namespace model {

LineKernels line_kernels_8() { return kernels_of<8>("AVX-512"); }

}  // namespace model
