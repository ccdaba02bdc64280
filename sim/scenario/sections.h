// Every section of a scenario file, key by key: name, field, kind, range and one line of help.
//
// Checked  tests/sim/scenario/loader_test.cc
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "sim/scenario/scenario.h"
#include "sim/text/fields.h"

namespace sim::scenario {

void describe(Scenario& scenario, text::Fields& fields);
/// The keys of one attachment and of one liquid, also those of the catalogs.
void describe(AttachmentSection& attachment, text::Fields& fields);
/// The keys of [liquid], of a scenario or a rig.
void describe(LiquidSection& section, text::Fields& fields);
void describe(model::Liquid& liquid, text::Fields& fields);
void describe_line(model::Line& line, text::Fields& fields);
void describe_valve(model::Valve& valve, text::Fields& fields);
void describe(NetworkSection& network, text::Fields& fields);
void describe_outlet(model::Outlet& outlet, text::Fields& fields);

/// All keys in the order of the file: for `list keys`, and the pool of nearest names.
std::vector<text::KeyHelp> scenario_keys();
/// The keys that a visit describes, in its order.
std::vector<text::KeyHelp> keys_of(const std::function<void(text::Fields&)>& visit);

}  // namespace sim::scenario
