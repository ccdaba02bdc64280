// What a pulse's record says of flows that are given here step by step.
#include "sim/bench/pulse_record.h"

#include <gtest/gtest.h>

#include <vector>

namespace {

using sim::bench::PulseRecord;
using sim::bench::RecordedPulse;

constexpr double kStep_s = 1e-3;

/// One pulse from 0 to 10 ms whose outlet flow in each step is given as share of the steady flow,
/// with the jet speed of each step.
RecordedPulse record(const std::vector<double>& flow_ratio, const std::vector<double>& jet_mps) {
  PulseRecord record({{.on_s = 0.0, .off_s = 10e-3}},
                     {.speed_mps = 4.0, .jet = {}, .dribble_mps = 0.5, .steady_m3ps = 1e-5});
  for (std::size_t k = 0; k < flow_ratio.size(); ++k) {
    model::RowStepOutput out;
    out.outlet_flow_m3ps = flow_ratio[k] * 1e-5;
    out.jet_volume_m3 = out.outlet_flow_m3ps * kStep_s;
    out.jet_speed_mps = jet_mps[k];
    record.take(static_cast<double>(k) * kStep_s, static_cast<double>(k + 1) * kStep_s, out);
  }
  return record.finish().front();
}

// Off at 10 ms; the flow falls between the middles 10.5 and 11.5 ms, comes back, and falls for good
// between 13.5 and 14.5 ms: half of the way at 14 ms.
TEST(PulseRecord, TheLagIsThatOfTheLastFallWhereTheFlowComesBack) {
  std::vector<double> flow_ratio(20, 0.0);
  for (int k = 2; k < 11; ++k) flow_ratio[static_cast<std::size_t>(k)] = 1.0;
  flow_ratio[12] = flow_ratio[13] = 1.0;
  const RecordedPulse pulse = record(flow_ratio, std::vector<double>(20, 3.0));
  EXPECT_NEAR(pulse.half_up_s, 2e-3, 1e-12);
  EXPECT_NEAR(pulse.half_down_s, 14e-3, 1e-12);
  EXPECT_EQ(pulse.half_falls, 2);
}

// The dribble behind a band is no part of its shape: start, end, centre and the mass quantiles all
// are those of the jet's liquid.
TEST(PulseRecord, QuantilesAndBandAreOfTheSameLiquid) {
  std::vector<double> flow_ratio(20, 0.0), jet_mps(20, 3.0);
  for (std::size_t k = 2; k < 10; ++k) flow_ratio[k] = 1.0;
  const RecordedPulse alone = record(flow_ratio, jet_mps);
  for (std::size_t k = 14; k < 20; ++k) flow_ratio[k] = 0.3, jet_mps[k] = 0.2;
  const RecordedPulse dribbling = record(flow_ratio, jet_mps);
  EXPECT_EQ(dribbling.x05_m, alone.x05_m);
  EXPECT_EQ(dribbling.x95_m, alone.x95_m);
  EXPECT_EQ(dribbling.band.end_x_ground_m, alone.band.end_x_ground_m);
  EXPECT_GT(dribbling.band.dose_m3, alone.band.dose_m3);
  EXPECT_GT(dribbling.x05_m, dribbling.band.start_x_ground_m);
  EXPECT_LT(dribbling.x95_m, dribbling.band.end_x_ground_m);
}

}  // namespace
