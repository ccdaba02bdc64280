// Options of the commands that need to know where a pass lies on the earth: the log of a recorded
// drive, or the field of straight passes that is laid without one.
//
// Errors   InputError with the option: a place, an angle or a length that cannot be read or is out
//          of range; --log beside options of the laid field
// Checked  tests/sim/command/map_command_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/command/command_words.h"
#include "sim/study/map/laid_field.h"

namespace sim::command {

struct PlaceOptions {
  std::filesystem::path log;  // NMEA 0183
  std::string origin;         // "LAT,LON"
  std::string heading;
  std::string pass_length;
};

void add_log_option(CommandWords& words, PlaceOptions& options);
/// `when` begins the help of each: when it counts.
void add_layout_options(CommandWords& words, PlaceOptions& options, const std::string& when);
/// The laid field that the options state.
map::FieldLayout layout_of(const PlaceOptions& options);

}  // namespace sim::command
