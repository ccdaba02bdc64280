// What was applied: for each row and each second of a pass, where the row was, what rate was set,
// and what it laid.
//
//   place     of the row's outlet side in the field: metres east and north of the start of the
//             machine's middle, which sets out to the north
//   seeds     that passed the sensor in the second; missed: sensed ones among them without a band
//   bands     whose opening was commanded in the second; all their liquid counts there
//   in band   set: rate.in_band or that of the zone, its mean over the second. applied: dose of
//             the bands over their commanded length and the row's width
//   field     set: in band times band length over spacing. applied: dose of the bands over the way
//             of the row in the second and its width
//   events    event codes that the row's controller reported in it
//
// Shapes   rows in order, seconds in order; the last second may be short
// Errors   none: a rate without a band or a way is empty in the CSV
// Checked  tests/sim/study/run/applied_test.cc
#pragma once

#include <map>
#include <string>
#include <vector>

#include "model/machine/travel.h"
#include "sim/study/run/run.h"

namespace sim::run {

struct AppliedSecond {
  int row = 0;
  double from_s = 0.0, until_s = 0.0;
  double east_m = 0.0, north_m = 0.0;  // at from_s
  double way_m = 0.0;                  // along the row's track
  double in_band_set_m3pm2 = 0.0, in_band_m3pm2 = statistics::kNone_ratio;
  double field_set_m3pm2 = 0.0, field_m3pm2 = statistics::kNone_ratio;
  double volume_m3 = 0.0;
  int seeds = 0, missed = 0, bands = 0, events = 0;
};

std::vector<AppliedSecond> applied_of(const RunResult& result);
std::string applied_csv(const RunResult& result);
std::string applied_header();
std::string applied_line(const AppliedSecond& one);

/// The seconds of one row, as its seeds and bands come in order of time: only seconds that are not
/// over are kept.
class AppliedRow {
 public:
  AppliedRow(const scenario::Scenario& scenario, int row);
  void take(const measure::SeedRecord& seed);
  void take(const measure::BandRecord& band);
  void take(const measure::EventMark& event);
  /// The seconds before `second` that have not been handed over yet. `end_s`: of the pass.
  std::vector<AppliedSecond> before(std::size_t second, double end_s);
  /// All that are left; what came after the pass's end counts in its last second.
  std::vector<AppliedSecond> rest(double end_s);

 private:
  /// Where the machine's middle is at the start of the next second.
  struct Place {
    double east_m = 0.0, north_m = 0.0, heading_rad = 0.0;
  };
  AppliedSecond& at(double at_s);
  void finish(AppliedSecond& one, std::size_t second, double end_s) const;
  void walk_a_second();

  scenario::Scenario scenario_;
  model::Travel travel_;
  int row_;
  double y_m_;
  Place place_;
  std::size_t next_ = 0;
  std::map<std::size_t, AppliedSecond> open_;
};

}  // namespace sim::run
