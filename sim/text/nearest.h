// The nearest valid name to a mistyped one, by edit distance (insert, delete, replace and swap of
// neighbours count 1).
//
// Output   empty when nothing is near: more than a third of the letters and more than 2 would have
//          to change
// Source   optimal string alignment distance, textbook dynamic programming
// Checked  tests/sim/scenario/loader_test.cc
#pragma once

#include <span>
#include <string>
#include <string_view>

namespace sim::text {

int edit_distance(std::string_view a, std::string_view b);
/// First of the names with the smallest distance, so the order of the list decides ties.
std::string nearest_name(std::string_view typed, std::span<const std::string> names);

}  // namespace sim::text
