// 2 rows in double or 4 in float; any processor.
#include "model/row/row_lanes_body.h"

namespace model {

LaneForm lanes_2() { return {"2 rows, double", 2, false, make_steps<double, 2>}; }
LaneForm lanes_2_single() { return {"4 rows, float", 4, true, make_steps<float, 4>}; }

}  // namespace model
