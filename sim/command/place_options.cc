#include "sim/command/place_options.h"

#include <charconv>
#include <cmath>
#include <optional>

#include "shared/units.h"
#include "sim/text/input_error.h"
#include "sim/text/quantity.h"

namespace sim::command {
namespace {

[[noreturn]] void fail(const std::string& option, const std::string& what) {
  throw text::InputError(option + ": " + what);
}

std::optional<double> degrees_of(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  double value_deg = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value_deg);
  if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value_deg))
    return std::nullopt;
  return value_deg;
}

map::GeoPoint origin_of(const std::string& words) {
  const std::size_t comma = words.find(',');
  const std::optional<double> lat_deg = degrees_of(words.substr(0, comma));
  const std::optional<double> lon_deg =
      comma == std::string::npos ? std::nullopt : degrees_of(words.substr(comma + 1));
  if (!lat_deg || !lon_deg)
    fail("--origin", "`" + words + "` is not \"LATITUDE,LONGITUDE\" in degrees, as \"52.85,5.31\"");
  if (std::fabs(*lat_deg) > 89.0) fail("--origin", "latitude must be from -89 to 89 degrees");
  if (std::fabs(*lon_deg) > 180.0) fail("--origin", "longitude must be from -180 to 180 degrees");
  return {*lat_deg, *lon_deg};
}

double quantity_si(const std::string& option, const std::string& words, text::Kind kind) {
  const text::Quantity quantity = text::parse_quantity(words, kind);
  if (!quantity.error.empty())
    fail(option,
         "`" + words + "`: " + quantity.error +
             (quantity.nearest.empty() ? "" : "; nearest valid unit: `" + quantity.nearest + "`"));
  return quantity.value_si;
}

}  // namespace

void add_log_option(CommandWords& words, PlaceOptions& options) {
  words.path("--log", options.log,
             "NMEA 0183 log of the drive (the scenario's `travel.log`): gives place and time");
}

void add_layout_options(CommandWords& words, PlaceOptions& options, const std::string& when) {
  words.text("--origin", options.origin,
             when +
                 "where the laid field begins, \"LAT,LON\" in degrees of WGS 84 (else 30,-40, "
                 "in the Atlantic)");
  words.text("--heading", options.heading,
             when + "direction of its first pass from north to the east (\"35 deg\"; else north)");
  words.text("--pass-length", options.pass_length,
             when + "cut a straight pass into passes of this length (\"800 m\"), side by side");
}

map::FieldLayout layout_of(const PlaceOptions& options) {
  map::FieldLayout layout;
  if (!options.log.empty())
    for (const auto& [name, value] :
         {std::pair{"--origin", &options.origin}, std::pair{"--heading", &options.heading},
          std::pair{"--pass-length", &options.pass_length}})
      if (!value->empty()) fail(name, "stands beside --log, which gives the place already");
  if (!options.origin.empty()) layout.origin = origin_of(options.origin);
  if (!options.heading.empty())
    layout.heading_deg =
        quantity_si("--heading", options.heading, text::Kind::kAngle) * 180.0 / shared::kPi_ratio;
  if (!options.pass_length.empty()) {
    layout.pass_length_m = quantity_si("--pass-length", options.pass_length, text::Kind::kLength);
    if (!(layout.pass_length_m >= 1.0 && layout.pass_length_m <= 1e5))
      fail("--pass-length", "must be from 1 m to 100 km");
  }
  return layout;
}

}  // namespace sim::command
