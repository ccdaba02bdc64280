// Scenario files: TOML with quantities as strings ("16 km/h"). Every error message names file,
// line, key and the nearest valid name; nothing is guessed.
//
//   defaults <- base file <- file <- sets: each is laid over the one before it (overlay.h);
//   catalogs are searched as catalog.h says. Paths inside a file (base, travel.log,
//   seeding.spacings, controller.library) are relative to the file that states them; in a --set, to
//   the scenario file.
//
// Errors   InputError: unreadable or binary file, unknown key, missing or wrong unit, value out of
//          range, contradiction
// Checked  tests/hostile/input_test.cc, tests/sim/scenario/loader_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/scenario/scenario.h"
#include "sim/text/input_error.h"

namespace sim::scenario {

/// `sets` are KEY=VALUE with dotted keys, laid over the file in order (command line: --set).
Scenario load_scenario(const std::filesystem::path& file,
                       const std::vector<std::string>& sets = {});
/// The scenario as one canonical text (every key with its SI value, sorted), from which the
/// `parameters` hash is computed. Free text (title, note) and paths are left out, because they
/// change nothing that is computed.
std::string canonical_text(const Scenario& scenario);
/// The same for an attachment alone, without its name: it identifies what a delay table was tuned
/// on.
std::string canonical_attachment(const AttachmentSection& attachment);

}  // namespace sim::scenario
