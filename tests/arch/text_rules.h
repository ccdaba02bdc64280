// Rules on the text of a file: its size, what must not be left in it, what a header must say.
//
// Words that would be findings here are written in two halves, so that this file passes its own
// rules.
// Checked  tests/arch/rules_test.cc
#pragma once

#include <array>
#include <filesystem>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "tests/arch/code_text.h"
#include "tests/arch/tree.h"

namespace arch {

inline constexpr int kMostLines = 400;
inline constexpr int kMostColumns = 100;

/// Files that were too long when the rule was introduced; the list may only shrink. It is empty.
inline constexpr std::array<std::string_view, 0> kTooLongAlready = {};

inline int columns_of(std::string_view line) {  // of UTF-8: a continuation byte takes no column
  int columns = 0;
  for (const char c : line) columns += (static_cast<unsigned char>(c) & 0xC0u) != 0x80u ? 1 : 0;
  return columns;
}

inline std::vector<Finding> size_findings(const SourceFile& file) {
  std::vector<Finding> findings;
  if (!is_code(file.path)) return findings;
  const std::vector<std::string> lines = lines_of(file.text);
  const int count = static_cast<int>(lines.size());
  bool excused = false;
  for (const std::string_view known : kTooLongAlready) excused = excused || known == file.path;
  if (count > kMostLines && !excused) {
    findings.push_back(
        {file.path, 0,
         "has " + std::to_string(count) + " lines, more than " + std::to_string(kMostLines)});
  }
  for (int i = 0; i < count; ++i) {
    const int columns = columns_of(lines[static_cast<std::size_t>(i)]);
    if (columns > kMostColumns) {
      findings.push_back({file.path, i + 1, "is " + std::to_string(columns) + " columns wide"});
    }
  }
  return findings;
}

struct Banned {
  std::string_view word;
  std::string_view instead;
};

inline std::vector<Finding> banned_words(const SourceFile& file, std::string_view text,
                                         std::vector<Banned> words) {
  std::vector<Finding> findings;
  const std::vector<std::string> lines = lines_of(text);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    for (const Banned& banned : words) {
      if (find_word(lines[i], banned.word) == std::string::npos) continue;
      findings.push_back({file.path, static_cast<int>(i) + 1,
                          std::string(banned.word) + ": " + std::string(banned.instead)});
    }
  }
  return findings;
}

/// Notes to self and paths of somebody's machine, in any file.
inline std::vector<Finding> leftover_findings(const SourceFile& file) {
  return banned_words(file, file.text,
                      {{"TO"
                        "DO",
                        "do it or leave it out"},
                       {"FIX"
                        "ME",
                        "mend it"},
                       {"X"
                        "XX",
                        "say what is meant"},
                       {"/ro"
                        "ot/",
                        "a path of one machine"},
                       {"/ho"
                        "me/",
                        "a path of one machine"}});
}

/// Finds what would let chance, the clock, the locale or an address into a result.
inline std::vector<Finding> chance_findings(const SourceFile& file) {
  const bool product = starts_with(file.path, "shared/") || starts_with(file.path, "model/") ||
                       starts_with(file.path, "controller/") || starts_with(file.path, "sim/");
  if (!is_code(file.path) || !product) return {};
  // outside_world decides which passes run, and never what a pass gives
  if (starts_with(file.path, "sim/command/outside_world.")) return {};
  const std::string bare = bare_code(file.text, true);
  std::vector<Banned> words = {
      {"rand(", "draw from a named stream"},
      {"srand(", "draw from a named stream"},
      {"random_device", "draw from a named stream"},
      {"mt19937", "draw from a named stream"},
      {"mt19937_64", "draw from a named stream"},
      {"normal_distribution", "differs between libraries; use the stream's own normal"},
      {"uniform_real_distribution", "differs between libraries; use the stream's own uniform"},
      {"unordered_map", "its order is not fixed; use std::map or a sorted vector"},
      {"unordered_set", "its order is not fixed; use std::set or a sorted vector"},
      {"setlocale", "results do not depend on the locale"},
      {"getenv", "results do not depend on the environment"}};
  // live_pass delays a pass and changes nothing of it: tests/sim/command/live_pass_test.cc
  const bool clocked = file.path == "sim/command/main.cc" ||
                       starts_with(file.path, "sim/command/live_pass.") ||
                       file.path.find("progress") != std::string::npos;
  if (!clocked) {
    for (const std::string_view clock : {"system_clock", "steady_clock", "high_resolution_clock"}) {
      words.push_back({clock, "the wall clock stays in main.cc, the progress line and --live"});
    }
  }
  return banned_words(file, bare, words);
}

