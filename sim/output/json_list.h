// A JSON object with a list that is too long to be held whole: its entries are made and written one
// at a time. The text is that of sim/output/json_text.h.
//
// Checked  tests/sim/study/sweep/cell_record_test.cc
#pragma once

#include <cstddef>
#include <functional>
#include <nlohmann/json_fwd.hpp>
#include <string>

namespace sim::output {

/// Each entry is an object or a list of such.
struct LongList {
  std::string key;
  std::size_t count = 0;
  std::function<nlohmann::ordered_json(std::size_t index)> entry;
};
/// An object as text; the value of its member `list.key` is that list.
std::string json_text(const nlohmann::ordered_json& object, const LongList& list);

}  // namespace sim::output
