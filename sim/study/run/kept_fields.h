// Parts of results as JSON that reads back exactly, for work that can be resumed: the finished
// cases of a suite and the finished cells of a sweep.
//
//   Not-a-number is written as null, and null is read as not-a-number.
//
// Errors   reading: nlohmann's exceptions
// Checked  tests/sim/study/check/suite_run_test.cc, tests/sim/study/sweep/cell_record_test.cc
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "sim/measure/summary.h"

namespace sim::run {

double kept_number(const nlohmann::ordered_json& value);  // tidy: unit is the metric's
nlohmann::ordered_json witness_json(const measure::Witness& at);
measure::Witness witness_from(const nlohmann::ordered_json& fields);
nlohmann::ordered_json requirement_json(const measure::RequirementResult& one);
measure::RequirementResult requirement_from(const nlohmann::ordered_json& fields);

}  // namespace sim::run
