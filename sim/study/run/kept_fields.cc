#include "sim/study/run/kept_fields.h"

#include <nlohmann/json.hpp>

#include "sim/output/json_text.h"

namespace sim::run {

using Json = nlohmann::ordered_json;

double kept_number(const Json& value) {
  return value.is_number() ? value.get<double>()
                           : statistics::kNone_ratio;  // tidy: unit is the metric's
}

Json witness_json(const measure::Witness& at) {
  return {{"row", at.row}, {"seed", at.seed}, {"at_s", output::number_or_null(at.at_s)}};
}

measure::Witness witness_from(const Json& fields) {
  return {fields.at("row").get<int>(), fields.at("seed").get<int>(),
          kept_number(fields.at("at_s"))};
}

Json requirement_json(const measure::RequirementResult& one) {
  return {{"name", one.name},
          {"unit", one.unit},
          {"limit", output::number_or_null(one.limit)},
          {"value", output::number_or_null(one.value)},
          {"margin", output::number_or_null(one.margin)},
          {"holds", one.holds},
          {"seen", one.seen},
          {"good", one.good},
          {"total", one.total},
          {"lower95_ratio", output::number_or_null(one.lower95_ratio)},
          {"worst", witness_json(one.worst)},
          {"place", one.place}};
}

measure::RequirementResult requirement_from(const Json& fields) {
  measure::RequirementResult one;
  one.name = fields.at("name").get<std::string>();
  one.unit = fields.at("unit").get<std::string>();
  one.limit = kept_number(fields.at("limit"));
  one.value = kept_number(fields.at("value"));
  one.margin = kept_number(fields.at("margin"));
  one.holds = fields.at("holds").get<bool>();
  one.seen = fields.at("seen").get<bool>();
  one.good = fields.at("good").get<long long>();
  one.total = fields.at("total").get<long long>();
  one.lower95_ratio = kept_number(fields.at("lower95_ratio"));
  one.worst = witness_from(fields.at("worst"));
  one.place = fields.at("place").get<std::string>();
  return one;
}

}  // namespace sim::run
