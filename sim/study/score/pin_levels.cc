#include "sim/study/score/pin_levels.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <utility>

#include "sim/text/input_error.h"
#include "sim/text/nearest.h"

namespace sim::score {
namespace {

constexpr std::size_t kMostRows = 54;

/// "row3.drive" -> 3 and "drive"; a name without a row is row 0.
struct SignalName {
  std::size_t row = 0;
  std::string what;
};

SignalName parts_of(const std::string& name) {
  SignalName parts{0, name};
  const std::size_t point = name.find('.');
  if (!name.starts_with("row") || point == std::string::npos) return parts;
  const char* from = name.data() + 3;
  const char* to = name.data() + point;
  const auto [end, error] = std::from_chars(from, to, parts.row);
  if (error == std::errc() && end == to && parts.row < kMostRows)
    parts.what = name.substr(point + 1);
  return parts;
}

bool is_signal(const std::string& name) {
  const SignalName parts = parts_of(name);
  return parts.what == "sensor" || parts.what == "drive";
}

std::string all_of(const std::vector<std::string>& names) {
  constexpr std::size_t kMostNamed = 12;
  std::string text;
  for (std::size_t k = 0; k < std::min(names.size(), kMostNamed); ++k)
    text += (k > 0 ? ", " : "") + names[k];
  return names.size() > kMostNamed ? text + ", ..." : text;
}

}  // namespace

PinLevels::PinLevels(const std::string& file, const std::vector<std::string>& recorded,
                     const CaptureWords& words)
    : file_(file), pins_(recorded.size()) {
  for (std::size_t signal = 0; signal < recorded.size(); ++signal) {
    const bool renamed = std::any_of(words.names.begin(), words.names.end(), [&](const auto& one) {
      return one.second == recorded[signal];
    });
    if (!renamed && is_signal(recorded[signal]) && !words.names.contains(recorded[signal]))
      take(recorded[signal], signal);
  }
  for (const auto& [name, own] : words.names) {
    if (!is_signal(name))
      throw text::InputError(fmt::format(
          "--signal {}={}: `{}` is no signal; there are rowN.sensor and rowN.drive, N from 0 to {}",
          name, own, name, kMostRows - 1));
    const auto found = std::find(recorded.begin(), recorded.end(), own);
    if (found == recorded.end()) {
      const std::string nearest = text::nearest_name(own, recorded);
      throw text::InputError(fmt::format("{}: no signal `{}` in the recording, which has {}{}",
                                         file, own, all_of(recorded),
                                         nearest.empty() ? "" : "; nearest: `" + nearest + "`"));
    }
    take(name, static_cast<std::size_t>(found - recorded.begin()));
  }
  for (const std::string& name : words.inverted) {
    const SignalName parts = parts_of(name);
    const Role role = parts.what == "sensor" ? Role::kSensor : Role::kDrive;
    const auto pin = std::find_if(pins_.begin(), pins_.end(), [&](const Pin& one) {
      return one.role == role && one.row == parts.row;
    });
    if (!is_signal(name) || pin == pins_.end())
      throw text::InputError(fmt::format("--invert {}: no such signal is read", name));
    pin->inverted = true;
  }
  if (rows_.empty())
    throw text::InputError(fmt::format(
        "{}: no signal is named rowN.sensor or rowN.drive; the recording has {}; name them by "
        "--signal row0.sensor=NAME --signal row0.drive=NAME",
        file, all_of(recorded)));
  require_whole();
}

void PinLevels::take(const std::string& name, std::size_t signal) {
  const SignalName parts = parts_of(name);
  if (rows_.size() <= parts.row) rows_.resize(parts.row + 1);
  pins_[signal].role = parts.what == "sensor" ? Role::kSensor : Role::kDrive;
  pins_[signal].row = parts.row;
}

void PinLevels::require_whole() const {
  for (std::size_t row = 0; row < rows_.size(); ++row)
    for (const Role role : {Role::kSensor, Role::kDrive}) {
      const auto count = std::count_if(pins_.begin(), pins_.end(), [&](const Pin& pin) {
        return pin.role == role && pin.row == row;
      });
      const char* what = role == Role::kSensor ? "sensor" : "drive";
      if (count == 0)
        throw text::InputError(
            fmt::format("{}: row {} has no signal row{}.{}", file_, row, row, what));
      if (count > 1)
        throw text::InputError(
            fmt::format("{}: row{}.{} is given by more than one signal", file_, row, what));
    }
}

void PinLevels::level(std::size_t signal, bool high, double at_s) {
  Pin& pin = pins_[signal];
  if (pin.role == Role::kNone) return;
  const bool on = high != pin.inverted;
  // What is on from the recording's first instant on has begun before it: nobody knows when.
  const bool first = !std::exchange(pin.known, true);
  if (!first && on == pin.on) return;
  if (!first && !on && pin.since_s >= 0.0) {
    bench::PlayedRow& row = rows_[pin.row];
    if (pin.role == Role::kSensor)
      row.edges.push_back({pin.since_s, at_s, static_cast<int>(row.edges.size())});
    else
      row.drives.push_back({pin.since_s, at_s});
  }
  pin.on = on;
  pin.since_s = first ? -1.0 : at_s;
}

Capture PinLevels::finish(double end_s, double resolution_s, bool resolution_known) {
  for (std::size_t signal = 0; signal < pins_.size(); ++signal) {
    const Pin& pin = pins_[signal];
    if (pin.role != Role::kNone && pin.known && pin.on) level(signal, pin.inverted, end_s);
  }
  return {.rows = std::move(rows_),
          .lasts_s = end_s,
          .resolution_s = resolution_s,
          .resolution_known = resolution_known};
}

}  // namespace sim::score
