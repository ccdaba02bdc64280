// 4 stations per register; CMakeLists.txt compiles this file for the processors that have them.
#include "model/fluid/line_wide_body.h"

namespace model {

LineKernels line_kernels_4() { return kernels_of<4>("AVX2"); }

}  // namespace model
