// What the loader does to hose and tube after their plain keys are read: creep, a list of tables,
// and the wave speed that follows from wall, liquid and free gas.
//
//   wall stated        the wave speed is computed, over one of the catalog
//   wave_speed stated  it is used, and drops wall and creep of the catalog
//   both in one file   an error (overlay.h); in layers, the upper one drops the other
//   gas_fraction       slows hose and tube by Wood's sum (model/fluid/wave_speed.h): the hose's
//                      gas stands under supply.pressure, the tube's at the atmosphere
//
// Errors   InputError: a wall without modulus, creep without wall, bad list
// Checked  tests/sim/scenario/line_keys_test.cc
#pragma once

#include "sim/scenario/scenario.h"
#include "sim/text/document.h"
#include "sim/text/reader.h"

namespace sim::scenario {

/// `creep` of hose and tube out of the attachment's table (of a scenario or a catalog).
void read_creep(const text::Node& attachment, AttachmentSection& section);
/// `creep` of one line out of its table; `prefix` is its dotted name with a dot.
void read_line_creep(const text::Node& table, const std::string& prefix, model::Line& line);
/// The wave speed of one line, `key` its dotted name in the document.
void finish_line_keys(const text::Node& document, const text::Places& places,
                      const text::Place& file, const std::string& key, double pressure_abs_pa,
                      const model::Liquid& liquid, model::Line& line);
/// Wave speeds and the mixture's density, once everything is read.
void finish_lines(const text::Node& document, const text::Places& places, const text::Place& file,
                  Scenario& scenario);

}  // namespace sim::scenario
