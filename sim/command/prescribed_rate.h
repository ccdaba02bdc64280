// `--prescription` of `run`: a map of rates becomes zones along the pass, as one `--set` more, so
// that every command that is printed for this pass has them too.
//
// Errors   InputError: of the map, of the way; the pass meets no polygon; the scenario has zones of
//          its own
// Checked  tests/sim/command/map_command_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/command/command_words.h"
#include "sim/command/place_options.h"

namespace sim::command {

struct PrescriptionOptions : PlaceOptions {
  std::filesystem::path prescription;
};

void add_prescription_options(CommandWords& words, PrescriptionOptions& options);
/// Adds rate.zone to the sets where a prescription is stated.
void prescribe(const PrescriptionOptions& options, const std::filesystem::path& scenario_file,
               std::vector<std::string>& sets);

}  // namespace sim::command
