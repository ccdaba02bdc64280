// C++ text in which comments and the insides of literals are replaced by blanks.
//
// Lines keep their numbers and columns, so that a finding in the bare text points into the file.
// Checked  tests/arch/rules_test.cc
#pragma once

#include <string>
#include <string_view>

namespace arch {

/// Blanks comments, and with `literals` also what stands between quotes (the quotes stay).
inline std::string bare_code(std::string_view text, bool literals) {
  std::string out(text);
  const auto blank = [&](std::size_t from, std::size_t to) {
    for (std::size_t i = from; i < to && i < out.size(); ++i) {
      if (out[i] != '\n') out[i] = ' ';
    }
  };
  const auto end_of = [&](std::string_view what, std::size_t from) {
    const std::size_t at = text.find(what, from);
    return at == std::string_view::npos ? text.size() : at;
  };
  std::size_t i = 0;
  while (i < text.size()) {
    const std::string_view two = text.substr(i, 2);
    const bool word_before =
        i > 0 && (text[i - 1] == '_' || (text[i - 1] >= '0' && text[i - 1] <= '9') ||
                  (text[i - 1] >= 'a' && text[i - 1] <= 'z'));
    if (two == "//") {
      const std::size_t end = end_of("\n", i);
      blank(i, end);
      i = end;
    } else if (two == "/*") {
      const std::size_t end = end_of("*/", i + 2) + 2;
      blank(i, end);
      i = end;
    } else if (two == "R\"") {
      const std::size_t open = end_of("(", i);
      const std::string close = ")" + std::string(text.substr(i + 2, open - i - 2)) + "\"";
      const std::size_t end = end_of(close, open);
      if (literals) blank(open + 1, end);
      i = end + close.size();
    } else if (text[i] == '"' ||
               (text[i] == '\'' && !word_before)) {  // 1'000 is no character literal
      std::size_t end = i + 1;
      while (end < text.size() && text[end] != text[i] && text[end] != '\n')
        end += text[end] == '\\' ? 2 : 1;
      if (literals) blank(i + 1, end);
      i = end + 1;
    } else {
      ++i;
    }
  }
  return out;
}

inline bool is_word(char c) {
  return c == '_' || (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/// Place of `word` as a whole word at or after `from`, or npos.
inline std::size_t find_word(std::string_view text, std::string_view word, std::size_t from = 0) {
  for (std::size_t at = text.find(word, from); at != std::string_view::npos;
       at = text.find(word, at + 1)) {
    const bool left = at == 0 || !is_word(text[at - 1]) || !is_word(word.front());
    const std::size_t end = at + word.size();
    const bool right = end >= text.size() || !is_word(text[end]) || !is_word(word.back());
    if (left && right) return at;
  }
  return std::string_view::npos;
}

}  // namespace arch
