// What a command prints is a result as its files are: where not every byte of it could be written,
// the command has not done what it promises.
//
//   Printing is checked once, at the end: the C library remembers a write that failed.
//
// Errors   none; the exit code says it
// Checked  tests/sim/output/output_errors_test.cc
#pragma once

namespace sim::command {

/// A stream that the caller has closed is opened again, on something that refuses what is written
/// to standard output: else the first file that is opened would take its place and its text. A
/// reader that goes away is a failed write and no signal.
void open_standard_streams();
/// `code`, or 2 with words on standard error where standard output did not take everything and
/// `code` is nothing worse.
int code_with_output(int code);

}  // namespace sim::command
