// Always-on assertions for our own bugs: they print the expression and the place, and stop the
// program. They are never used for bad input (sim throws an exception) and never in the controller
// (it counts and stays safe).
#pragma once

#include <cstdio>
#include <cstdlib>

namespace shared {

[[noreturn]] inline void broken_promise(const char* kind, const char* expression, const char* file,
                                        int line) {
  std::fprintf(stderr, "%s:%d: %s does not hold: %s\n", file, line, kind, expression);
  std::abort();
}

}  // namespace shared

#define EXPECTS(condition) \
  ((condition) ? (void)0 : shared::broken_promise("precondition", #condition, __FILE__, __LINE__))
#define ENSURES(condition) \
  ((condition) ? (void)0 : shared::broken_promise("postcondition", #condition, __FILE__, __LINE__))
