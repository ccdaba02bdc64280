// A folder with findings of earlier commands, such as tuned delay tables and strip trims. It saves
// time, is not part of any result, and may be deleted at any moment.
//
//   name     the first 32 digits of the SHA-256 of kind, program and all inputs, then ".kept"
//   line 1   "sillion kept 1: " with the kind, and a note that the file may be deleted
//   line 2   "of " and that SHA-256 with all its digits
//   lines    the finding, as text
//   last     "sum " and the SHA-256 of all lines before it
//
// A file that is missing, cut short, damaged, not readable, or of another program or other inputs
// counts as absent: its finding is computed again and replaces it. A folder that cannot be made or
// written, or a full disk, means that nothing is saved, but no command fails. A file is written
// under a name that no other process uses and then renamed, so any number of processes may write
// the same one. A command that finds kMostKept files or more deletes the oldest and leaves half as
// many.
//
// Errors   none
// Checked  tests/sim/output/kept_folder_test.cc
#pragma once

#include <cstddef>
#include <filesystem>
#include <map>
#include <mutex>
#include <optional>
#include <string>

namespace sim::output {

/// About 1 kB each.
inline constexpr std::size_t kMostKept = 4000;

class KeptFolder {
 public:
  /// `folder` empty: findings are kept in memory only, as long as this object lives. `program`
  /// identifies the program that computes them.
  KeptFolder(std::filesystem::path folder, std::string program);

  /// The finding that `keep` was given for the same kind, program and inputs; nothing if there is
  /// none or if it fails its checks. May be called from any thread.
  std::optional<std::string> find(const std::string& kind, const std::string& inputs);
  /// `found` is lines of text, each with its line end. May be called from any thread.
  void keep(const std::string& kind, const std::string& inputs, const std::string& found);

  /// The file for the finding of these inputs, whether it exists or not.
  std::filesystem::path file_of(const std::string& kind, const std::string& inputs) const;

 private:
  std::string sum_of(const std::string& kind, const std::string& inputs) const;
  void remember(const std::string& sum, const std::string& found);
  void make_room();

  std::filesystem::path folder_;
  std::string program_;
  std::mutex mutex_;
  std::map<std::string, std::string> in_memory_;
  bool has_room_ = false;
};

}  // namespace sim::output
