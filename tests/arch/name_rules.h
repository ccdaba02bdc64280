// What a comment or a page names must exist: files and folders, types, constants.
//
// A path counts as named when it starts with a folder of the tree's top. It may leave its ending
// out (sim/bench/pass), stand for several files by a star, or say NAME for one of the reader's own.
// Names in code are looked for as words in the code of the whole tree, wherever they are declared.
// Checked  tests/arch/name_rules_test.cc
#pragma once

#include <algorithm>
#include <array>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "tests/arch/code_text.h"
#include "tests/arch/tree.h"

namespace arch {

namespace detail {

/// The comments of a code file, all else blank; the whole text of a page or a script.
inline std::string prose_of(const SourceFile& file) {
  if (!is_code(file.path)) return file.text;
  std::string prose = file.text;
  const std::string bare = bare_code(file.text, false);
  for (std::size_t at = 0; at < prose.size(); ++at)
    if (prose[at] != '\n' && bare[at] == prose[at]) prose[at] = ' ';
  return prose;
}

inline bool may_be_in_path(char c) {
  return is_word(c) || c == '.' || c == '/' || c == '-' || c == '*';
}

inline bool is_there(std::string_view named, const std::vector<std::string>& paths) {
  const std::string_view start = named.substr(0, named.find('*'));
  return std::ranges::any_of(paths, [&](const std::string& path) {
    if (!starts_with(path, start)) return false;
    if (start.size() < named.size() || path.size() == named.size()) return true;
    const std::string_view rest = std::string_view(path).substr(named.size());
    return rest.front() == '/' || rest == ".h" || rest == ".cc" || rest == ".cmake";
  });
}

}  // namespace detail

/// Finds paths into the tree that do not exist, and in code paths that are not written from the
/// top.
inline std::vector<Finding> path_findings(const SourceFile& file,
                                          const std::vector<std::string>& paths) {
  static constexpr std::array<std::string_view, 7> kFolders = {
      "shared/", "model/", "controller/", "sim/", "scenarios/", "tests/", "bench/"};
  std::vector<Finding> findings;
  const std::vector<std::string> lines = lines_of(detail::prose_of(file));
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const std::string& line = lines[i];
    const int number = static_cast<int>(i) + 1;
    if (is_code(file.path) && line.find("../") != std::string::npos)
      findings.push_back({file.path, number, "names a place that is not written from the top"});
    for (const std::string_view folder : kFolders) {
      for (std::size_t at = line.find(folder); at != std::string::npos;
           at = line.find(folder, at + 1)) {
        if (at > 0 && (detail::may_be_in_path(line[at - 1]) || line[at - 1] == '}')) continue;
        std::size_t end = at;
        while (end < line.size() && detail::may_be_in_path(line[end])) ++end;
        while (end > at && (line[end - 1] == '.' || line[end - 1] == '/')) --end;
        const std::string named = line.substr(at, end - at);
        if (named.find("NAME") != std::string::npos || detail::is_there(named, paths)) continue;
        findings.push_back({file.path, number, named + " is not there"});
      }
    }
  }
  return findings;
}

/// Finds the front page's name without its ending: it says neither which page nor where, and
/// sections move from page to page.
inline std::vector<Finding> page_findings(const SourceFile& file) {
  std::vector<Finding> findings;
  if (!is_code(file.path)) return findings;
  const std::vector<std::string> lines = lines_of(file.text);
  constexpr std::string_view kPage =
      "READ"
      "ME";
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const std::size_t at = find_word(lines[i], kPage);
    if (at == std::string::npos || lines[i].compare(at + kPage.size(), 3, ".md") == 0) continue;
    findings.push_back({file.path, static_cast<int>(i) + 1,
                        "names a page without its path, such as scenarios/manual/words.md"});
  }
  return findings;
}

/// All words of the tree's code, comments left out.
inline std::set<std::string> words_of_code(const std::vector<SourceFile>& tree) {
  std::set<std::string> words;
  for (const SourceFile& file : tree) {
    const std::string bare = is_code(file.path) ? bare_code(file.text, false) : file.text;
    for (std::size_t at = 0; at < bare.size();) {
      std::size_t end = at;
      while (end < bare.size() && is_word(bare[end])) ++end;
      if (end > at && !ends_with(file.path, ".md")) words.insert(bare.substr(at, end - at));
      at = end + 1;
    }
  }
  return words;
}

/// Words with a capital inside, and words with an underscore between backquotes, in comments.
inline std::vector<Finding> word_findings(const SourceFile& file,
                                          const std::set<std::string>& code) {
  // units of computing, names from outside of the tree, a column of a user's table
  static const std::set<std::string> kOutside = {"KiB", "GiB", "SplitMix64", "ZpsNfMtP",
                                                 "speed_mph"};
  std::vector<Finding> findings;
  if (!is_code(file.path)) return findings;
  const std::vector<std::string> lines = lines_of(detail::prose_of(file));
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const std::string& line = lines[i];
    for (std::size_t at = 0; at < line.size();) {
      std::size_t end = at;
      while (end < line.size() && is_word(line[end])) ++end;
      const std::string word = line.substr(at, end - at);
      const auto upper = [&](std::size_t k) { return word[k] >= 'A' && word[k] <= 'Z'; };
      const auto lower = [&](std::size_t k) { return word[k] >= 'a' && word[k] <= 'z'; };
      bool camel = word.size() > 2 && lower(1) && (upper(0) || word[0] == 'k');
      camel = camel && std::ranges::any_of(word, [](char c) { return c >= 'A' && c <= 'Z'; });
      bool hump = word.size() > 2 && word[0] == 'k' && upper(1);
      for (std::size_t k = 2; k < word.size(); ++k) hump = hump || (camel && upper(k));
      const bool quoted = at > 0 && line[at - 1] == '`' && end < line.size() && line[end] == '`' &&
                          word.find('_') != std::string::npos;
      if ((hump || quoted) && code.count(word) == 0 && kOutside.count(word) == 0)
        findings.push_back({file.path, static_cast<int>(i) + 1, word + " is nowhere in the code"});
      at = end + 1;
    }
  }
  return findings;
}

}  // namespace arch
