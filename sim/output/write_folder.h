// A folder of files, whole or not there at all.
//
//   all files go into .NAME.partial beside the folder; only when every byte is down is it moved
//   into place. Into a folder that exists, files are moved one by one over their old selves; what
//   else lies in it stays.
//
// Errors   OutputError with path and reason; what was begun is taken away again. A .partial folder
//          that a killed process left is cleared by the next write to the same place.
// Checked  tests/sim/output/write_folder_test.cc
#pragma once

#include <chrono>
#include <filesystem>
#include <span>
#include <stdexcept>
#include <string>

namespace sim::output {

struct OutputError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

struct ResultFile {
  std::string name;
  std::string bytes;
};

void write_folder(std::span<const ResultFile> files, const std::filesystem::path& out);
/// One file, whole or not there at all: written beside its place, then moved. Makes its folder.
void write_whole_file(const std::filesystem::path& file, const std::string& bytes);
/// One file straight to its place; throws OutputError when not every byte could be written.
void write_file(const std::filesystem::path& file, const std::string& bytes);

/// Waits until no result is being written, and lets no further one begin: for whoever ends the
/// program. False where one was still under way after `most`.
bool hold_writes_for(std::chrono::milliseconds most);

}  // namespace sim::output
