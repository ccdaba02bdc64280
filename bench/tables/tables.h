// The tables of model/README.md, printed on standard output as they stand there.
//
// Errors   as support::last_band
#pragma once

namespace bench {

/// Rise, turbulence, creep and free gas: what each does to a band.
void print_effects();
/// The fast form against the dense one by stations, terms and step, on the rows of
/// tests/model/row/fast_against_dense_test.cc.
void print_forms();
/// The same on rows beside those, on which no number of stations or terms was chosen: lengths,
/// pressure and viscosity are moved by a few per cent.
void print_neighbours();
/// The step alone: each fast run against the fast run at 2.5 us, case by case.
void print_steps();

}  // namespace bench
