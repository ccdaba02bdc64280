// A folder of results as a test compares it: every file below it by its path, with its bytes, and
// what its ledger (sim/output/ledger.h) holds. The bytes of a ledger depend on the order in which
// work ended, so the results are compared without it.
//
// Errors   none: a folder that is not there has no files
// Checked  by the tests that compare
#pragma once

#include <gtest/gtest.h>

#include <cstdint>
#include <map>
#include <string>

#include "sim/output/ledger.h"
#include "sim/output/sqlite.h"
#include "tests/support/run_program.h"

namespace support {

inline std::map<std::string, std::string> files_below(const std::filesystem::path& folder) {
  std::map<std::string, std::string> files;
  std::error_code ignored;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder, ignored))
    if (entry.is_regular_file())
      files[entry.path().lexically_relative(folder).string()] = text_of(entry.path());
  return files;
}

/// The same without ledgers.
inline std::map<std::string, std::string> results_below(const std::filesystem::path& folder) {
  auto files = files_below(folder);
  std::erase_if(files, [](const auto& file) { return file.first.starts_with("ledger"); });
  return files;
}

/// Names the files that differ, without their bytes.
inline void expect_same_results(const std::filesystem::path& one,
                                const std::filesystem::path& other) {
  const auto files = results_below(one), others = results_below(other);
  EXPECT_EQ(files.size(), others.size());
  EXPECT_FALSE(others.empty());
  for (const auto& [name, text] : others)
    EXPECT_TRUE(files.contains(name) && files.at(name) == text) << name << " differs";
}

/// Number of pieces in the ledger of `folder`; 0 if there is none, or one that was cut off unmade.
inline std::int64_t pieces_in(const std::filesystem::path& folder) {
  using namespace sim::output;
  if (!std::filesystem::exists(ledger_file(folder))) return 0;
  Database database(ledger_file(folder), Access::kRead);
  if (database.number_of("PRAGMA schema_version") == 0) return 0;
  return database.number_of("SELECT count(*) FROM piece");
}

/// Keys of the whole pieces in the ledger of `folder`, each with a number that changes when it is
/// written again.
inline std::map<std::string, std::int64_t> kept_below(const std::filesystem::path& folder) {
  sim::output::Database database(sim::output::ledger_file(folder), sim::output::Access::kRead);
  sim::output::Statement select(database, "SELECT inputs, rowid FROM piece WHERE number < 0");
  std::map<std::string, std::int64_t> kept;
  while (select.step()) kept[select.text_at(0)] = select.number_at(1);
  return kept;
}

/// Runs an SQL statement on the ledger of `folder`.
inline void change_ledger(const std::filesystem::path& folder, const std::string& statement) {
  sim::output::Database(sim::output::ledger_file(folder), sim::output::Access::kWrite)
      .run(statement);
}

}  // namespace support
