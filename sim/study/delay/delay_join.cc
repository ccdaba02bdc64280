// Joins measured points into a delay study's table.
#include <cmath>

#include "sim/scenario/loader.h"
#include "sim/scenario/table_seal.h"
#include "sim/statistics/quantiles.h"
#include "sim/study/delay/delay.h"
#include "sim/study/delay/delay_fit.h"
#include "sim/study/delay/delay_points_csv.h"
#include "sim/study/tune/table_reading.h"

namespace sim::delay {
namespace {

std::int32_t grade_number(const std::string& grade) {
  if (grade == "bench") return 1;
  if (grade == "field") return 2;
  return 0;
}

}  // namespace

PointsToJoin read_points_to_join(const std::filesystem::path& file, const std::string& grade,
                                 const std::string& date) {
  if (grade != "simulated" && date.empty())
    throw text::InputError(
        "--date: a measured grade needs the day of its measurement, such as "
        "--date 2026-04-18");
  PointsToJoin joined{file, read_delay_points(file), grade, date};
  require_two_speeds(joined.points, {.file = file.string()});
  return joined;
}

void join_points(DelayStudy& study, PointsToJoin joined) {
  std::vector<DelayPoint>& points = joined.points;
  const scenario::Scenario& scenario = study.scenario;
  const double lead0_s = study.table.reference_lead_us * 1e-6;
  for (DelayPoint& point : points) {
    const double flow_m3ps = scenario.rate.in_band_m3pm2 * scenario.row.width_m * point.speed_mps;
    point.delay_s += tune::read_table(study.table, flow_m3ps).lead_s - lead0_s;
  }
  UncertainLaw simulated;
  simulated.time_s = study.table.delay_time_us * 1e-6;
  simulated.distance_m = study.table.delay_distance_um * 1e-6;
  simulated.time_sd_s = study.fit.whole.time.half_s / statistics::kTwoSided95_ratio;
  simulated.distance_sd_m = study.fit.whole.distance.half_m / statistics::kTwoSided95_ratio;
  // The fit's e = d + v t: the error of a is that of t, the error of b that of d.
  simulated.correlation_ratio = study.fit.whole.correlation_ratio;
  study.measured = fit_measured_points(points, simulated, {.file = joined.file.string()});
  study.grade = joined.grade;
  study.date = joined.date;
  sillion_attachment_table table = study.table;
  table.delay_time_us = micro(study.measured->law.time_s);
  table.delay_distance_um = micro(study.measured->law.distance_m);
  table.evidence_grade = grade_number(joined.grade);
  study.table = scenario::sealed_table(table);
  for (DelaySpeed& at : study.speeds) {
    at.delay_s = tune::pulse_order(study.table, at.flow_m3ps, at.speed_mps).delay_s;
    at.servable = at.delay_s >= 0.0;
    at.smallest_offset_m = scenario.attachment.outlet_offset_m - at.speed_mps * at.delay_s;
  }
}

}  // namespace sim::delay
