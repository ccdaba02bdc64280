// The file of the mutants that a process met (mutants.h): a line per test, with its name, its
// processor time in ms and the numbers.
//
// Checked  tests/quality/mutants.sh, which reads it
#pragma once

namespace mut {

constexpr int kMostMutants = 40'000;

/// Appends what was met since the last call and forgets it; does nothing without MUTANT_SEEN.
void write_seen(const char* what, double spent_ms);

}  // namespace mut
