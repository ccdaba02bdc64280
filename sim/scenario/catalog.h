// The catalogs of attachments and liquids: TOML files in which people look things up by name.
//
//   attachments.toml holds several; in the folder attachments/ each file holds one, its keys at the
//   top, and NAME.delay.toml beside it is its delay table (delay_file.h).
//
//   Looked for, first hit wins: `catalog/` and `scenarios/catalog/` in the scenario's folder and in
//   every folder above it, then the catalog in the source tree that this program was built from.
//
// Errors   InputError: unknown name (with the nearest), a name that stands twice, temperature
//          outside a liquid's table or below its salting out
// Checked  tests/sim/scenario/catalog_test.cc, tests/published/liquid_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/scenario/scenario.h"
#include "sim/text/reader.h"

namespace sim::scenario {

struct CatalogEntry {
  std::string name;
  std::string note;  // of a liquid with where each of its numbers comes from
};
/// `list attachments`, `list liquids`: what a scenario in that folder can name.
std::vector<CatalogEntry> attachment_catalog(const std::filesystem::path& folder);
std::vector<CatalogEntry> liquid_catalog(const std::filesystem::path& folder);

/// The delay table that lies beside a catalog's attachment; empty: none.
std::filesystem::path delay_file_of(const std::string& name, const std::filesystem::path& folder);
/// Fills the section from the catalog. `stated` is where the name was written.
void apply_attachment(const std::string& name, const std::filesystem::path& folder,
                      const text::Place& stated, AttachmentSection& section, text::Places& places);
/// The liquid's values at a temperature. Between the rows of its table ln of viscosity and of
/// vapour pressure go straight over 1/T, all else over T. Colder than its `salt_out` is refused.
model::Liquid catalog_liquid(const std::string& name, const std::filesystem::path& folder,
                             double temperature_k, const text::Place& stated,
                             const text::Place& temperature_stated);

}  // namespace sim::scenario
