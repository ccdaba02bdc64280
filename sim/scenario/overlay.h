// Lays one scenario document over another: a derived file over its base, the overrides of a command
// line over both.
//
//   Tables merge key by key; lists and values are replaced whole. Two rules keep values of the
//   lower document from contradicting the upper one:
//     either-or   speed, profile and log of [travel], or spacing and population of [seeding]:
//                 stating one drops the others; so do the outlet's length and coefficients, and
//                 wave_speed and wall of hose and tube
//     which one   a new attachment.name, liquid.name or delivery.kind drops what was stated for the
//                 old one
//
// Errors   InputError: a list index past the end, a path through something that is no table
// Checked  tests/sim/scenario/loader_test.cc
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "sim/text/document.h"

namespace sim::scenario {

void lay_over(text::Node& below, const text::Node& above);
/// Sets a dotted key with list indices ("fault[0].by" or "fault.0.by"); the index one past the end
/// appends an item.
void set_dotted(text::Node& root, std::string_view key, text::Node value);
/// The values of a section, each with its dotted key, in order; `key` names the section.
/// Errors   InputError: no section
std::vector<std::pair<std::string, const text::Node*>> dotted_leaves(const text::Node& section,
                                                                     std::string_view key);
/// Applies one `--set KEY=VALUE`.
void lay_set_over(text::Node& root, std::string_view key_and_value);
/// Throws if two keys of which only one may be stated are in one document.
void refuse_both(const text::Node& root);

}  // namespace sim::scenario
