#include "sim/study/map/laid_field.h"

#include <algorithm>
#include <cmath>

#include "model/reproducible_math.h"
#include "shared/units.h"

namespace sim::map {

LaidField::LaidField(const FieldLayout& layout, double machine_width_m)
    : plane_(layout.origin),
      pass_length_m_(layout.pass_length_m),
      machine_width_m_(machine_width_m),
      east_ratio_(model::sin_of(layout.heading_deg * shared::kPi_ratio / 180.0)),
      north_ratio_(model::cos_of(layout.heading_deg * shared::kPi_ratio / 180.0)) {}

long long LaidField::pass_of(double ahead_m) const {
  return pass_length_m_ > 0.0
             ? static_cast<long long>(std::floor(std::max(0.0, ahead_m) / pass_length_m_))
             : 0;
}

GeoPoint LaidField::at(const PlanePoint& place, long long pass) const {
  double right_m = place.east_m, ahead_m = place.north_m;
  if (pass_length_m_ > 0.0) {
    ahead_m -= static_cast<double>(pass) * pass_length_m_;
    if (pass % 2 != 0) {
      ahead_m = pass_length_m_ - ahead_m;
      right_m = -right_m;
    }
    right_m += static_cast<double>(pass) * machine_width_m_;
  }
  return plane_.geo_of({right_m * north_ratio_ + ahead_m * east_ratio_,
                        ahead_m * north_ratio_ - right_m * east_ratio_});
}

}  // namespace sim::map
