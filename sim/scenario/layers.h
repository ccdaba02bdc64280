// The document of a scenario before its fields are read: base files, the file itself and what is
// laid over it. Loader and study reader share it.
//
// Errors   InputError: bases that lead in a circle, a base that cannot be read
// Checked  tests/sim/scenario/loader_test.cc
#pragma once

#include <cstdint>
#include <filesystem>

#include "sim/scenario/scenario.h"
#include "sim/text/document.h"

namespace sim::scenario {

/// The file laid over its base, over its base's base and so on; `base` itself is gone.
text::Node read_layers(const std::filesystem::path& file);
/// Where the numbers of [attachment] come from that the document does not state.
enum class PartFrom : std::uint8_t {
  kCatalog,   // its `name` is one of the catalog
  kDocument,  // nowhere: the section is whole (own_attachment.h)
};
/// Fields, files, catalogs and checks out of a finished document. `file` gives name and folder.
Scenario scenario_of(const text::Node& document, const std::filesystem::path& file,
                     PartFrom part = PartFrom::kCatalog);
/// Name and temperature of [liquid], and the catalog's values at that temperature; `file` is the
/// place of what was not stated.
void fill_liquid(const text::Node& document, const std::filesystem::path& folder,
                 const text::Place& file, LiquidSection& liquid);
/// A path as written in `stated`, seen from where it was written (or from `fallback` for a --set).
std::filesystem::path path_from(const text::Place& stated, const std::string& written,
                                const std::filesystem::path& fallback);

}  // namespace sim::scenario
