// A co-simulation unit as one file: a ZIP archive of the standard's layout.
//
//   modelDescription.xml   documentation/index.html   resources/   binaries/x86_64-linux/
//
// The archive holds no time of day, so that the same contents give the same bytes.
// Errors   InputError: no library to put in, or one for another machine; OutputError of the archive
// Checked  tests/sim/study/unit/imported_unit_test.cc
#pragma once

#include <atomic>
#include <filesystem>
#include <span>
#include <string>

#include "sim/output/write_folder.h"
#include "sim/study/unit/unit_contents.h"

namespace sim::unit {

/// The archive's bytes; names of entries with `/` between folders.
std::string archive_of(std::span<const output::ResultFile> entries);

/// A whole unit: `library` is the shared library that runs it.
std::string unit_archive(const UnitContents& contents, const std::filesystem::path& library);

/// What a unit of the scenario carries: the form of its lines is judged, and with a controller its
/// delay table is tuned and, where the scenario has strip tests, its trim found.
struct AskedUnit {
  int row = -1;  // -1: the nominal row, which is row 0 of the machine
  bool with_controller = false;
};
UnitContents unit_of(const scenario::Scenario& scenario, const AskedUnit& asked,
                     const std::atomic<bool>* stop = nullptr);

}  // namespace sim::unit
