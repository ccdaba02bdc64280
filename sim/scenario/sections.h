// Every section of a scenario file, key by key: name, field, kind, range and one line of help.
//
// Checked  tests/sim/scenario/loader_test.cc
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "sim/scenario/scenario.h"
#include "sim/text/fields.h"

namespace sim {

void describe(Scenario& scenario, Fields& fields);
/// The keys of one attachment and of one liquid, also those of the catalogs.
void describe(AttachmentSection& attachment, Fields& fields);
/// The keys of [liquid], of a scenario or a rig.
void describe(LiquidSection& section, Fields& fields);
void describe(model::Liquid& liquid, Fields& fields);
void describe_line(model::Line& line, Fields& fields);
void describe_valve(model::Valve& valve, Fields& fields);
void describe_outlet(model::Outlet& outlet, Fields& fields);

/// All of them in file order: `list keys`, and the pool of nearest names.
std::vector<KeyHelp> scenario_keys();
/// The keys that a visit names, in its order.
std::vector<KeyHelp> keys_of(const std::function<void(Fields&)>& visit);

}  // namespace sim
