#include "sim/output/ledger.h"

#include <utility>

#include "sim/output/hash.h"
#include "sim/output/write_folder.h"
#include "sim/text/input_error.h"

namespace sim::output {
namespace fs = std::filesystem;
namespace {

constexpr std::int64_t kApplication = 0x53494c4c;  // "SILL" in the head of the file
/// keep() waits while more than this has arrived and is not yet written.
constexpr std::size_t kMostArrived_bytes = 32u << 20u;

std::string seal_of(const std::string& key, std::int64_t number, std::string_view record) {
  std::string sealed = key + " " + std::to_string(number) + " ";
  sealed.append(record);
  return short_hash_hex(sealed);
}

/// An empty file, or one whose making was cut off and has been rolled back.
bool is_fresh(Database& database) { return database.number_of("PRAGMA schema_version") == 0; }

void require_ledger(Database& database) {
  if (is_fresh(database) || database.number_of("PRAGMA application_id") == kApplication) return;
  throw OutputError(database.file().string() +
                    ": is not a ledger of sillion; move it away, or state another folder with "
                    "--out");
}

void make_tables(Database& database, const LedgerOwner& owner) {
  database.run("BEGIN; PRAGMA application_id = " + std::to_string(kApplication) +
               "; PRAGMA user_version = " + std::to_string(kLedgerSchema) +
               "; CREATE TABLE owner (name TEXT PRIMARY KEY, hash TEXT NOT NULL);"
               "CREATE TABLE piece (inputs TEXT NOT NULL, number INTEGER NOT NULL, "
               "seal TEXT NOT NULL, record BLOB NOT NULL, PRIMARY KEY (inputs, number))");
  Statement insert(database, "INSERT INTO owner VALUES (?, ?)");
  for (const auto& [name, hash] : {std::pair{"study", owner.study},
                                   {"controller", owner.controller},
                                   {"program", owner.program}}) {
    insert.text(1, name).text(2, hash).step();
    insert.reset();
  }
  database.run("COMMIT");
}

[[noreturn]] void refuse(Database& database, const std::string& why) {
  throw text::InputError(database.file().string() + ": " + why +
                         "; state another folder with --out, or leave out --resume to begin anew, "
                         "which empties this ledger");
}

void require_owner(Database& database, const LedgerOwner& owner) {
  const std::int64_t schema = database.number_of("PRAGMA user_version");
  if (schema != kLedgerSchema)
    refuse(database, "has schema version " + std::to_string(schema) + ", this program reads " +
                         std::to_string(kLedgerSchema));
  Statement select(database, "SELECT hash FROM owner WHERE name = ?");
  // A new program has a new reference controller too, so the program is compared first.
  for (const auto& [name, own] : {std::pair{"program", owner.program},
                                  {"controller", owner.controller},
                                  {"study", owner.study}}) {
    const std::string there = select.text(1, name).step() ? select.text_at(0) : "none";
    select.reset();
    if (there != own)
      refuse(database, "holds work of another " + std::string(name) + ": its hash is " + there +
                           ", that of this " + name + " is " + own);
  }
}

std::optional<std::string> found_in(Database& database, const std::string& key,
                                    std::int64_t number) {
  Statement select(database, "SELECT seal, record FROM piece WHERE inputs = ? AND number = ?");
  if (!select.text(1, key).number(2, number).step()) return {};
  std::string record = select.text_at(1);
  if (select.text_at(0) != seal_of(key, number, record)) return {};
  return record;
}

/// The file open and with its tables, of this owner.
std::unique_ptr<Database> opened(const fs::path& file, const LedgerOwner& owner, bool goes_on) {
  std::error_code error;
  if (fs::is_directory(file, error))
    throw OutputError(file.string() + ": cannot write: a folder of that name is in the way");
  if (!file.parent_path().empty()) fs::create_directories(file.parent_path(), error);
  if (error) throw OutputError(file.parent_path().string() + ": cannot write: " + error.message());
  auto database = std::make_unique<Database>(file, Access::kWrite);
  require_ledger(*database);
  if (!goes_on && !is_fresh(*database)) {
    database.reset();
    remove_ledger(file);
    database = std::make_unique<Database>(file, Access::kWrite);
  }
  if (is_fresh(*database))
    make_tables(*database, owner);
  else
    require_owner(*database, owner);
  return database;
}

}  // namespace

fs::path ledger_file(const fs::path& out) { return out / "ledger.sqlite"; }

fs::path rank_ledger_file(const fs::path& out, int rank) {
  return out / ("ledger_rank_" + std::to_string(rank) + ".sqlite");
}

void remove_ledger(const fs::path& file) {
  std::error_code error;
  for (const char* ending : {"-journal", ""}) {
    fs::remove(file.string() + ending, error);
    if (error) throw OutputError(file.string() + ": cannot write: " + error.message());
  }
}

Ledger::Ledger(const fs::path& file, const LedgerOwner& owner, bool goes_on)
    : owner_(owner), database_(opened(file, owner, goes_on)) {
  has_earlier_ = database_->number_of("SELECT count(*) FROM (SELECT 1 FROM piece LIMIT 1)") > 0;
  writer_ = std::thread([this] { write_until_closed(); });
}

Ledger::~Ledger() { end_writing(); }

std::optional<std::string> Ledger::find(const std::string& key, std::int64_t number) {
  if (!has_earlier_) return {};
  const std::lock_guard lock(database_mutex_);
  return found_in(*database_, key, number);
}

void Ledger::keep(const std::string& key, std::int64_t number, std::string record) {
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [this] { return failed_ || arrived_bytes_ < kMostArrived_bytes; });
  if (failed_) std::rethrow_exception(failed_);
  arrived_bytes_ += record.size();
  arrived_.push_back({key, number, std::move(record)});
  changed_.notify_all();
}

