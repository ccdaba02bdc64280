#include "sim/scenario/recorded_drive.h"

#include "sim/scenario/layers.h"
#include "sim/scenario/overlay.h"
#include "sim/text/reader.h"

namespace sim::scenario {
namespace {

constexpr std::size_t kMostLogBytes = 256'000'000;

}  // namespace

NmeaDrive read_drive_log(const text::Node& node, const std::filesystem::path& scenario_file) {
  const std::filesystem::path log =
      path_from(node.place, text::read_text_value(node, "travel.log"), scenario_file);
  NmeaDrive drive = read_nmea(text::read_text(log, kMostLogBytes));
  if (drive.knots.empty()) {
    text::fail(node.place, "travel.log",
               "`" + node.text + "` contains no drive: fewer than two valid RMC fixes (" +
                   describe_counts(drive) + ")");
  }
  return drive;
}

std::optional<NmeaDrive> drive_log(const std::filesystem::path& scenario_file,
                                   const std::vector<std::string>& sets) {
  text::Node document = read_layers(scenario_file);
  for (const std::string& set : sets) lay_set_over(document, set);
  const text::Node* log = text::find_dotted(document, "travel.log");
  if (log == nullptr) return std::nullopt;
  return read_drive_log(*log, scenario_file);
}

std::optional<NmeaCounts> drive_log_counts(const std::filesystem::path& scenario_file,
                                           const std::vector<std::string>& sets) {
  const std::optional<NmeaDrive> drive = drive_log(scenario_file, sets);
  if (!drive) return std::nullopt;
  return drive->counts;
}

}  // namespace sim::scenario
