// What the loader does with hose and tube after their plain keys are read: it reads creep, a list
// of tables, and computes the wave speed that follows from wall, liquid and free gas.
//
//   wall stated        the wave speed is computed; it replaces one of the catalog
//   wave_speed stated  it is used; wall and creep of the catalog are dropped
//   both in one file   an error (overlay.h); in layers, the upper one drops the other
//   gas_fraction       slows hose and tube by Wood's sum (model/fluid/wave_speed.h): the gas in the
//                      hose is under supply.pressure, the gas in the tube under the atmosphere
//
// Errors   InputError: a wall without modulus, creep without wall, a malformed list
// Checked  tests/sim/scenario/line_keys_test.cc
#pragma once

#include "sim/scenario/scenario.h"
#include "sim/text/document.h"
#include "sim/text/reader.h"

namespace sim::scenario {

/// Reads `creep` of hose and tube from the attachment's table (of a scenario or a catalog).
void read_creep(const text::Node& attachment, AttachmentSection& section);
/// Reads `creep` of one line from its table; `prefix` is the line's dotted name and a dot.
void read_line_creep(const text::Node& table, const std::string& prefix, model::Line& line);
/// Computes the wave speed of one line; `key` is its dotted name in the document.
void finish_line_keys(const text::Node& document, const text::Places& places,
                      const text::Place& file, const std::string& key, double pressure_abs_pa,
                      const model::Liquid& liquid, model::Line& line);
/// Computes wave speeds and the mixture's density, once everything is read.
void finish_lines(const text::Node& document, const text::Places& places, const text::Place& file,
                  Scenario& scenario);

}  // namespace sim::scenario
