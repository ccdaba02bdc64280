// How closely the reference forms integrate (model/integrate.h).
//
// Checked  tests/model/integrate_test.cc
#pragma once

namespace model {

struct Tolerance {
  double absolute_ratio = 1e-12;  // in the unit of each state
  double relative_ratio = 1e-9;
};

}  // namespace model
