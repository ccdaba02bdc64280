// The log from which a scenario's drive was recorded, and the counts of its sentences. The pass
// needs only the knots (TravelSection::profile); a report also says which part of the log was not
// used.
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

/// Reads the log that `travel.log` names; the path is relative to the file that states the key, or
/// to `scenario_file` for a --set.
NmeaDrive read_drive_log(const text::Node& node, const std::filesystem::path& scenario_file);
/// The drive of a scenario file with its bases and --set overrides; none if no log is stated.
std::optional<NmeaDrive> drive_log(const std::filesystem::path& scenario_file,
                                   const std::vector<std::string>& sets);
/// The counts of a scenario file with its bases and --set overrides; none if no log is stated.
std::optional<NmeaCounts> drive_log_counts(const std::filesystem::path& scenario_file,
                                           const std::vector<std::string>& sets);

}  // namespace sim::scenario
