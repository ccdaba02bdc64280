// Where the bands and seconds of a run lie on the earth: along the drive that a log recorded, or in
// a field of straight passes that is laid.
//
//   laid     the rows' places of applied.csv, which begin at the machine's middle and to the north
//   logged   the log's places for the machine's middle, and the rows square to its course. The
//            distance along a row stays that of the pass, whose seconds the log's places mark.
//
// Errors   InputError: a length of passes for a way that is not straight; a log of another drive
//          than that of the pass, or without places
// Checked  tests/sim/study/map/field_place_test.cc
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "sim/scenario/nmea_log.h"
#include "sim/study/map/kept_run.h"
#include "sim/study/map/laid_field.h"
#include "sim/study/map/local_plane.h"
#include "sim/study/map/row_track.h"

namespace sim::map {

/// When the pass began, by the clock of the map's files; the zero of ISO 11783-10 without a log.
struct MapClock {
  int day = 0;  // since 1980-01-01
  double time_of_day_s = 0.0;
};

class FieldPlace {
 public:
  static FieldPlace laid(const KeptRun& run, const FieldLayout& layout);
  static FieldPlace logged(const KeptRun& run, const scenario::NmeaDrive& drive,
                           const std::string& log);

  GeoPoint of_band(std::size_t row, double x_ground_m, std::size_t second) const;
  /// Both ends of what a row did in a second.
  GeoPoint from(std::size_t row, std::size_t second) const;
  GeoPoint until(std::size_t row, std::size_t second) const;
  /// Of the machine's middle; second may be the number of seconds: the end.
  GeoPoint of_machine(std::size_t second) const;
  const MapClock& clock() const { return clock_; }
  bool invented() const { return laid_ != nullptr; }
  /// How far row `row` stands to the right of the machine's middle.
  double right_m(std::size_t row) const { return right_m_[row]; }

 private:
  GeoPoint geo_of(const PlanePoint& place, double ahead_m) const;

  std::vector<RowTrack> tracks_;
  std::vector<double> right_m_;
  std::vector<PlanePoint> middle_;
  std::shared_ptr<const LaidField> laid_;
  std::shared_ptr<const LocalPlane> plane_;
  MapClock clock_;
};

}  // namespace sim::map
