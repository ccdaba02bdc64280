// A shard of a sweep: the part of a study's cells that one process runs, so that several machines
// share a study. All shards together have every cell, and none of them has a cell twice.
//
//   dealing   the cell with index k belongs to shard k mod S + 1 of S. If `stop` adds samples, the
//             cells of one combination of the listed axes decide together when to stop, so that
//             whole combinations are dealt; else single cells.
//   note      shard.json in the shard's folder says which study (by its hashes), which shard, of
//             how many. The merge (sim/study/sweep/merge.h) reads it.
//
// Errors   InputError if the words i/S are malformed or out of range; reading a note: nothing if it
//          is missing or damaged
// Checked  tests/sim/study/sweep/shard_test.cc
#pragma once

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>

#include "sim/study/sweep/study.h"
#include "sim/study/sweep/sweep_cells.h"

namespace sim::sweep {

struct Shard {
  std::size_t number = 1;  // from 1
  std::size_t count = 1;

  /// "2/5"
  std::string words() const;
};
/// Reads "2/5".
Shard read_shard(const std::string& words);

/// Whether the shards get whole combinations of the listed axes instead of single cells.
bool deals_combinations(const Study& study);
/// Number of things that are dealt: cells or combinations.
std::size_t dealt_count(const Study& study);
/// Number of the shard, from 1, to which a cell belongs.
std::size_t shard_number(const Study& study, std::size_t shards, const CellPlan& cell);
/// How many of the dealt things this shard has.
std::size_t dealt_to(const Study& study, const Shard& shard);

/// What has to be equal for two shards to belong together.
struct StudyHashes {
  std::string study;  // axes, passes, stop rule, name, title and the scenarios of all its cells
  std::string controller;
  std::string program;
};
StudyHashes hashes_of_study(const Study& study);
/// "program", "controller" or "study", the first in this order that differs; empty: none differs.
std::string differing_hash(const StudyHashes& one, const StudyHashes& other);

struct ShardNote {
  std::string name;  // of the study
  Shard shard;
  StudyHashes hashes;
};
std::string shard_json(const ShardNote& note);
std::filesystem::path shard_file(const std::filesystem::path& folder);
std::optional<ShardNote> read_shard_note(const std::filesystem::path& folder);

}  // namespace sim::sweep
