// The catalogs of attachments and liquids: TOML files in which people look things up by name.
//
//   attachments.toml holds several; in the folder attachments/ each file holds one, with its keys
//   at the top level. Its delay table is NAME.delay.toml beside it (delay_file.h).
//
//   Searched in this order, the first hit counts: `catalog/` and `scenarios/catalog/` in the
//   scenario's folder and in every folder above it, then the catalog in the source tree from which
//   this program was built.
//
// Errors   InputError: unknown name (with the nearest), a name that occurs twice, temperature
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
  std::string note;  // for a liquid with the source of each of its numbers
};
/// `list attachments`, `list liquids`: the names that a scenario in that folder can use.
std::vector<CatalogEntry> attachment_catalog(const std::filesystem::path& folder);
std::vector<CatalogEntry> liquid_catalog(const std::filesystem::path& folder);

/// The delay table that lies beside a catalog's attachment; empty if there is none.
std::filesystem::path delay_file_of(const std::string& name, const std::filesystem::path& folder);
/// Fills the section from the catalog. `stated` is the place where the name was written.
void apply_attachment(const std::string& name, const std::filesystem::path& folder,
                      const text::Place& stated, AttachmentSection& section, text::Places& places);
/// The liquid's values at a temperature. Between the rows of its table, ln of viscosity and of
/// vapour pressure is linear in 1/T, everything else in T. A temperature below the liquid's
/// `salt_out` is refused.
model::Liquid catalog_liquid(const std::string& name, const std::filesystem::path& folder,
                             double temperature_k, const text::Place& stated,
                             const text::Place& temperature_stated);

}  // namespace sim::scenario
