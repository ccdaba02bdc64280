// Every real number in the headers of model and sim says its unit in its name.
//
//   double lift_m;   std::vector<double> time_s;   double flow_m3ps(double lift_m);
//   double mean_m = 0, sd_m = 0;
//
// This is a regular grammar over the bare text and not a parser: it sees the word double or float
// (alone or inside <...>) and the name that follows. A type parameter such as Real stands for a
// number type and not for a quantity, so it is not checked. The two files of pure functions of
// numbers are exempt. A line with the words of kUnitElsewhere says why its number cannot name a
// unit.
// Checked  tests/arch/rules_test.cc
#pragma once

#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "tests/arch/code_text.h"
#include "tests/arch/tree.h"
#include "tests/arch/unit_suffixes.h"

namespace arch {

inline constexpr std::string_view kUnitElsewhere = "tidy: unit ";

inline bool says_its_unit(std::string_view name) {
  while (!name.empty() && name.back() == '_') name.remove_suffix(1);  // members of a class end in _
  const std::size_t bar = name.rfind('_');
  if (bar == std::string_view::npos) return name.size() > 1 && is_unit_suffix(name);
  return is_unit_suffix(name.substr(bar + 1));
}

namespace detail {

inline std::size_t skip_blank(std::string_view text, std::size_t at) {
  const std::size_t next = text.find_first_not_of(" \t\n", at);
  return next == std::string_view::npos ? text.size() : next;
}

inline std::string word_at(std::string_view text, std::size_t at) {
  std::size_t end = at;
  while (end < text.size() && is_word(text[end])) ++end;
  return std::string(text.substr(at, end - at));
}

/// The place past the template brackets that enclose `at`; npos where a call signature or a
/// comparison is enclosed instead.
inline std::size_t out_of_brackets(std::string_view text, std::size_t at) {
  int depth = 0;
  for (; at < text.size(); ++at) {
    if (text[at] == '<') ++depth;
    if (text[at] == '>' && --depth < 0) {
      const std::size_t next = skip_blank(text, at + 1);
      if (next >= text.size() || (text[next] != '>' && text[next] != ',')) return at + 1;
      depth = 0;  // still inside an outer pair
    }
    if (text[at] == ';' || text[at] == '(' || text[at] == ')' || text[at] == '{')
      return std::string_view::npos;
  }
  return std::string_view::npos;
}

/// Whether the innermost bracket around `at` belongs to a container; the container's name then
/// gives the unit of its numbers.
inline bool in_container(std::string_view text, std::size_t at) {
  static const std::set<std::string> kContainers = {
      "vector", "array", "span", "optional", "pair", "valarray", "atomic", "initializer_list"};
  int depth = 0;
  while (at > 0) {
    const char c = text[--at];
    if (c == '>') ++depth;
    if (c == ';' || c == '{' || c == '}') return false;
    if (c == '<' && --depth < 0) {
      std::size_t start = at;
      while (start > 0 && is_word(text[start - 1])) --start;
      return kContainers.count(std::string(text.substr(start, at - start))) > 0;
    }
  }
  return false;
}

/// Names after the first in `double a_m = f(1, 2), b_m;`, read from the end of the first name.
inline void further_names(std::string_view text, std::size_t at,
                          std::vector<std::pair<std::size_t, std::string>>& names) {
  int depth = 0;
  for (; at < text.size(); ++at) {
    const char c = text[at];
    if (c == '(' || c == '{' || c == '[') ++depth;
    if (c == ')' || c == '}' || c == ']') --depth;
    if (depth < 0 || (depth == 0 && c == ';')) return;
    if (depth == 0 && c == ',') {
      const std::size_t start = skip_blank(text, at + 1);
      names.emplace_back(start, word_at(text, start));
    }
  }
}

}  // namespace detail

inline std::vector<Finding> unit_findings(const SourceFile& file) {
  static const std::set<std::string> kNoName = {
      "",         "const", "constexpr", "inline",   "static", "struct",   "class", "requires",
      "operator", "auto",  "void",      "double",   "float",  "typename", "using", "template",
      "int",      "bool",  "noexcept",  "override", "public", "return",   "final", "enum"};
  std::vector<Finding> findings;
  const bool subject =
      is_header(file.path) && (starts_with(file.path, "model/") || starts_with(file.path, "sim/"));
  if (!subject) return findings;
  const bool pure_numbers =
      file.path == "model/reproducible_math.h" || file.path == "model/number.h";
  const std::string bare = bare_code(file.text, true);
  const std::vector<std::string> lines = lines_of(file.text);
  std::vector<std::pair<std::size_t, std::string>> names;
  for (const std::string_view type : {"double", "float"}) {
    for (std::size_t at = find_word(bare, type); at != std::string::npos;
         at = find_word(bare, type, at + 1)) {
      if (at >= 8 && bare.compare(at - 8, 8, "typedef ") == 0) continue;  // names a type
      std::size_t next = detail::skip_blank(bare, at + type.size());
      int parens = 0;
      for (std::size_t i = 0; i < at; ++i) parens += bare[i] == '(' ? 1 : bare[i] == ')' ? -1 : 0;
      if (next < bare.size() && (bare[next] == '>' || bare[next] == ',' || bare[next] == '<')) {
        next = detail::in_container(bare, at) ? detail::out_of_brackets(bare, next)
                                              : std::string::npos;
        if (next == std::string::npos) continue;
        next = detail::skip_blank(bare, next);
      }
      while (next < bare.size() && (bare[next] == '&' || bare[next] == '*'))
        next = detail::skip_blank(bare, next + 1);
      std::string name = detail::word_at(bare, next);
      if (name == "const") {
        next = bare.find_first_not_of(" \t\n&*", next + name.size());
        name = next == std::string::npos ? "" : detail::word_at(bare, next);
      }
      if (kNoName.count(name) > 0 || (name[0] >= '0' && name[0] <= '9')) continue;
      names.emplace_back(next, name);
      const std::size_t after = detail::skip_blank(bare, next + name.size());
      if (parens == 0 && after < bare.size() && bare[after] != '(')
        detail::further_names(bare, after, names);
    }
  }
  for (const auto& [place, name] : names) {
    if (name.empty() || says_its_unit(name)) continue;
    if (pure_numbers && bare[detail::skip_blank(bare, place + name.size())] == '(') continue;
    int line = 1;
    for (std::size_t i = 0; i < place; ++i) line += bare[i] == '\n' ? 1 : 0;
    if (lines[static_cast<std::size_t>(line) - 1].find(kUnitElsewhere) != std::string::npos)
      continue;
    findings.push_back(
        {file.path, line,
         "the real number " + name + " does not end in a unit of tests/arch/unit_suffixes.h"});
  }
  return findings;
}

}  // namespace arch
