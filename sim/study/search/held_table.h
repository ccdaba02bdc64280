// The delay table of a scenario, for passes under conditions that have moved since it was tuned,
// and the same as a file that is written beside a found case, so that `run` of that case has this
// table too.
//
// Errors   InputError where the attachment cannot serve the scenario's speed
// Checked  tests/sim/study/search/search_test.cc
#pragma once

#include <optional>
#include <string>

#include "sim/scenario/scenario.h"

namespace sim::search {

inline constexpr const char* kTableFile = "found.delay.toml";

struct HeldTable {
  sillion_attachment_table table{};
  std::string file_text;
};

/// None where the scenario has a table of its own, from numbers or from a file.
std::optional<HeldTable> held_table_of(const scenario::Scenario& base);
void hold_table(const HeldTable& held, scenario::Scenario& scenario);

}  // namespace sim::search
