// Command lines that a sweep in shards prints, so that each can be pasted: the shard again, the one
// that is missing, the merge.
//
//   Shards lie in folders whose names end with their number, out/NAME-shards-of-5/2 unless --out
//   states another; then the folders of all shards are known from one of them.
//
// Errors   none
// Checked  tests/sim/command/shard_command_test.cc
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "sim/command/sweep_options.h"
#include "sim/study/sweep/shard.h"

namespace sim::command {

std::filesystem::path shard_folder(const std::string& study, const sweep::Shard& shard);
/// The folder of another shard, where the name of this one's folder ends with its number.
std::optional<std::filesystem::path> folder_beside(const std::filesystem::path& folder,
                                                   std::size_t number, std::size_t other);
/// `sillion sweep STUDY --shard i/S --out DIR` with the values and the controller in use.
std::string shard_line(const SweepOptions& options, const sweep::Shard& shard,
                       const std::filesystem::path& folder);
/// The merge of all shards, of which this one lies in `folder`.
std::string merge_line(const SweepOptions& options, const std::string& study,
                       const sweep::Shard& shard, const std::filesystem::path& folder);

}  // namespace sim::command
