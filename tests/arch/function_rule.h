// Functions stay short: at most 60 lines from the line of the opening brace to that of the closing
// one, counted as readability-function-size of .clang-tidy counts them.
//
// This reads braces and is not a parser. A brace at the level of a namespace or a class opens a
// function when its statement has a parameter list, or when nothing stands in front of it, as after
// a member's initial value in braces. What stands inside a function, a lambda included, counts as
// part of it.
// Checked  tests/arch/function_rule_test.cc
#pragma once

#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include "tests/arch/code_text.h"
#include "tests/arch/tree.h"

namespace arch {

inline constexpr int kMostFunctionLines = 60;

namespace detail {

/// Blanks directives of the preprocessor with the lines that continue them.
inline void blank_directives(std::string& bare) {
  bool continued = false;
  for (std::size_t at = 0; at < bare.size();) {
    const std::size_t end = std::min(bare.find('\n', at), bare.size());
    const std::size_t first = bare.find_first_not_of(" \t", at);
    const bool directive = continued || (first < end && bare[first] == '#');
    continued = directive && end > at && bare[end - 1] == '\\';
    if (directive) bare.replace(at, end - at, end - at, ' ');
    at = end + 1;
  }
}

/// The head without its leading `template <...>`, whose parameters may say class.
inline std::string_view without_template(std::string_view head) {
  const std::size_t word = find_word(head, "template");
  const std::size_t open = head.find('<');
  if (word == std::string_view::npos || open == std::string_view::npos) return head;
  int depth = 0;
  for (std::size_t at = open; at < head.size(); ++at) {
    depth += head[at] == '<' ? 1 : head[at] == '>' ? -1 : 0;
    if (depth == 0) return head.substr(at + 1);
  }
  return head;
}

/// Whether the brace behind `head`, at the level of a namespace or a class, opens a function.
inline bool opens_function(std::string_view head) {
  const std::size_t last = head.find_last_not_of(" \t\n");
  if (last == std::string_view::npos) return true;  // behind a member's initial value
  head = without_template(head.substr(0, last + 1));
  const std::string_view before_list = head.substr(0, head.find('('));
  for (const std::string_view word : {"namespace", "struct", "class", "enum", "union"})
    if (find_word(before_list, word) != std::string_view::npos &&
        head.find(')') == std::string_view::npos)
      return false;
  return head.back() != '=' && head.find(')') != std::string_view::npos;
}

}  // namespace detail

/// One function: where its brace opens, how far it reaches, and its text without literals.
struct Function {
  int line = 0;
  int lines = 0;
  std::string head;  // statement before the brace
  std::string body;
};

/// The outermost functions of a text of code, in their order.
inline std::vector<Function> functions_of(std::string_view text) {
  std::string bare = bare_code(text, true);
  detail::blank_directives(bare);
  struct Open {
    std::size_t at = 0;
    std::size_t head = 0;
    int line = 0;
    bool function = false;
  };
  std::vector<Function> functions;
  std::vector<Open> open;
  int inside = 0;  // functions that are open
  int line = 1;
  std::size_t head = 0;
  for (std::size_t at = 0; at < bare.size(); ++at) {
    const char c = bare[at];
    line += c == '\n' ? 1 : 0;
    if (c == '{') {
      const bool function =
          inside > 0 || detail::opens_function(std::string_view(bare).substr(head, at - head));
      open.push_back({at, head, line, function});
      inside += function ? 1 : 0;
    }
    if (c == '}' && !open.empty()) {
      const Open one = open.back();
      open.pop_back();
      inside -= one.function ? 1 : 0;
      if (one.function && inside == 0)
        functions.push_back({one.line, line - one.line, bare.substr(one.head, one.at - one.head),
                             bare.substr(one.at, at - one.at)});
    }
    if (c == '{' || c == '}' || c == ';') head = at + 1;
  }
  return functions;
}

inline std::vector<Finding> function_findings(const SourceFile& file) {
  std::vector<Finding> findings;
  if (!is_code(file.path)) return findings;
  for (const Function& one : functions_of(file.text)) {
    if (one.lines <= kMostFunctionLines) continue;
    findings.push_back({file.path, one.line,
                        "opens a function of " + std::to_string(one.lines) + " lines, more than " +
                            std::to_string(kMostFunctionLines)});
  }
  return findings;
}

}  // namespace arch
