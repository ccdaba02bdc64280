#include "sim/command/prescribed_rate.h"

#include <optional>

#include "sim/scenario/loader.h"
#include "sim/scenario/recorded_drive.h"
#include "sim/study/map/machine_way.h"
#include "sim/study/map/prescription.h"
#include "sim/study/map/track_zones.h"
#include "sim/text/input_error.h"

namespace sim::command {

void add_prescription_options(CommandWords& words, PrescriptionOptions& options) {
  words.path("--prescription", options.prescription,
             "map of in-band rates (GeoJSON or GeoPackage polygons with `in_band_rate`): sets the "
             "rate along the pass");
  add_layout_options(words, options, "with --prescription and without `travel.log`: ");
}

void prescribe(const PrescriptionOptions& options, const std::filesystem::path& scenario_file,
               std::vector<std::string>& sets) {
  const map::FieldLayout layout = layout_of(options);
  if (options.prescription.empty()) {
    if (!options.origin.empty() || !options.heading.empty() || !options.pass_length.empty())
      throw text::InputError(
          "--origin, --heading and --pass-length place the field under a --prescription, and none "
          "is stated");
    return;
  }
  const std::vector<map::RatePolygon> polygons = map::read_prescription(options.prescription);
  const scenario::Scenario scenario = scenario::load_scenario(scenario_file, sets);
  const std::string file = options.prescription.string();
  if (!scenario.rate.zones.empty())
    throw text::InputError(file + ": the scenario has zones (rate.zone) already; take one of both");
  const std::optional<scenario::NmeaDrive> drive = scenario::drive_log(scenario_file, sets);
  const std::vector<map::WayPiece> way =
      drive ? map::logged_way(scenario, *drive, scenario.travel.log)
            : map::laid_way(scenario, layout);
  const std::vector<scenario::RateZone> zones = map::zones_along(polygons, way);
  if (zones.empty())
    throw text::InputError(
        file + ": the pass meets none of its polygons" +
        (drive ? std::string() : "; place the field with --origin and --heading"));
  sets.push_back(map::zones_set(zones));
}

}  // namespace sim::command
