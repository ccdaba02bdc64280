#include "sim/study/delay/strip_plan.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "shared/check.h"
#include "sim/measure/record.h"
#include "sim/statistics/quantiles.h"
#include "sim/text/document.h"
#include "sim/text/quantity.h"

namespace sim::delay {
namespace {

constexpr double kRunUp_s = 4.0;  // as in the simulated strip test (sim/study/tune/strip_trim.cc)
constexpr double kLeastSpeed_ratio = 1.3;
constexpr int kFewestRuns = 2;  // per speed: with one run per speed its error cannot be seen
constexpr int kMostRuns = 5;
constexpr int kFewestBands = 4;  // per row and run: one wild reading shows among four
constexpr int kMostReaders = 24;

double band_m2(const StripRequest& r) {
  return r.scatter_m * r.scatter_m + r.reading_m * r.reading_m;
}

double trim_half_m(const StripRequest& r, int bands_a_row) {
  const double share = r.rows > 1 ? 1.0 - 1.0 / r.rows : 1.0;
  return statistics::normal_quantile_ratio(0.975) * std::sqrt(band_m2(r) * share / bands_a_row);
}

double drive_s(const StripPlan& plan) {
  double sum_s = 0.0;
  for (int run = 0; run < plan.runs(); ++run)
    sum_s += kRunUp_s + plan.strip_m / plan.speed_mps(run);
  return sum_s;
}

double takes_s(const StripPlan& plan, int readers) {
  const StripWork& work = plan.request.work;
  const double readings = static_cast<double>(plan.request.rows) * plan.bands * plan.runs();
  return work.prepare_s + plan.runs() * (work.lay_s + work.walk_s) + drive_s(plan) +
         readings * work.read_s / readers;
}

void complete(StripPlan& plan) {
  const StripRequest& r = plan.request;
  plan.strip_m = (plan.bands + 1) * r.spacing_m;
  plan.trim_half_m = trim_half_m(r, plan.bands * plan.runs());
  const double run_m =
      std::sqrt(r.run_sd_m * r.run_sd_m + band_m2(r) / (static_cast<double>(r.rows) * plan.bands));
  const double t_ratio = statistics::student_quantile_ratio(0.975, plan.runs() - 2);
  const double apart_mps = plan.fast_mps - plan.slow_mps;
  // Half of the runs have each speed: the sum of squares about the mean speed is runs (apart/2)^2.
  plan.time_half_s = t_ratio * run_m / (std::sqrt(plan.runs()) * 0.5 * apart_mps);
  const double mean_mps = 0.5 * (plan.fast_mps + plan.slow_mps);
  const double lever = mean_mps / (0.5 * apart_mps);
  plan.distance_half_m = t_ratio * run_m * std::sqrt((1.0 + lever * lever) / plan.runs());
  plan.takes_s = takes_s(plan, r.work.readers);
  plan.in_time = plan.takes_s <= r.time_limit_s;
}

StripPlan with_runs(const StripPlan& start, int runs_a_speed) {
  StripPlan plan = start;
  plan.runs_a_speed = runs_a_speed;
  const double one_band_m = trim_half_m(plan.request, 1);
  const double needed =
      one_band_m * one_band_m / (plan.request.trim_half_m * plan.request.trim_half_m);
  plan.bands = std::max(kFewestBands, static_cast<int>(std::ceil(needed / plan.runs() - 1e-9)));
  complete(plan);
  return plan;
}

bool better(const StripPlan& one, const StripPlan& other) {
  if (one.in_time != other.in_time) return one.in_time;
  return one.in_time ? one.time_half_s < other.time_half_s : one.takes_s < other.takes_s;
}

// Finds what the time limit allows with two runs per speed, and how many readers would meet it.
void find_ways_out(StripPlan& plan) {
  StripPlan shorter = plan;
  shorter.runs_a_speed = kFewestRuns;
  plan.in_time_trim_half_m = statistics::kNone_ratio;
  for (shorter.bands = plan.bands * plan.runs(); shorter.bands >= kFewestBands; --shorter.bands) {
    complete(shorter);
    if (!shorter.in_time) continue;
    plan.in_time_trim_half_m = shorter.trim_half_m;
    break;
  }
  for (int readers = kMostReaders; readers >= 1; --readers)
    if (takes_s(plan, readers) <= plan.request.time_limit_s) plan.in_time_readers = readers;
}

}  // namespace

StripPlan plan_strip(const StripRequest& request) {
  EXPECTS(request.rows >= 1 && request.spacing_m > 0.0 && request.judged_mps > 0.0);
  EXPECTS(request.trim_half_m > 0.0 && request.scatter_m >= 0.0 && request.work.readers >= 1);
  StripPlan start;
  start.request = request;
  start.fast_mps =
      std::clamp(request.judged_mps, request.table_slowest_mps, request.table_fastest_mps);
  start.slow_mps = std::max(0.5 * start.fast_mps, request.table_slowest_mps);
  // Where the judged speed is near the table's lower end, the second speed lies above it.
  if (start.fast_mps < start.slow_mps * kLeastSpeed_ratio)
    start.fast_mps = std::min(2.0 * start.slow_mps, request.table_fastest_mps);
  if (start.fast_mps < start.slow_mps * kLeastSpeed_ratio) {
    const auto text = [](double speed_mps) {
      return text::format_quantity(speed_mps, text::Kind::kSpeed, "km/h", 3);
    };
    text::fail(
        {"strip test", 0, {}}, "speed",
        "the table reaches from " + text(request.table_slowest_mps) + " to " +
            text(request.table_fastest_mps) +
            ": too few speeds to tell a time error from a distance error; it must reach down to " +
            text(request.table_fastest_mps / kLeastSpeed_ratio) + " or below");
  }
  StripPlan best = with_runs(start, kFewestRuns);
  for (int runs = kFewestRuns + 1; runs <= kMostRuns; ++runs) {
    const StripPlan other = with_runs(start, runs);
    if (better(other, best)) best = other;
  }
  best.run_up_m = kRunUp_s * best.fast_mps;
  const double treated_m = std::min(request.band_length_m, request.spacing_m);
  double path_m = 0.0;
  for (int run = 0; run < best.runs(); ++run)
    path_m += kRunUp_s * best.speed_mps(run) + best.strip_m;
  best.tank_m3 = path_m * request.rows * request.row_width_m * request.in_band_m3pm2 * treated_m /
                 request.spacing_m;
  find_ways_out(best);
  return best;
}

}  // namespace sim::delay
