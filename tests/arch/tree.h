// The tree as text: every source, script and page of the repository, read once.
//
// Build folders, results and hidden folders are left out, so that a test sees what a commit would
// hold.
// Checked  tests/arch/rules_test.cc
#pragma once

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <string_view>
#include <vector>

namespace arch {

struct SourceFile {
  std::string path;  // from the repository's top, with forward slashes
  std::string text;
};

/// One breach of a rule; line 0 means the whole file.
struct Finding {
  std::string path;
  int line = 0;
  std::string what;
};

inline bool starts_with(std::string_view text, std::string_view start) {
  return text.substr(0, start.size()) == start;
}
inline bool ends_with(std::string_view text, std::string_view end) {
  return text.size() >= end.size() && text.substr(text.size() - end.size()) == end;
}
inline bool is_code(std::string_view path) {
  return ends_with(path, ".h") || ends_with(path, ".cc");
}
inline bool is_header(std::string_view path) { return ends_with(path, ".h"); }

inline std::vector<std::string> lines_of(std::string_view text) {
  std::vector<std::string> lines;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    lines.emplace_back(text.substr(0, end));
    text = end == std::string_view::npos ? std::string_view{} : text.substr(end + 1);
  }
  return lines;
}

/// Folders and files at the top that git would not take (.gitignore) or that are git's own.
inline bool is_outside_tree(std::string_view top_name) {
  return top_name == ".git" || top_name == "out" || top_name == ".cache" ||
         starts_with(top_name, "build");
}

inline std::vector<std::string> top_names(const std::filesystem::path& root) {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(root)) {
    const std::string name = entry.path().filename().string();
    if (!is_outside_tree(name)) names.push_back(name);
  }
  std::sort(names.begin(), names.end());
  return names;
}

inline std::string read_text(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

/// Files that people write, sorted by path; recorded data and minified assets are not among them.
inline std::vector<SourceFile> read_tree(const std::filesystem::path& root) {
  static constexpr std::array<std::string_view, 10> kWritten = {
      ".h", ".cc", ".cmake", ".txt", ".md", ".toml", ".sh", ".json", ".js", ".css"};
  std::vector<SourceFile> files;
  for (const std::string& top : top_names(root)) {
    const std::filesystem::path start = root / top;
    std::vector<std::filesystem::path> found;
    if (std::filesystem::is_directory(start)) {
      for (const auto& entry : std::filesystem::recursive_directory_iterator(start)) {
        if (entry.is_regular_file()) found.push_back(entry.path());
      }
    } else {
      found.push_back(start);
    }
    for (const std::filesystem::path& file : found) {
      const std::string path = file.lexically_relative(root).generic_string();
      const bool written = std::any_of(kWritten.begin(), kWritten.end(),
                                       [&](std::string_view end) { return ends_with(path, end); });
      const bool recorded = starts_with(path, "tests/data/") || path.find(".min.") != path.npos;
      if (written && !recorded) files.push_back({path, read_text(file)});
    }
  }
  std::sort(files.begin(), files.end(),
            [](const SourceFile& a, const SourceFile& b) { return a.path < b.path; });
  return files;
}

/// Paths of all files, data included.
inline std::vector<std::string> all_paths(const std::filesystem::path& root) {
  std::vector<std::string> paths;
  for (const std::string& top : top_names(root)) {
    if (!std::filesystem::is_directory(root / top)) {
      paths.push_back(top);
      continue;
    }
    for (const auto& entry : std::filesystem::recursive_directory_iterator(root / top)) {
      if (entry.is_regular_file()) {
        paths.push_back(entry.path().lexically_relative(root).generic_string());
      }
    }
  }
  return paths;
}

}  // namespace arch
