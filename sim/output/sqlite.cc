#include "sim/output/sqlite.h"

#include <sqlite3.h>

#include <cerrno>
#include <cstring>
#include <utility>

#include "sim/output/write_folder.h"

namespace sim::output {
namespace {

/// The system's own reason where SQLite knows it.
std::string reason_of(sqlite3* database, int code) {
  if ((code & 0xff) == SQLITE_FULL) return std::strerror(ENOSPC);
  const int system = database == nullptr ? 0 : sqlite3_system_errno(database);
  return system != 0 ? std::strerror(system) : sqlite3_errstr(code);
}

}  // namespace

void Database::fail_map(int code) const {
  const std::string file = file_.string();
  switch (code & 0xff) {
    case SQLITE_NOTADB: throw OutputError(file + ": is no SQLite file, so it is no GeoPackage");
    case SQLITE_CORRUPT:
      throw OutputError(file + ": is damaged (" + sqlite3_errmsg(database_) + ")");
    case SQLITE_NOMEM: throw std::bad_alloc();
    case SQLITE_ERROR:
      throw OutputError(file + ": is no GeoPackage that can be read: " + sqlite3_errmsg(database_));
    default:
      throw OutputError(file + (access_ == Access::kRead ? ": cannot read: " : ": cannot write: ") +
                        reason_of(database_, code));
  }
}

void Database::fail(int code) const {
  if (holds_ == Holds::kMap) fail_map(code);
  const std::string file = file_.string();
  switch (code & 0xff) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      throw OutputError(file +
                        ": another process has it open; let it end, or state another folder "
                        "with --out");
    case SQLITE_NOTADB:
      throw OutputError(file +
                        ": is not a ledger of sillion; move it away, or state another folder with "
                        "--out");
    case SQLITE_CORRUPT:
      throw OutputError(file + ": is damaged (" + sqlite3_errmsg(database_) +
                        "); what it holds is not used: delete it, and the study begins anew");
    case SQLITE_NOMEM: throw std::bad_alloc();
    default:
      if (access_ == Access::kRead)
        throw OutputError(file + ": cannot read: " + reason_of(database_, code));
      throw OutputError(file + ": cannot write: " + reason_of(database_, code) +
                        "; what was finished before is kept, and --resume goes on from there");
  }
}

Database::Database(std::filesystem::path file, Access access, Holds holds)
    : file_(std::move(file)), access_(access), holds_(holds) {
  const bool write = access == Access::kWrite;
  std::error_code missing;
  const bool is_new = std::filesystem::file_size(file_, missing) == 0 || missing;
  // A ledger is rolled back where a writer was killed; a map that was handed in stays as it is.
  const int reading = holds == Holds::kMap ? SQLITE_OPEN_READONLY : SQLITE_OPEN_READWRITE;
  const int flags =
      SQLITE_OPEN_NOMUTEX | (write ? SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE : reading);
  try {
    const int code = sqlite3_open_v2(file_.c_str(), &database_, flags, nullptr);
    if (code != SQLITE_OK) fail(code);
    sqlite3_extended_result_codes(database_, 1);
    // A file or file system that cannot be written is opened all the same, for reading.
    if (write && sqlite3_db_readonly(database_, "main") == 1) {
      throw OutputError(file_.string() + ": cannot write: it may be read only");
    }
    if (!write) return;
    // Can only be set in a new file, before its first lock; in others it would be written again.
    if (is_new && holds == Holds::kLedger) run("PRAGMA auto_vacuum = INCREMENTAL");
    run("PRAGMA locking_mode = EXCLUSIVE; PRAGMA journal_mode = DELETE; PRAGMA synchronous = FULL; "
        "PRAGMA temp_store = MEMORY; BEGIN EXCLUSIVE; COMMIT");
  } catch (...) {
    sqlite3_close(database_);
    throw;
  }
}

Database::~Database() { sqlite3_close(database_); }

void Database::run(const std::string& statements) {
  const int code = sqlite3_exec(database_, statements.c_str(), nullptr, nullptr, nullptr);
  if (code == SQLITE_OK) return;
  const int extended = sqlite3_extended_errcode(database_);
  fail(extended != SQLITE_OK ? extended : code);
}

std::int64_t Database::number_of(const std::string& query) {
  Statement statement(*this, query);
  return statement.step() ? statement.number_at(0) : 0;
}

Statement::Statement(Database& database, const std::string& text) : database_(database) {
  const int code = sqlite3_prepare_v2(database.database_, text.c_str(), -1, &statement_, nullptr);
  if (code != SQLITE_OK) database.fail(code);
}

Statement::~Statement() { sqlite3_finalize(statement_); }

Statement& Statement::text(int place, std::string_view value) {
  const int code = sqlite3_bind_text64(statement_, place, value.data(), value.size(), SQLITE_STATIC,
                                       SQLITE_UTF8);
  if (code != SQLITE_OK) database_.fail(code);
  return *this;
}

Statement& Statement::bytes(int place, std::string_view value) {
  const int code =
      sqlite3_bind_blob64(statement_, place, value.data(), value.size(), SQLITE_STATIC);
  if (code != SQLITE_OK) database_.fail(code);
  return *this;
}

Statement& Statement::number(int place, std::int64_t value) {
  const int code = sqlite3_bind_int64(statement_, place, value);
  if (code != SQLITE_OK) database_.fail(code);
  return *this;
}

Statement& Statement::real(int place, double value_si) {
  const int code = sqlite3_bind_double(statement_, place, value_si);  // not-a-number becomes NULL
  if (code != SQLITE_OK) database_.fail(code);
  return *this;
}

bool Statement::step() {
  const int code = sqlite3_step(statement_);
  if (code != SQLITE_ROW && code != SQLITE_DONE) database_.fail(code);
  return code == SQLITE_ROW;
}

void Statement::reset() {
  sqlite3_reset(statement_);
  sqlite3_clear_bindings(statement_);
}

std::string Statement::text_at(int column) const {
  const void* bytes = sqlite3_column_blob(statement_, column);
  const auto size = static_cast<std::size_t>(sqlite3_column_bytes(statement_, column));
  return bytes == nullptr ? std::string() : std::string(static_cast<const char*>(bytes), size);
}

double Statement::real_at_si(int column) const { return sqlite3_column_double(statement_, column); }

bool Statement::is_text_at(int column) const {
  return sqlite3_column_type(statement_, column) == SQLITE_TEXT;
}

std::int64_t Statement::number_at(int column) const {
  return sqlite3_column_int64(statement_, column);
}

}  // namespace sim::output
