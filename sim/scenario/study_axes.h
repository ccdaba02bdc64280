// One axis of a study: a list of values, {from, to, steps}, or a distribution (axis_draw.h).
//
// Errors   InputError at the line of the axis: empty, a value twice, an empty range or
//          distribution, a quantity of another kind
// Checked  tests/sim/scenario/loader_test.cc, tests/hostile/input_test.cc,
//          tests/hostile/study_test.cc
#pragma once

#include <string>

#include "sim/scenario/axis_draw.h"
#include "sim/text/document.h"

namespace sim::scenario {

/// Whether the table is an axis, and not a section of axes such as [axes.travel].
bool is_axis(const text::Node& node);
/// Puts the axes of `document` under their dotted names, however they were written, so that a --set
/// finds the axis that it names.
void flatten_axes(text::Node& document);
/// `section` is the one that holds the axes, for messages.
StudyAxis read_axis(const text::Node& node, const std::string& key,
                    const std::string& section = "axes");
/// The text that a person would write after KEY=: the bare words of a text, TOML for all else.
std::string written(const text::Node& node);

}  // namespace sim::scenario
