// 4 rows in double or 8 in float; CMakeLists.txt compiles this file for the processors that have
// such registers.
#include "model/row/row_lanes_body.h"

namespace model {

LaneForm lanes_4() { return {"4 rows, double, AVX2", 4, false, make_steps<double, 4>}; }
LaneForm lanes_4_single() { return {"8 rows, float, AVX2", 8, true, make_steps<float, 8>}; }

}  // namespace model
