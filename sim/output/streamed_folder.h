// Writes a folder of files that are too large for memory, either all of them or none: as
// write_folder, but each file is written piece by piece, or by a library that wants a path.
//
//   Everything goes into .NAME.partial beside the folder; finish() moves it into place. If the
//   folder exists, the files are moved one by one over their predecessors; other files in it stay.
//   Without finish() the unfinished files go away.
//
// Errors   OutputError with path and reason
// Checked  tests/sim/output/streamed_folder_test.cc
#pragma once

#include <cstdio>
#include <filesystem>
#include <string>
#include <string_view>

namespace sim::output {

class StreamedFolder {
 public:
  explicit StreamedFolder(const std::filesystem::path& out);
  ~StreamedFolder();
  StreamedFolder(const StreamedFolder&) = delete;
  StreamedFolder& operator=(const StreamedFolder&) = delete;

  /// Where a file of this name is to be written; makes the folder in which it lies.
  std::filesystem::path path_of(const std::filesystem::path& name) const;
  /// Moves all into place.
  void finish();

 private:
  std::filesystem::path target_;
  std::filesystem::path partial_;
};

/// A file that grows piece by piece.
class StreamedFile {
 public:
  explicit StreamedFile(std::filesystem::path file);
  ~StreamedFile();
  StreamedFile(const StreamedFile&) = delete;
  StreamedFile& operator=(const StreamedFile&) = delete;

  void put(std::string_view bytes);
  /// When it returns, every byte is on disk.
  void close();

 private:
  [[noreturn]] void fail(int reason) const;

  std::filesystem::path file_;
  std::FILE* handle_ = nullptr;
};

}  // namespace sim::output
