// What a recording says of the pins of real controllers, for a pass that plays it in place of its
// own: the seeds are those that raised the recorded edges, and the recorded drive moves the valve.
//
//   The recording knows no seed that its sensor missed, and a seed passes the sensor when its edge
//   rises. Delivery, row and ground are those of the scenario.
//
// Time     bench time, in order; `drives` do not overlap
// Parts    a long recording is handed over in parts by a PlayedFeed, and the pass lets go of what
//          it has finished, so that memory does not grow with the recording
// Valid    in parts only while the machine drives forward: backwards, all parts are held
// Checked  tests/sim/study/score/score_test.cc, tests/sim/study/score/score_parts_test.cc
#pragma once

#include <limits>
#include <vector>

#include "shared/controller_abi.h"
#include "sim/bench/seed_way.h"
#include "sim/measure/record.h"

namespace sim::bench {

struct DrivenTime {
  double on_s = 0.0;
  double off_s = 0.0;  // infinite while it is not known
};

struct PlayedRow {
  std::vector<EdgePair> edges;  // of the sensor; its seeds are numbered as they stand here
  std::vector<DrivenTime> drives;
};

struct Played {
  std::vector<PlayedRow> rows;
  /// What the bridge does while the drive is on, and when it goes off.
  sillion_bridge_command on{SILLION_BRIDGE_DRIVE, 32768, 0};
  sillion_bridge_command off{SILLION_BRIDGE_FAST_DECAY, 0, 0};
  double end_s = 0.0;  // of the recording, or of what is known of it
};

/// What a recording brings of one row after that which was handed over before.
struct PlayedPart {
  /// When the drive went off that was on at the end of what came before; not-a-number: it is still
  /// on, or none was.
  double before_off_s = statistics::kNone_ratio;
  std::vector<EdgePair> edges;
  std::vector<DrivenTime> drives;
};

/// A row of a pass under way, as it stands when a part of its recording has been run.
struct RowStretch {
  const measure::RowRecord* record = nullptr;
  double final_x_m = 0.0;  // every seed and every band that begins behind this place stands in it
};

/// Seeds and bands that lie further apart have nothing to do with each other: a jet's reach, an
/// outlet's offset, five spacings to either side for a seed's neighbours, and their scatter.
double met_around_m(const scenario::Scenario& scenario);

/// Hands a pass its recording in parts and sees what the pass has finished.
class PlayedFeed {
 public:
  virtual ~PlayedFeed() = default;
  struct More {
    std::vector<PlayedPart> rows;  // by index
    double known_s = 0.0;          // all before it has been handed over
    bool ended = false;            // nothing comes behind it
  };
  /// Reads on until the recording is known up to `until_s`, or ends.
  virtual More read_on(double until_s) = 0;
  /// Sees all rows; returns of each the place behind which it needs no seeds and bands any more.
  virtual std::vector<double> needed_from_m(const std::vector<RowStretch>& rows) = 0;
};

}  // namespace sim::bench
