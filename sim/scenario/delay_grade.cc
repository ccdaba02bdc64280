// Whether a delay table's evidence supports its grade: every check must pass, or the first that
// fails is named.
#include <fmt/format.h>

#include <cmath>

#include "shared/check_sum.h"
#include "sim/scenario/delay_file.h"
#include "sim/scenario/loader.h"

namespace sim::scenario {
namespace {

std::string simulated_lacks(const DelayFile& file, const AttachmentSection& attachment) {
  for (const std::string& key : delay_header_keys())
    if (file.word(key) == nullptr || file.word(key)->empty())
      return "the header does not state `" + key + "`";
  if (file.evidence.attachment_sum != attachment_sum(attachment))
    return "the attachment was changed after it was tuned: run `sillion delay` again";
  if (file.speeds.size() < 2) return "fewer than two row speeds were judged";
  for (const DelayFileSpeed& speed : file.speeds) {
    if (!std::isfinite(speed.residual_mean_m) || !std::isfinite(speed.residual_half_m))
      return fmt::format("no residual with its interval at {:.1f} km/h", speed.speed_mps * 3.6);
    if (speed.delay_s < 0.0)
      return fmt::format("the delay is negative at {:.1f} km/h: no controller can apply it",
                         speed.speed_mps * 3.6);
  }
  if (file.evidence.valid_box.empty()) return "no valid box was found";
  return {};
}

std::string measured_lacks(const DelayEvidence& evidence) {
  if (evidence.date.empty()) return "a measured grade needs the date of its measurement";
  if (evidence.measured_speeds < 2)
    return "measured at fewer than two speeds: a time error and a distance error look alike";
  if (evidence.measured_points < 4) return "fewer than four measured points";
  if (!(evidence.scatter_m > 0.0)) return "the scatter of the measured points is not stated";
  return {};
}

std::int32_t grade_number(const std::string& grade) {
  return grade == "simulated" ? 0 : grade == "bench" ? 1 : grade == "field" ? 2 : -1;
}

}  // namespace

std::string attachment_sum(const AttachmentSection& attachment) {
  // Values that follow from other keys and from the liquid are not keys of the attachment.
  AttachmentSection stated = attachment;
  for (model::Line* line : {&stated.hose, &stated.tube})
    if (line->wall.thickness_m > 0.0) line->wave_speed_mps = 0.0;
  if (stated.outlet.length_m > 0.0) {
    stated.outlet.discharge_coefficient_ratio = 0.0;
    stated.outlet.laminar_coefficient_ratio = 0.0;
  }
  shared::CheckSum sum;
  for (const char c : canonical_attachment(stated)) sum.take(static_cast<std::uint8_t>(c));
  return fmt::format("{:08x}", sum.value());
}

Grade grade_of(const DelayFile& file, const AttachmentSection& attachment) {
  const std::string& asked = file.evidence.grade;
  Grade grade;
  if (grade_number(asked) < 0) {
    grade.why_not = "`" + asked + "` is no grade: simulated, bench or field";
  } else if (grade_number(asked) != file.table.evidence_grade) {
    grade.why_not = "the table states another grade than its evidence gives";
  } else {
    grade.why_not = simulated_lacks(file, attachment);
    if (grade.why_not.empty() && asked != "simulated")
      grade.why_not = measured_lacks(file.evidence);
  }
  if (grade.why_not.empty()) grade.grade = asked;
  return grade;
}

}  // namespace sim::scenario
