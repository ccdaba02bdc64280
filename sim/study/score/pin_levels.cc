#include "sim/study/score/pin_levels.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
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
  return parts.what == "sensor" || parts.what == "drive" || parts.what == "current_a";
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
      throw text::InputError(
          fmt::format("--signal {}={}: `{}` is no signal; there are rowN.sensor, rowN.drive and "
                      "rowN.current_a, N "
                      "from 0 to {}",
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
    const Role role = role_of(parts.what);
    const auto pin = std::find_if(pins_.begin(), pins_.end(), [&](const Pin& one) {
      return one.role == role && one.row == parts.row;
    });
    if (role == Role::kCurrent)
      throw text::InputError(fmt::format("--invert {}: a current has no levels", name));
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

PinLevels::Role PinLevels::role_of(const std::string& what) {
  return what == "sensor" ? Role::kSensor : what == "drive" ? Role::kDrive : Role::kCurrent;
}

void PinLevels::take(const std::string& name, std::size_t signal) {
  const SignalName parts = parts_of(name);
  if (rows_.size() <= parts.row) rows_.resize(parts.row + 1);
  pins_[signal].role = role_of(parts.what);
  pins_[signal].row = parts.row;
}

void PinLevels::require_whole() const {
  for (std::size_t row = 0; row < rows_.size(); ++row)
    for (const Role role : {Role::kSensor, Role::kDrive, Role::kCurrent}) {
      const auto count = std::count_if(pins_.begin(), pins_.end(), [&](const Pin& pin) {
        return pin.role == role && pin.row == row;
      });
      const char* what = role == Role::kSensor  ? "sensor"
                         : role == Role::kDrive ? "drive"
                                                : "current_a";
      if (count == 0 && role != Role::kCurrent)
        throw text::InputError(
            fmt::format("{}: row {} has no signal row{}.{}", file_, row, row, what));
      if (count > 1)
        throw text::InputError(
            fmt::format("{}: row{}.{} is given by more than one signal", file_, row, what));
    }
}

bool PinLevels::records_current() const {
  return std::any_of(pins_.begin(), pins_.end(),
                     [](const Pin& pin) { return pin.role == Role::kCurrent; });
}

void PinLevels::level(std::size_t signal, bool high, double at_s) {
  Pin& pin = pins_[signal];
  if (pin.role == Role::kNone || pin.role == Role::kCurrent) return;
  const bool on = high != pin.inverted;
  // What is on from the recording's first instant on has begun before it: nobody knows when.
  const bool first = !std::exchange(pin.known, true);
  if (!first && on == pin.on) return;
  pin.on = on;
  if (!on && pin.begun) turn_off(pin, at_s);
  if (on && !first) turn_on(pin, at_s);
  pin.begun = on && !first;
}

void PinLevels::turn_on(const Pin& pin, double at_s) {
  Row& row = rows_[pin.row];
  bench::PlayedPart& pins = row.captured.pins;
  if (pin.role == Role::kSensor) {
    pins.edges.push_back({at_s, at_s, row.edges++});
  } else {
    pins.drives.push_back({at_s, HUGE_VAL});
    row.dip.begin(at_s);
  }
}

void PinLevels::turn_off(const Pin& pin, double at_s) {
  Row& row = rows_[pin.row];
  bench::PlayedPart& pins = row.captured.pins;
  if (pin.role == Role::kSensor) {
    if (!pins.edges.empty()) pins.edges.back().falling_s = at_s;
    return;
  }
  if (pins.drives.empty())
    pins.before_off_s = at_s;
  else
    pins.drives.back().off_s = at_s;
  if (row.dip.samples_seen()) row.captured.openings.push_back(row.dip.end(at_s));
}

void PinLevels::sample(std::size_t signal, double current_a, double at_s) {
  const Pin& pin = pins_[signal];
  if (pin.role == Role::kCurrent) rows_[pin.row].dip.take(current_a, at_s);
}

void PinLevels::finish(double end_s) {
  for (std::size_t signal = 0; signal < pins_.size(); ++signal) {
    const Pin& pin = pins_[signal];
    if (pin.role != Role::kNone && pin.known && pin.on) level(signal, pin.inverted, end_s);
  }
}

std::vector<CapturedRow> PinLevels::take() {
  std::vector<CapturedRow> taken;
  for (Row& row : rows_) taken.push_back(std::exchange(row.captured, {}));
  return taken;
}

double PinLevels::current_step_s() const {
  double step_s = 0.0;
  for (const Row& row : rows_)
    if (row.dip.step_s() > 0.0) step_s = std::max(step_s, row.dip.step_s());
  return step_s;
}

}  // namespace sim::score
