// The document of a scenario before its fields are read: base files, the file itself and what is
// laid over it. Loader and study reader share this code.
//
// Errors   InputError: bases that form a circle, a base that cannot be read
// Checked  tests/sim/scenario/loader_test.cc
#pragma once

#include <cstdint>
#include <filesystem>

#include "sim/scenario/scenario.h"
#include "sim/text/document.h"

namespace sim::scenario {

/// The file laid over its base, that over its own base and so on; the key `base` is removed.
text::Node read_layers(const std::filesystem::path& file);
/// Where those numbers of [attachment] come from that the document does not state.
enum class PartFrom : std::uint8_t {
  kCatalog,   // `name` is a name of the catalog
  kDocument,  // from nowhere: the section is complete (own_attachment.h)
};
/// A scenario from a finished document: fields, files, catalogs and checks. Its name and folder
/// come from `file`.
Scenario scenario_of(const text::Node& document, const std::filesystem::path& file,
                     PartFrom part = PartFrom::kCatalog);
/// Fills name and temperature of [liquid] and the catalog's values at that temperature. `file` is
/// the place that messages name for keys that were not stated.
void fill_liquid(const text::Node& document, const std::filesystem::path& folder,
                 const text::Place& file, LiquidSection& liquid);
/// A path as written at `stated`, relative to the file that holds it (for a --set: to `fallback`).
std::filesystem::path path_from(const text::Place& stated, const std::string& written,
                                const std::filesystem::path& fallback);

}  // namespace sim::scenario
