// A test must run, and it must be able to fail.
//
// A test can fail when its body states an expectation, or calls a function of the tests that does,
// at any depth. A program that takes minutes and asserts nothing belongs into bench/ as a command.
// Checked  tests/arch/test_rules_test.cc
#pragma once

#include <algorithm>
#include <array>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "tests/arch/code_text.h"
#include "tests/arch/function_rule.h"
#include "tests/arch/tree.h"

namespace arch {

namespace detail {

/// The last word before the parameter list: the name of a function, TEST for a test.
inline std::string name_in(std::string_view head) {
  head = without_template(head);
  std::size_t end = head.find('(');
  if (end == std::string_view::npos) return {};
  while (end > 0 && !is_word(head[end - 1])) --end;
  std::size_t start = end;
  while (start > 0 && is_word(head[start - 1])) --start;
  return std::string(head.substr(start, end - start));
}

inline bool states_expectation(std::string_view body) {
  static constexpr std::array<std::string_view, 4> kStarts = {"EXPECT_", "ASSERT_", "ADD_FAILURE",
                                                              "FAIL("};
  return std::ranges::any_of(kStarts, [&](std::string_view start) {
    for (std::size_t at = body.find(start); at != std::string_view::npos;
         at = body.find(start, at + 1))
      if (at == 0 || !is_word(body[at - 1])) return true;
    return false;
  });
}

/// Whether the body calls one of the names, with or without template arguments.
inline bool calls_one_of(std::string_view body, const std::set<std::string>& names) {
  for (std::size_t at = 0; at < body.size();) {
    std::size_t end = at;
    while (end < body.size() && is_word(body[end])) ++end;
    const bool call = end > at && end < body.size() && (body[end] == '(' || body[end] == '<');
    if (call && names.count(std::string(body.substr(at, end - at))) > 0) return true;
    at = end + 1;
  }
  return false;
}

}  // namespace detail

/// Names of the functions of the tests that state an expectation or call one that does.
inline std::set<std::string> expecting_functions(const std::vector<SourceFile>& tree) {
  std::vector<Function> functions;
  for (const SourceFile& file : tree)
    if (is_code(file.path) && starts_with(file.path, "tests/"))
      for (Function& one : functions_of(file.text)) functions.push_back(std::move(one));
  std::set<std::string> expecting;
  for (std::size_t before = 1; before != expecting.size();) {
    before = expecting.size();
    for (const Function& one : functions) {
      const std::string name = detail::name_in(one.head);
      if (starts_with(name, "TEST") || name.empty()) continue;
      if (detail::states_expectation(one.body) || detail::calls_one_of(one.body, expecting))
        expecting.insert(name);
    }
  }
  return expecting;
}

inline std::vector<Finding> test_findings(const SourceFile& file,
                                          const std::set<std::string>& expecting) {
  std::vector<Finding> findings;
  if (!is_code(file.path) || !starts_with(file.path, "tests/")) return findings;
  for (const Function& one : functions_of(file.text)) {
    if (!starts_with(detail::name_in(one.head), "TEST")) continue;
    if (one.head.find("DISABLED"
                      "_") != std::string::npos)
      findings.push_back({file.path, one.line, "is a test that does not run: a command of bench/"});
    if (!detail::states_expectation(one.body) && !detail::calls_one_of(one.body, expecting))
      findings.push_back({file.path, one.line, "is a test that cannot fail"});
  }
  return findings;
}

}  // namespace arch
