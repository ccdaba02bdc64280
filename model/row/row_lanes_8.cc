// 8 rows in double or 16 in float; CMakeLists.txt compiles this file for the processors that have
// such registers.
#include "model/row/row_lanes_body.h"

namespace model {

LaneForm lanes_8() { return {"8 rows, double, AVX-512", 8, false, make_steps<double, 8>}; }
LaneForm lanes_8_single() { return {"16 rows, float, AVX-512", 16, true, make_steps<float, 16>}; }

}  // namespace model
