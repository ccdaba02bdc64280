// The one description of a scenario's keys, for every visitor: the reader fills fields from a
// document, the writer prints them, the lister describes them to people. sections.h describes the
// keys; no key is named anywhere else.
//
// Checked  tests/sim/scenario/loader_test.cc
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "shared/time.h"
#include "sim/text/quantity.h"

namespace sim::text {

/// Closed range in SI; `above` excludes the low end itself.
struct Range {
  double low_si = 0.0;
  double high_si = 0.0;
  bool above = false;
};
/// No limit except that of plausible values.
inline constexpr Range kAnyValue{-1e30, 1e30};

/// One key as it is described to people.
struct KeyHelp {
  std::string key;            // dotted: "travel.speed"
  std::string kind;           // "speed", "true or false", "conveyor | conveyor timed | gravity"
  std::string default_value;  // with its SI unit; empty: no default
  std::string range;          // "0 m/s to 20 m/s"; empty: no range
  std::string help;
};

class Fields {
 public:
  virtual ~Fields() = default;

  virtual void begin(std::string_view section, std::string_view help) = 0;
  virtual void end() = 0;
  virtual void quantity(std::string_view key, double& value_si, Kind kind, Range range,
                        std::string_view help) = 0;
  /// A quantity, or "auto": then `automatic` is true and the value stays what it was.
  virtual void quantity_or_auto(std::string_view key, double& value_si, bool& automatic, Kind kind,
                                Range range, std::string_view help) = 0;
  virtual void quantities(std::string_view key, std::vector<double>& values_si, Kind kind,
                          Range range, std::string_view help) = 0;
  virtual void whole_number(std::string_view key, std::int64_t& value, std::int64_t low,
                            std::int64_t high, std::string_view help) = 0;
  virtual void flag(std::string_view key, bool& value, std::string_view help) = 0;
  virtual void text(std::string_view key, std::string& value, std::string_view help) = 0;
  virtual void word(std::string_view key, int& index, std::span<const std::string_view> words,
                    std::string_view help) = 0;
  /// A key that the loader itself reads: either-or keys, lists of tables, files.
  virtual void special(std::string_view key, std::string_view example, std::string_view help) = 0;

  template <class Whole>
  void whole(std::string_view key, Whole& value, std::int64_t low, std::int64_t high,
             std::string_view help) {
    auto wide = static_cast<std::int64_t>(value);
    whole_number(key, wide, low, high, help);
    value = static_cast<Whole>(wide);
  }
  template <class Enum>
  void choice(std::string_view key, Enum& value, std::span<const std::string_view> words,
              std::string_view help) {
    auto index = static_cast<int>(value);
    word(key, index, words, help);
    value = static_cast<Enum>(index);
  }
  void ratio(std::string_view key, double& value_ratio, Range range, std::string_view help) {
    quantity(key, value_ratio, Kind::kRatio, range, help);
  }
};

}  // namespace sim::text
