// A SQLite database and its statements, closed with their scope.
//
//   A database belongs to one process: kWrite takes the exclusive lock of the file at once and
//   holds it until the database is closed, so that a second writer is refused at its start.
//   journal   rollback journal, not a write-ahead log: the latter needs memory that all processes
//             share, which the network file systems of clusters do not have
//   sync      full: a commit is on disk when it returns
//
// Errors   OutputError with the file, the reason and what to do: cannot be written, full disk, in
//          use by another process, damaged, or no database
// Checked  tests/sim/output/ledger_test.cc, tests/sim/study/map/map_formats_test.cc
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>

struct sqlite3;
struct sqlite3_stmt;

namespace sim::output {

enum class Access : std::uint8_t {
  kWrite,  // made if it is missing; alone
  kRead,   // must exist; what a killed writer left half done is rolled back
};

/// What lies in the file, for the words of an error; a ledger gives freed pages back bit by bit.
enum class Holds : std::uint8_t { kLedger, kMap };

class Database {
 public:
  Database(std::filesystem::path file, Access access, Holds holds = Holds::kLedger);
  ~Database();
  Database(const Database&) = delete;
  Database& operator=(const Database&) = delete;

  /// Runs statements that give no rows.
  void run(const std::string& statements);
  /// The whole number that a query gives.
  std::int64_t number_of(const std::string& query);
  const std::filesystem::path& file() const { return file_; }

 private:
  friend class Statement;
  [[noreturn]] void fail(int code) const;
  [[noreturn]] void fail_map(int code) const;

  std::filesystem::path file_;
  Access access_;
  Holds holds_;
  sqlite3* database_ = nullptr;
};

/// One prepared statement, which may run any number of times. Places and columns count as SQLite
/// counts them: places from 1, columns from 0.
class Statement {
 public:
  Statement(Database& database, const std::string& text);
  ~Statement();
  Statement(const Statement&) = delete;
  Statement& operator=(const Statement&) = delete;

  /// The text or bytes must stay until the next reset().
  Statement& text(int place, std::string_view value);
  Statement& bytes(int place, std::string_view value);
  Statement& number(int place, std::int64_t value);
  Statement& real(int place, double value_si);  // not-a-number: no value
  /// Whether there is a row.
  bool step();
  void reset();

  std::string text_at(int column) const;  // of text or bytes
  std::int64_t number_at(int column) const;
  double real_at_si(int column) const;
  bool is_text_at(int column) const;

 private:
  Database& database_;
  sqlite3_stmt* statement_ = nullptr;
};

}  // namespace sim::output
