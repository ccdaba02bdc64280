// The log that a scenario's drive was recorded in, and what became of its sentences. The pass needs
// the knots alone (TravelSection::profile); a report says besides what of the log was not used.
//
// Errors   InputError with place and key: the log cannot be read, is too large, or holds no drive
// Checked  tests/sim/study/run/drive_report_test.cc
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "sim/scenario/nmea_log.h"
#include "sim/text/document.h"

namespace sim::scenario {

/// The log that `travel.log` names; the path is seen from where the key was written, or from
/// `scenario_file` for a --set.
NmeaDrive read_drive_log(const text::Node& node, const std::filesystem::path& scenario_file);
/// Of a scenario file with its bases and what --set lays over them; none where no log is stated.
std::optional<NmeaCounts> drive_log_counts(const std::filesystem::path& scenario_file,
                                           const std::vector<std::string>& sets);

}  // namespace sim::scenario
