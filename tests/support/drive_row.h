// A row unit driven through pulses on its own step, with the same input and the same output types
// as the method of lines.
//
//   drive from on to off, fast decay from off to the next on; a step that holds an edge gets its
//   share of each
//
// Errors   EXPECTS that no step reports a fault
// Checked  tests/model/row/method_of_lines_test.cc
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "model/row/row_unit.h"
#include "tests/support/method_of_lines.h"

namespace support {

/// The bridge's shares of the step that starts at from_s.
model::RowStepInput bridge_of(std::span<const OnOff> pulses, double from_s, double step_s,
                              double supply_pressure_pa, double supply_voltage_v);

std::vector<OutletSample> drive_row(const model::RowUnitParams& row,
                                    const model::SolverParams& solver, double supply_pressure_pa,
                                    double supply_voltage_v, std::span<const OnOff> pulses,
                                    double end_s);

/// The base case of the design notes on the row: 3 bar, hose 1.0 m x 6 mm (500 m/s), tube 0.9 m x 4
/// mm (400 m/s), 1200 kg/m3, 10 mPa s, outlet 1.0 mm; the valve has its defaults (12 V, 0.6 mm
/// travel).
model::RowUnitParams base_row();

/// The largest difference of start, end and centre.
double band_distance_m(const model::BandShape& a, const model::BandShape& b);

}  // namespace support