void Ledger::write_until_closed() {
  std::unique_lock lock(mutex_);
  while (true) {
    changed_.wait(lock, [this] { return closing_ || !arrived_.empty(); });
    if (arrived_.empty()) return;
    const std::vector<Piece> pieces = std::exchange(arrived_, {});
    arrived_bytes_ = 0;
    lock.unlock();
    changed_.notify_all();
    std::exception_ptr failed;
    try {
      write(pieces);
    } catch (...) {
      failed = std::current_exception();
    }
    lock.lock();
    if (failed) {
      failed_ = failed;
      changed_.notify_all();
      return;
    }
    changed_.wait_for(lock, kCommitEvery,
                      [this] { return closing_ || arrived_bytes_ >= kMostArrived_bytes; });
  }
}

void Ledger::write(const std::vector<Piece>& pieces) {
  const std::lock_guard lock(database_mutex_);
  Statement insert(*database_, "INSERT OR REPLACE INTO piece VALUES (?, ?, ?, ?)");
  Statement give_up(*database_, "DELETE FROM piece WHERE inputs = ? AND number >= 0");
  try {
    database_->run("BEGIN");
    for (const Piece& piece : pieces) {
      const std::string seal = seal_of(piece.key, piece.number, piece.record);
      insert.text(1, piece.key).number(2, piece.number).text(3, seal).bytes(4, piece.record).step();
      insert.reset();
      if (piece.number != kWhole) continue;
      give_up.text(1, piece.key).step();
      give_up.reset();
    }
    database_->run("COMMIT");
  } catch (const OutputError&) {
    insert.reset();
    give_up.reset();
    try {
      database_->run("ROLLBACK");
    } catch (const OutputError&) {  // SQLite has rolled back already
    }
    throw;
  }
}

void Ledger::take_in(const fs::path& file) {
  std::error_code error;
  if (!fs::exists(file, error)) return;
  const std::lock_guard lock(database_mutex_);
  {
    Database other(file, Access::kRead);
    require_ledger(other);
    const bool fresh = is_fresh(other);
    if (!fresh) {
      require_owner(other, owner_);
      Statement all(other, "SELECT inputs, number, seal, record FROM piece");
      Statement insert(*database_, "INSERT OR REPLACE INTO piece VALUES (?, ?, ?, ?)");
      database_->run("BEGIN");
      while (all.step()) {
        const std::string key = all.text_at(0), seal = all.text_at(2), record = all.text_at(3);
        insert.text(1, key).number(2, all.number_at(1)).text(3, seal).bytes(4, record).step();
        insert.reset();
      }
      database_->run(
          "DELETE FROM piece WHERE number >= 0 AND inputs IN "
          "(SELECT inputs FROM piece WHERE number < 0); COMMIT");
      has_earlier_ = true;
    }
  }
  remove_ledger(file);
}

void Ledger::end_writing() {
  {
    const std::lock_guard lock(mutex_);
    closing_ = true;
  }
  changed_.notify_all();
  if (writer_.joinable()) writer_.join();
}

void Ledger::close() {
  end_writing();
  if (failed_) std::rethrow_exception(failed_);
  const std::lock_guard lock(database_mutex_);
  if (database_) database_->run("PRAGMA incremental_vacuum");
  database_.reset();
}

LedgerReader::LedgerReader(const fs::path& file, const LedgerOwner& owner)
    : database_(file, Access::kRead) {
  require_ledger(database_);
  if (is_fresh(database_)) refuse(database_, "holds nothing");
  require_owner(database_, owner);
}

std::vector<std::string> LedgerReader::whole_keys() {
  const std::lock_guard lock(mutex_);
  Statement select(database_, "SELECT inputs FROM piece WHERE number < 0 ORDER BY inputs");
  std::vector<std::string> keys;
  while (select.step()) keys.push_back(select.text_at(0));
  return keys;
}

std::optional<std::string> LedgerReader::find(const std::string& key, std::int64_t number) {
  const std::lock_guard lock(mutex_);
  return found_in(database_, key, number);
}

}  // namespace sim::output
