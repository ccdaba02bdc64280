#include "sim/bench/air_behind.h"

#include <algorithm>
#include <cmath>

#include "shared/units.h"

namespace sim::bench {
namespace {

double line_volume_m3(const model::Line& line) {
  return 0.25 * shared::kPi_ratio * line.bore_m * line.bore_m * line.length_m;
}

}  // namespace

void AirBehind::begin(double time_s, const model::RowUnitParams& path, double outlet_void_m3,
                      measure::RowRecord& record) {
  if (!std::isnan(record.air_from_s)) return;
  record.air_from_s = time_s;
  liquid_left_m3_ = line_volume_m3(path.hose) + line_volume_m3(path.tube) - outlet_void_m3;
}

void AirBehind::leave_out(double time_s, model::RowStepOutput& out, measure::RowRecord& record) {
  in_m3_ += out.inlet_volume_m3;
  out.inlet_volume_m3 = 0.0;
  const double liquid_m3 = std::min(out.jet_volume_m3, liquid_left_m3_);
  liquid_left_m3_ -= liquid_m3;
  out_m3_ += out.jet_volume_m3 - liquid_m3;
  out.outlet_flow_m3ps *= out.jet_volume_m3 > 0.0 ? liquid_m3 / out.jet_volume_m3 : 0.0;
  out.jet_volume_m3 = liquid_m3;
  if (liquid_left_m3_ > 0.0) return;
  out.outlet_flow_m3ps = 0.0;
  if (std::isnan(record.dry_from_s)) record.dry_from_s = time_s;
}

}  // namespace sim::bench
