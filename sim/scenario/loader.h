// Scenario and study files: TOML with quantities as strings ("16 km/h"). Every mistake names file,
// line, key and the nearest valid name; nothing is guessed.
//
//   defaults <- base file <- file <- sets, each laid over what is left of it (overlay.h); catalogs
//   are found as catalog.h says. Paths inside a file (base, travel.log, seeding.spacings,
//   controller.library) are relative to the file that states them; in a --set, to the scenario
//   file.
//
// Errors   InputError: unreadable or binary file, unknown key, missing or wrong unit, value out of
//          range, contradiction
// Checked  tests/hostile/input_test.cc, tests/sim/loader_test.cc
#pragma once

#include <cstdint>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <vector>

#include "sim/scenario/axis_draw.h"
#include "sim/scenario/scenario.h"

namespace sim {

/// A mistake in what a person wrote; what() is "file:line: key: what is wrong; nearest valid name".
/// Exit 2.
struct InputError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

struct StudyAxis {
  std::string key;
  std::vector<std::string> values;  // as a person would write them in a scenario, unit included
  AxisDraw draw = {};               // where it is drawn: no values then
};

struct Study {
  std::string name;
  std::string title;
  std::filesystem::path base;
  std::vector<std::string>
      sets;  // `[set]` of the study: KEY=VALUE laid over the base before the axes
  std::vector<StudyAxis> axes;
  int replicas = 1;
  std::uint64_t rng_key = 1;
  std::vector<std::string>
      shown;  // `shown`: axis values of the cell that the report draws; empty: the first
  Sampling sampling = Sampling::kGrid;
  int samples = 0;  // drawn at every combination of the listed axes; with stop.most: at a time
  StopSection stop = {};
};

/// `sets` are KEY=VALUE with dotted keys, laid over the file in order (command line: --set).
Scenario load_scenario(const std::filesystem::path& file,
                       const std::vector<std::string>& sets = {});
/// `sets` whose key is the study's own (title, replicas, rng_key, shown, sampling, samples, stop.*,
/// axes.*) change the study,
/// the others go to Study::sets after those of the file. Every axis value is loaded once over the
/// base, so mistakes show before a run.
Study load_study(const std::filesystem::path& file, const std::vector<std::string>& sets = {});
/// The scenario as one canonical text (every key with its SI value, sorted): what the `parameters`
/// hash is taken of. Free words (title, note) and paths are left out: they change nothing that is
/// computed.
std::string canonical_text(const Scenario& scenario);
/// The same of an attachment alone, without its name: what a delay table was tuned on.
std::string canonical_attachment(const AttachmentSection& attachment);

}  // namespace sim
