// `delay`: the delay table of an attachment, how far it can be trusted, and its valid box.
//
//   start    tune() on the nominal row: a table that is right within a few mm
//   fit      one pass per condition of the plan; the residuals of all passes correct law, lead, lag
//            and corrections at once (delay_fit.h)
//   trims    the rows of each report key lay a strip at the judged speed, with other seeds
//   report   the corrected table at speeds, temperatures, voltages, spacings and keys that took no
//            part in the fit: what error is left, and how much of it no delay can remove
//   box      one condition at a time is varied at the judged speed, until fewer than 95 % of the
//            seeds lie within 10 mm
//
//   residual         mean of the band's error; after trims: each row less its strip's mean
//   floor            sd about the mean of each row and speed: no delay and no trim removes it
//   flat             how far all delays may be off, either way, while 95 % still lie within 10 mm
//   smallest offset  outlet offset less v D(v): with that offset D is 0
//   smallest spacing B + v (T_lead - T_lag + shortest closed time)
//
// Errors   InputError of the plan; BenchError; Interrupted
// Checked  tests/sim/study/delay/delay_test.cc
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "sim/study/delay/delay_fit.h"
#include "sim/study/delay/measured_points.h"
#include "sim/study/run/run.h"

namespace sim::delay {

struct HeldShare {
  double tolerance_m = 0.0;
  double share_ratio = statistics::kNone_ratio;  // of sensed seeds
  double lower95_ratio = statistics::kNone_ratio;
  bool holds = false;  // the share itself, not its lower bound, is at least 95 %
};

struct DelaySpeed {
  double speed_mps = 0.0;
  double flow_m3ps = 0.0;
  double pressure_pa = 0.0;
  double delay_s = 0.0;
  double on_s = 0.0;
  double lead_s = 0.0, lag_s = 0.0;  // without the time of flight
  PlaceFound mean;                   // residual before trims; its interval takes rows as clusters
  double sd_m = 0.0;                 // of all seeds, before trims
  double trimmed_sd_m = 0.0;
  double trimmed_mean_m = statistics::kNone_ratio;  // of all seeds, with trims
  double floor_sd_m = 0.0;
  HeldShare plain[kTolerances];
  HeldShare trimmed[kTolerances];
  double smallest_spacing_m = 0.0;
  double smallest_offset_m = 0.0;
  double early_s = statistics::kNone_ratio,
         late_s = statistics::kNone_ratio;  // flat: D may be off by this much
  double jet_speed_mps = 0.0;
  long long sensed = 0;
  bool servable = true;     // D not negative
  bool deliverable = true;  // the supply gives the flow of all its conditions
};

/// The fastest speed at which 10 mm hold, and the slowest speed above it that was tried and fails.
struct FastestHeld {
  double holds_mps = statistics::kNone_ratio;  // not-a-number: no speed holds
  double fails_mps = statistics::kNone_ratio;  // not-a-number: the fastest judged speed holds
  DelaySpeed held, failing;                    // at these speeds
};

/// Ends of a range that holds; not-a-number where even its middle does not hold.
struct HeldRange {
  double low_si = statistics::kNone_ratio;
  double high_si = statistics::kNone_ratio;
  bool low_open = false;  // the last value tried still held
  bool high_open = false;
};

struct DelayBox {
  double speed_mps = 0.0;
  double pressure_pa = 0.0;
  HeldRange temperature_k;            // with the temperature entered in the controller
  HeldRange temperature_unentered_k;  // the controller uses the scenario's temperature
  HeldRange pressure_si;              // Pa; the regulator believes its set point
  HeldRange voltage_si;               // V
};

struct RowTrim {
  double trim_m = 0.0;
  double half_m = 0.0;  // of its 95 % interval, tape error included
};

struct DelayStudy {
  scenario::Scenario scenario;
  DelayPlan plan;
  tune::TunedTable start;
  DelayFit fit;
  sillion_attachment_table table{};  // fit.table, sealed with its check sum
  std::vector<DelaySpeed> speeds;
  FastestHeld fastest;            // by the search that `today` uses (holding.h)
  LawError left;                  // error that is still in the law, from the report's residuals
  std::vector<RowTrim> trims;     // for the rows of the first report key
  double rows_before_sd_m = 0.0;  // of row means, before the trims and after
  double rows_after_sd_m = 0.0;
  DelayBox box;
  std::vector<std::string> notes;
  std::optional<MeasuredLaw> measured;  // points of a bench or field that were joined in
  std::string grade = "simulated";
  std::string date;  // of the measurement
  output::RunHashes hashes;
};

/// Points of a bench or field, and the grade that they give the table: "bench" or "field" with its
/// date, or "simulated" to keep that grade.
struct PointsToJoin {
  std::filesystem::path file;
  std::vector<DelayPoint> points;
  std::string grade = "simulated";
  std::string date;
};
/// Reads the file and judges it as far as that is possible before a study has run.
/// Errors   InputError as delay_points_csv.h and measured_points.h; a measured grade without date
PointsToJoin read_points_to_join(const std::filesystem::path& file, const std::string& grade,
                                 const std::string& date);
/// Joins measured points: the simulated law counts as two more observations with their intervals,
/// and the joint law goes into the table. A point's delay belongs to its speed at the scenario's
/// rate, so the table's own change of lead with flow is first removed from it.
/// Errors   InputError as measured_points.h
void join_points(DelayStudy& study, PointsToJoin joined);

struct DelayOptions {
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
  output::Ledger* ledger = nullptr;  // finds and keeps passes (seen_record.h)
};

DelayStudy run_delay_study(const DelayInputs& inputs, const DelayOptions& options = {});

/// Fastest speed at which the tolerance holds, and the slowest report speed from which it holds up
/// to there without a gap; not-a-number where none does. For 10 mm with trims the fastest is also
/// searched between the report's speeds (holding.h).
HeldRange speeds_held_mps(const DelayStudy& study, int tolerance, bool trimmed);
/// The table that the study starts from: by tune(), with flows over all rates of [tuning] and the
/// pressure factors of the nominal row's steady flow at the plan's temperatures.
tune::TunedTable start_table(const DelayInputs& inputs, const DelayPlan& plan);

}  // namespace sim::delay
