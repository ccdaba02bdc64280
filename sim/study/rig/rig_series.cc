#include "sim/study/rig/rig_series.h"

#include "shared/units.h"

namespace sim::rig {

output::ShownUnit shown_unit_of(text::Kind kind, output::Units units) {
  const bool us = units == output::Units::kUs;
  switch (kind) {
    case text::Kind::kPressure: return output::shown_unit(output::Measure::kPressure, units);
    case text::Kind::kFlow: return output::shown_unit(output::Measure::kFlow, units);
    case text::Kind::kCurrent: return {"A", 1.0, 0.0, 1};
    case text::Kind::kLength:
      return us ? output::ShownUnit{"in", 1.0 / shared::kInch_m, 0.0, 4}
                : output::ShownUnit{"mm", 1e3, 0.0, 2};
    default:
      return us ? output::ShownUnit{"0.001 fl oz", 1e3 / shared::kFluidOunce_m3, 0.0, 3}
                : output::ShownUnit{"mm³", 1e9, 0.0, 1};
  }
}

}  // namespace sim::rig