/// The C library's transcendental functions change their last bit with the processor's features.
inline std::vector<Finding> library_function_findings(const SourceFile& file) {
  const bool results = starts_with(file.path, "model/") || starts_with(file.path, "sim/");
  if (!is_code(file.path) || !results) return {};
  std::vector<Finding> findings;
  const std::vector<std::string> lines = lines_of(bare_code(file.text, true));
  for (std::size_t i = 0; i < lines.size(); ++i) {
    for (const std::string_view name :
         {"exp(",  "exp2(",  "expm1(", "log(",   "log2(",   "log10(", "log1p(",
          "sin(",  "cos(",   "tan(",   "asin(",  "acos(",   "atan(",  "atan2(",
          "sinh(", "cosh(",  "tanh(",  "asinh(", "acosh(",  "atanh(", "pow(",
          "cbrt(", "hypot(", "erf(",   "erfc(",  "tgamma(", "lgamma("}) {
      const std::size_t at = find_word(lines[i], name);
      const bool member =
          at != std::string::npos && at > 0 && (lines[i][at - 1] == '.' || lines[i][at - 1] == '>');
      if (at == std::string::npos || member) continue;
      findings.push_back(
          {file.path, static_cast<int>(i) + 1,
           std::string(name) + "...) of the C library: use model/reproducible_math.h"});
    }
  }
  return findings;
}

/// Firmware has no double, heap, exception or thread.
inline std::vector<Finding> firmware_findings(const SourceFile& file) {
  if (!is_code(file.path) || !starts_with(file.path, "controller/") ||
      starts_with(file.path, "controller/port/"))
    return {};
  return banned_words(file, bare_code(file.text, true),
                      {{"double", "the controller counts in integers with their scale in the name"},
                       {"malloc(", "the caller owns the memory"},
                       {"delete", "the caller owns the memory"},
                       {"throw", "count it in health and stay safe"},
                       {"try", "count it in health and stay safe"},
                       {"thread_local", "one interrupt at a time, no threads"},
                       {"dynamic_cast", "no run-time type information"}});
}

/// A header is included only once and, in the model, says where it is checked; the file that it
/// names must exist.
inline std::vector<Finding> header_findings(const SourceFile& file,
                                            const std::vector<SourceFile>& tree) {
  std::vector<Finding> findings;
  if (!is_header(file.path)) return findings;
  if (file.text.find("#pragma once") == std::string::npos &&
      file.text.find("#ifndef SILLION_") == std::string::npos) {
    findings.push_back({file.path, 0, "has no #pragma once"});
  }
  const std::vector<std::string> lines = lines_of(file.text);
  bool checked = false;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const std::size_t word = lines[i].find(" Checked ");
    if (word == std::string::npos || lines[i].find("//") > word) continue;
    checked = true;
    for (std::size_t at = lines[i].find("tests/", word); at != std::string::npos;
         at = lines[i].find("tests/", at + 1)) {
      const std::string named = lines[i].substr(at, lines[i].find_first_of(" ,;()", at) - at);
      bool there = false;
      for (const SourceFile& other : tree) {
        there =
            there || other.path == named || (named.back() == '/' && starts_with(other.path, named));
      }
      if (!there) findings.push_back({file.path, static_cast<int>(i) + 1, named + " is not there"});
    }
  }
  if (!checked && starts_with(file.path, "model/"))
    findings.push_back({file.path, 0, "has no line `Checked`"});
  return findings;
}

/// A page's links into the tree lead somewhere; links to other places are not followed.
inline std::vector<Finding> link_findings(const SourceFile& page,
                                          const std::vector<std::string>& paths) {
  std::vector<Finding> findings;
  if (!ends_with(page.path, ".md")) return findings;
  const std::size_t slash = page.path.rfind('/');
  const std::string folder = slash == std::string::npos ? "" : page.path.substr(0, slash + 1);
  const std::vector<std::string> lines = lines_of(page.text);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    for (std::size_t at = lines[i].find("]("); at != std::string::npos;
         at = lines[i].find("](", at + 1)) {
      const std::string target = lines[i].substr(at + 2, lines[i].find_first_of(")#", at) - at - 2);
      if (target.empty() || target.find("://") != std::string::npos) continue;
      std::string meant =
          std::filesystem::path(folder + target).lexically_normal().generic_string();
      if (ends_with(meant, "/")) meant.pop_back();
      bool there = false;
      for (const std::string& path : paths) {
        there = there || path == meant || starts_with(path, meant + "/");
      }
      if (!there) {
        findings.push_back({page.path, static_cast<int>(i) + 1, target + " is not there"});
      }
    }
  }
  return findings;
}

}  // namespace arch
