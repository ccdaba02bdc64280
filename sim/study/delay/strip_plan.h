// Plan of a strip test: dyed water, a paper strip under each row, two speeds, a tape.
//
//   speeds   the judged speed and half of it, moved into the table's range
//   bands    per row and run, so that a row's trim is known to trim_half (95 %):
//              n = z2 (scatter2 + reading2)(1 - 1/rows)/trim_half2 over all runs of the row
//   runs     2 to 5 at each speed: of the plans within the time limit the one with the
//            narrowest interval of the time error, otherwise the plan that takes least time; order
//            fast, slow, slow, fast, .. so that a drift over the day affects both speeds
//   law      interval of time and distance error as strip_fit.h would find it:
//              run mean sd2 = run_sd2 + (scatter2 + reading2)/(rows bands), t with runs - 2 degrees
//   time     prepare + runs (lay, drive, walk back) + readings/readers. The minutes are common
//            practice, no source
//   tank     bands and run-up of all rows and runs at the in-band rate, without the filling of the
//            lines
//
// Errors   InputError where the table's range has no two speeds with a ratio of 1.3
// Checked  tests/sim/study/delay/strip_plan_test.cc
#pragma once

namespace sim::delay {

/// How long people take. Common practice, no source.
struct StripWork {
  double prepare_s = 240.0;  // dye and flush, hang up the seed tubes' trays, brief the crew
  double lay_s = 60.0;       // per run: paper under all rows, weights on it
  double walk_s = 30.0;      // per run: turn and drive back
  double read_s = 3.0;       // per band: tape, call, write
  int readers = 2;           // pairs who read and write at the same time
};

struct StripRequest {
  int rows = 8;
  double spacing_m = 0.15;
  double band_length_m = 0.06;
  double in_band_m3pm2 = 0.0;
  double row_width_m = 0.762;
  double judged_mps = 16.0 / 3.6;
  double table_slowest_mps = 4.0 / 3.6;
  double table_fastest_mps = 21.0 / 3.6;
  double scatter_m = 5e-3;   // sd of a band within its row
  double reading_m = 1e-3;   // sd of a tape reading
  double run_sd_m = 0.3e-3;  // sd of the error that all rows of a run share
  double trim_half_m = 1e-3;
  double time_limit_s = 1200.0;
  StripWork work;
};

struct StripPlan {
  StripRequest request;
  double fast_mps = 0.0, slow_mps = 0.0;
  int runs_a_speed = 0;
  int bands = 0;  // per row and run
  double strip_m = 0.0;
  double run_up_m = 0.0;  // 4 s at the fast speed, so that pressure and speed have settled
  double tank_m3 = 0.0;
  double takes_s = 0.0;
  bool in_time = false;
  double trim_half_m = 0.0;  // with these bands
  double time_half_s = 0.0;
  double distance_half_m = 0.0;
  double in_time_trim_half_m = 0.0;  // within the time limit; not-a-number: none
  int in_time_readers = 0;           // pairs that meet the time limit; 0: no number of them does

  int runs() const { return 2 * runs_a_speed; }
  double speed_mps(int run) const {  // in the order of driving
    return run % 4 == 0 || run % 4 == 3 ? fast_mps : slow_mps;
  }
};

StripPlan plan_strip(const StripRequest& request);

}  // namespace sim::delay
