// Writes a folder of files, either all of them or none.
//
//   All files go into .NAME.partial beside the folder; only when every byte is on disk is it moved
//   into place. If the folder exists, the files are moved one by one over their predecessors; other
//   files in it stay.
//
// Errors   OutputError with path and reason; unfinished files are removed. A .partial folder that a
//          killed process left is cleared by the next write to the same place.
// Checked  tests/sim/output/write_folder_test.cc
#pragma once

#include <chrono>
#include <filesystem>
#include <span>
#include <stdexcept>
#include <string>
#include <vector>

namespace sim::output {

struct OutputError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

class SpilledText;  // sim/output/spilled_text.h

struct ResultFile {
  std::string name;
  std::string bytes;
  std::vector<SpilledText*> behind = {};  // texts that follow `bytes` in the file
};

void write_folder(std::span<const ResultFile> files, const std::filesystem::path& out);
/// Writes one file whole or not at all: beside its place first, then moved. Makes its folder.
void write_whole_file(const std::filesystem::path& file, const std::string& bytes);
/// Writes one file directly to its place; throws OutputError if not every byte could be written.
void write_file(const std::filesystem::path& file, const std::string& bytes);

/// Waits until no result is being written, and prevents any further write: for the code that ends
/// the program. False if a write was still under way after `most`.
bool hold_writes_for(std::chrono::milliseconds most);

}  // namespace sim::output
