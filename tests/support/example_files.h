// Which files an example command line reads, and which it leaves behind for those below it.
//
// Errors   none
// Checked  tests/sim/manual/manual_examples_test.cc, tests/sim/command/help_test.cc
#pragma once

#include <algorithm>
#include <filesystem>
#include <regex>
#include <string>
#include <vector>

#include "tests/support/manual_pages.h"

namespace support {

inline bool is_sillion(const Example& example) {
  return std::filesystem::path(example.words.front()).filename() == "sillion";
}

inline bool names_a_file(const std::string& word) {
  static const std::regex file(R"([A-Za-z0-9_./-]+\.(toml|csv|nmea|so|c|sh|html|vcd|svg))");
  return std::regex_match(word, file);
}

/// The value of KEY=VALUE without its quotes; a word without `=` is returned as it is.
inline std::string value_of(const std::string& word) {
  std::string value = word.substr(word.find('=') == std::string::npos ? 0 : word.find('=') + 1);
  std::erase(value, '"');
  return value;
}

class ExampleFiles {
 public:
  /// A file that the reader writes before the first command.
  void add_written(const std::string& file) { written_.push_back(file); }

  /// Files that this command needs and nothing has written yet. The command then counts as run.
  std::vector<std::string> missing_of(const Example& example) {
    std::vector<std::string> missing;
    std::vector<std::string> written;
    for (std::size_t i = 0; i < example.words.size(); ++i) {
      const std::string file = value_of(example.words[i]);
      const std::string before = i > 0 ? example.words[i - 1] : "";
      if (before == "--out") written.push_back(file);
      if (!names_a_file(file)) continue;
      if (writes(example, before) || (example.words[0] == "cp" && i + 1 == example.words.size()))
        written.push_back(file);
      else if (!is_there(file))
        missing.push_back(file);
    }
    if (!example.reads.empty() && !is_there(example.reads)) missing.push_back(example.reads);
    written_.insert(written_.end(), written.begin(), written.end());
    return missing;
  }

 private:
  static bool writes(const Example& example, const std::string& option) {
    if (option == "-o" || option == "--wave" || option == "--furrow" || option == "--standalone")
      return true;
    return option == "--trace" && example.words.size() > 1 && example.words[1] == "rig";
  }
  /// Whether the file is in the tree, in this build (what `build/release` means to a reader),
  /// written by an earlier command, or a documented result in a folder that an earlier command has
  /// written.
  bool is_there(const std::string& file) const {
    namespace fs = std::filesystem;
    const std::string release = "build/release/";
    if (file.starts_with(release))
      return fs::exists(std::string(SILLION_BINARY_DIR) + "/" + file.substr(release.size()));
    const fs::path root = SILLION_SOURCE_DIR;
    const std::string here = fs::path(file).lexically_relative(root).string();
    const std::string inside = fs::path(file).is_absolute() ? here : file;
    if (std::find(written_.begin(), written_.end(), inside) != written_.end()) return true;
    const std::string folder = fs::path(inside).parent_path().string();
    const bool from_there = std::find(written_.begin(), written_.end(), folder) != written_.end();
    const std::string name = "`" + fs::path(inside).filename().string() + "`";
    if (from_there && text_of_page("scenarios/manual/results.md").find(name) != std::string::npos)
      return true;
    // a value of --set is found from the scenario's folder, which is scenarios/ in every example
    return fs::exists(root / inside) || fs::exists(root / "scenarios" / inside);
  }

  std::vector<std::string> written_;
};

}  // namespace support
