#include "sim/output/json_text.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "shared/check.h"
#include "sim/output/json_list.h"
#include "sim/output/number_text.h"

namespace sim::output {
namespace {

using Json = nlohmann::ordered_json;

bool is_short(const Json& value) {
  for (const Json& item : value)
    if (item.is_structured()) return false;
  return true;
}

void write(const Json& value, const std::string& indent, std::string& text) {
  if (value.is_number_float()) {
    const double number = value.get<double>();
    ENSURES(std::isfinite(number));  // number_or_null is applied to every real
    text += number_text(number);
    return;
  }
  if (!value.is_structured()) {
    text += value.dump(-1, ' ', false, Json::error_handler_t::replace);
    return;
  }
  const bool object = value.is_object();
  if (value.empty()) {
    text += object ? "{}" : "[]";
    return;
  }
  // A plain list of numbers or words stays on one line; everything else takes one line per entry.
  const bool one_line = !object && is_short(value);
  const std::string inner = indent + "  ";
  const char* between = object ? "{" : "[";
  for (auto item = value.begin(); item != value.end(); ++item) {
    text += between;
    if (!one_line) text += "\n" + inner;
    if (object)
      text += Json(item.key()).dump(-1, ' ', false, Json::error_handler_t::replace) + ": ";
    write(*item, inner, text);
    between = one_line ? ", " : ",";
  }
  if (!one_line) text += "\n" + indent;
  text += object ? "}" : "]";
}

void write_long(const LongList& list, const std::string& indent, std::string& text) {
  if (list.count == 0) {
    text += "[]";
    return;
  }
  const std::string inner = indent + "  ";
  for (std::size_t index = 0; index < list.count; ++index) {
    text += (index == 0 ? "[\n" : ",\n") + inner;
    write(list.entry(index), inner, text);
  }
  text += "\n" + indent + "]";
}

}  // namespace

Json number_or_null(double value_si) {
  return std::isfinite(value_si) ? Json(value_si) : Json(nullptr);
}

std::string json_text(const Json& value) {
  std::string text;
  write(value, "", text);
  return text + "\n";
}

std::string json_text(const Json& object, const LongList& list) {
  std::string text;
  const char* between = "{\n  ";
  for (auto item = object.begin(); item != object.end(); ++item) {
    text += between + Json(item.key()).dump(-1, ' ', false, Json::error_handler_t::replace) + ": ";
    if (item.key() == list.key)
      write_long(list, "  ", text);
    else
      write(*item, "  ", text);
    between = ",\n  ";
  }
  return text + "\n}\n";
}

}  // namespace sim::output
