// The one error type for what a person wrote: a file, a key, a value, a command line.
//
// Checked  tests/hostile/input_test.cc
#pragma once

#include <stdexcept>

namespace sim::text {

/// A mistake in what a person wrote; what() is "file:line: key: what is wrong; nearest valid name".
/// The program then exits with code 2.
struct InputError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

}  // namespace sim::text
