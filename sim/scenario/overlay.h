// Laying one scenario document over another: a derived file over its base, a command line's
// overrides over both.
//
//   Tables merge key by key; lists and values are replaced whole. Two rules keep what is laid over
//   from being twisted by what lies below:
//     either-or   speed, profile and log of [travel], or spacing and population of [seeding]:
//                 stating one drops the others; so do the outlet's length and coefficients,
//                 wave_speed and wall of hose and tube
//     which one   a new attachment.name, liquid.name or delivery.kind drops what was stated of the
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
/// Dotted key with list indices ("fault[0].by" or "fault.0.by"); the index one past the end adds an
/// item.
void set_dotted(text::Node& root, std::string_view key, text::Node value);
/// What stands in a section, each value under its dotted key, in order; `key` names the section.
/// Errors   InputError: no section
std::vector<std::pair<std::string, const text::Node*>> dotted_leaves(const text::Node& section,
                                                                     std::string_view key);
/// One `--set KEY=VALUE`.
void lay_set_over(text::Node& root, std::string_view key_and_value);
/// Keys of which only one may be stated: throws when both stand in one document.
void refuse_both(const text::Node& root);

}  // namespace sim::scenario
