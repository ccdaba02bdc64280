// What a pass recorded of each row: seeds and bands, plain tables. Everything that is measured is
// measured from these tables. Times are bench time in seconds from run start; places are in the
// ground frame along the row's own track.
//
// Checked  tests/sim/measure/placement_test.cc
#pragma once

#include <cstdint>
#include <vector>

#include "shared/controller_abi.h"
#include "sim/measure/row_signals.h"
#include "sim/statistics/none.h"

namespace sim::measure {

enum class SeedStatus : std::uint8_t {
  kBanded,      // has a band of its own
  kMerged,      // lies in a stretch that serves several: the valve could not close between them
  kShared,      // has no band of its own, but lies within the band of another seed
  kEdgeMissed,  // the sensor raised no edge for it, and no band is matched to it
  kNoBand,      // sensed, but no band is matched to it
  kWeak,        // matched to a band of less than half the commanded dose
};

struct SeedRecord {
  double edge_s =
      statistics::kNone_ratio;  // true instant at the sensor (also when the sensor missed it)
  double rest_x_ground_m = 0.0;
  bool sensed = false;
  // which seed of the row it is: counterfactual passes may leave seeds out or put more in between,
  // and the others keep their number and with it their draws
  std::uint64_t number = 0;
  // filled by measure/placement
  SeedStatus status = SeedStatus::kNoBand;
  int band = -1;                                       // index into bands, or -1
  double placement_error_m = statistics::kNone_ratio;  // band centre less seed; merged: none
  double on_target_ratio =
      statistics::kNone_ratio;  // share of the band's dose within +-B/2 of the seed
};

struct BandRecord {
  double open_s = 0.0;  // instants of the commands
  double close_s = 0.0;
  double start_x_ground_m = statistics::kNone_ratio;
  double end_x_ground_m = statistics::kNone_ratio;
  double centre_x_ground_m = statistics::kNone_ratio;
  double dose_m3 = 0.0;
  double set_ratio = 1.0;  // rate that was set at open_s, over rate.in_band
  double secondary_ratio = 0.0;
  // deposit seen from the seeds that lie near it, recorded while the parcels are at hand
  int nearest_seed = -1;         // by |centre - rest|
  double on_target_ratio = 0.0;  // of nearest_seed
  int first_covered = -1;        // index into the row's covered list below
  int covered_count = 0;
  // filled by measure/placement
  bool stray = false;   // matched to no seed
  bool merged = false;  // one pulse that serves several sensed seeds
  int first_seed = -1;  // of a merged stretch, in order of rest place
  int last_seed = -1;
  bool merge_lawful = true;  // the valve could not close between any two of its seeds
};

/// For a seed whose +-B/2 meets a band: the share of it that is covered at half the wanted line
/// density or more.
struct CoveredSeed {
  int seed = 0;
  double covered_ratio = 0.0;
};

/// An event code that the row's controller reported (enum sillion_event).
struct EventMark {
  double at_s = 0.0;
  std::uint64_t code = 0;
  std::int32_t a = 0, b = 0;  // as enum sillion_event states them
};

/// Line density over a stretch of one row, for the drawing of the furrow; empty: none was kept.
struct DensityWindow {
  double from_x_ground_m = 0.0;
  double cell_m = 1e-3;
  std::vector<double> volume_m3pm;
};

/// When the plunger came to its stop after an on command; not-a-number: it did not, up to now.
struct PulseOpening {
  double command_s = 0.0;
  double stop_s = statistics::kNone_ratio;
};

/// What the coil did, kept where it is asked for.
struct CoilRecord {
  double step_s = 0.0;           // between two samples of the current; 0: none are kept
  std::vector<float> current_a;  // from bench time 0 on, a sample at each multiple of step_s
  std::vector<PulseOpening> openings;
};

struct RowRecord {
  int first_seed = 0;  // of the row, that stands here; those before it were let go (let_go.h)
  int first_band = 0;
  std::vector<SeedRecord> seeds;     // in order of release
  std::vector<BandRecord> bands;     // in order of time
  std::vector<CoveredSeed> covered;  // in order of bands
  DensityWindow density;
  double shortest_closed_s = 0.0;  // the valve's measured shortest closed time
  double applied_volume_m3 = 0.0;  // out of the outlet
  double worked_volume_m3 = 0.0;   // of it, landed from work_start_x_m to work_end_x_m
  double outside_volume_m3 = 0.0;  // landed outside all wanted bands (+-B/2 of every seed)
  double outward_sum_m4 = 0.0;     // landed outside the track, in a curve: sum of distance * volume
  double outward_max_m = 0.0;      // the farthest
  double inlet_volume_m3 = 0.0;
  double balance_residual_m3 = 0.0;             // in - out - stored
  double air_from_s = statistics::kNone_ratio;  // the tank is empty: air at the hose's inlet
  double dry_from_s =
      statistics::kNone_ratio;     // the liquid in hose and tube is used up: nothing leaves
  double jet_speed_sum_mps = 0.0;  // volume-weighted: sum of speed * volume
  double jet_speed_max_mps = 0.0;
  double travelled_m = 0.0;  // at work: from half a spacing before the first seed at rest to half
                             // a spacing after the last
  double work_start_x_m = 0.0;
  double work_end_x_m = 0.0;
  std::int64_t steps = 0;
  sillion_health health{};
  RowSignals signals;  // kept only for requirements over time
  std::vector<EventMark> events;
  CoilRecord coil;
};

/// Whether the seed has a band of its own, strong or weak, and which.
inline bool has_own_band(const SeedRecord& seed) {
  return seed.status == SeedStatus::kBanded || seed.status == SeedStatus::kWeak;
}
inline const BandRecord& band_of(const RowRecord& row, const SeedRecord& seed) {
  return row.bands[static_cast<std::size_t>(seed.band)];
}

/// Time history of one pulse for the report and for explain: all vectors of one length.
struct PulseHistory {
  std::vector<double> time_s;
  std::vector<double> command_ratio;  // 1 while the bridge drives
  std::vector<double> current_a;
  std::vector<double> lift_m;
  std::vector<double> valve_flow_m3ps;
  std::vector<double> outlet_flow_m3ps;
  std::vector<double> valve_exit_pressure_pa;
  std::vector<double> x_landing_ground_m;  // of what leaves now; not-a-number when nothing does
};

}  // namespace sim::measure
