// What a valve is judged by: a limits file with one key per limit, and what a violated limit means.
//
//   note = "whose limits these are"
//   [limits]
//   opening_at_most = "2.5 ms"
//
// Every limit is optional. `valve_limit_kinds` is the whole list: figure, bound, words, and what to
// check next.
// Errors   InputError: no [limits] or an empty one, an unknown key (with the nearest name), a value
//          without unit or out of range
// Checked  tests/sim/study/valve/valve_limits_test.cc
#pragma once

#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "sim/text/document.h"
#include "sim/text/fields.h"
#include "sim/text/quantity.h"

namespace sim::valve {

enum class ValveFigureKind : std::uint8_t {
  kOpening,
  kClosing,
  kOddPulses,
  kStopBounce,
  kSeatBounce,
  kLeak,
  kSmallestDose,
  kRepetition,
  kRepeatability,
  kResistance,
  kSupply,
  kLifeUsed,
};

struct ValveLimitKind {
  std::string_view key;
  ValveFigureKind figure;
  bool at_most;
  text::Kind kind;
  text::Range range;
  std::string_view name;     // "closing"
  std::string_view verdict;  // "slow to close"
  std::string_view next;     // "replace plunger and seat, then repeat"
  bool essential;            // there is no verdict without this figure
};

struct ValveLimit {
  const ValveLimitKind* kind = nullptr;
  double limit_si = 0.0;
  text::Place place;
};

struct ValveLimits {
  std::string file;
  std::string note;
  std::vector<ValveLimit> limits;  // in the order of the kinds
};

std::span<const ValveLimitKind> valve_limit_kinds();
ValveLimits read_valve_limits(const std::filesystem::path& file);

}  // namespace sim::valve
