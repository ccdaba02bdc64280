// The ledger of a study: ledger.sqlite beside its results, with every finished piece of its work,
// so that a study that was killed goes on with what is missing and ends with the same bytes.
//
//   piece    one seeded pass, or what a study makes of several (a cell of a sweep). Its key is a
//            hash of everything on which its result depends (scenario, parameters, controller,
//            program, own settings) and its number; the number kWhole is what several pieces became
//   record   bytes that only the study understands (sim/output/plain_bytes.h), stored with a hash:
//            a record that is damaged counts as missing
//   commit   pieces are committed together, kCommitEvery apart; the first one at once. A process
//            that is killed loses the pieces that it finished within that time
//   owner    hashes of study, controller and program, and the version of the schema. A ledger of
//            another owner is refused, and is not changed
//
// Pieces are found by key and number, so the order in which they arrive reaches no result.
//
// Errors   InputError: a ledger of another study, controller, program or schema; OutputError
//          (sim/output/sqlite.h). A commit that fails is reported by the next keep() or by close()
// Checked  tests/sim/output/ledger_test.cc
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <exception>
#include <filesystem>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "sim/output/sqlite.h"

namespace sim::output {

inline constexpr int kLedgerSchema = 1;
inline constexpr std::chrono::milliseconds kCommitEvery{200};
/// The number of a record that stands for all numbered pieces of its key.
inline constexpr std::int64_t kWhole = -1;

/// Hashes of what a ledger belongs to.
struct LedgerOwner {
  std::string study;
  std::string controller;
  std::string program;
};

std::filesystem::path ledger_file(const std::filesystem::path& out);
/// Of one rank of several that share a folder.
std::filesystem::path rank_ledger_file(const std::filesystem::path& out, int rank);
void remove_ledger(const std::filesystem::path& file);

class Ledger {
 public:
  /// If `goes_on`, pieces that are there already are found; otherwise the ledger is emptied.
  Ledger(const std::filesystem::path& file, const LedgerOwner& owner, bool goes_on);
  /// Commits what has arrived; a failure is then not reported.
  ~Ledger();
  Ledger(const Ledger&) = delete;
  Ledger& operator=(const Ledger&) = delete;

  /// The record of a piece that was there when the ledger was opened. From any thread.
  std::optional<std::string> find(const std::string& key, std::int64_t number = kWhole);
  /// May be called from any thread. With kWhole the numbered pieces of the key are given up.
  void keep(const std::string& key, std::int64_t number, std::string record);
  /// Takes over all pieces of another ledger of the same owner and deletes its file; nothing if
  /// there is no such file. Only while nothing is kept.
  void take_in(const std::filesystem::path& file);
  /// Returns when every piece is on disk. Nothing may be kept afterwards.
  void close();

 private:
  struct Piece {
    std::string key;
    std::int64_t number = kWhole;
    std::string record;
  };
  void write_until_closed();
  void write(const std::vector<Piece>& pieces);
  void end_writing();

  LedgerOwner owner_;
  std::mutex database_mutex_;
  std::unique_ptr<Database> database_;
  bool has_earlier_ = false;

  std::mutex mutex_;
  std::condition_variable changed_;
  std::vector<Piece> arrived_;
  std::size_t arrived_bytes_ = 0;
  bool closing_ = false;
  std::exception_ptr failed_;
  std::thread writer_;
};

/// A ledger that another process has finished writing.
class LedgerReader {
 public:
  LedgerReader(const std::filesystem::path& file, const LedgerOwner& owner);

  /// Keys that have a whole record, in order.
  std::vector<std::string> whole_keys();
  /// May be called from any thread.
  std::optional<std::string> find(const std::string& key, std::int64_t number = kWhole);
  const std::filesystem::path& file() const { return database_.file(); }

 private:
  std::mutex mutex_;
  Database database_;
};

}  // namespace sim::output
