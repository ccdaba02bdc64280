#include "sim/study/score/signal_names.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>

#include "sim/text/input_error.h"
#include "sim/text/nearest.h"

namespace sim::score {
namespace {

constexpr std::size_t kMostRows = 64;  // as many as a scenario may have
constexpr std::array kRoles{Role::kSensor, Role::kDrive, Role::kCurrent};

/// "row3.drive" -> 3 and the drive; a name without a row is of row 0.
PinUse pin_named(const std::string& name) {
  PinUse pin;
  std::string what = name;
  const std::size_t point = name.find('.');
  if (name.starts_with("row") && point != std::string::npos) {
    const char* to = name.data() + point;
    const auto [end, error] = std::from_chars(name.data() + 3, to, pin.row);
    if (error != std::errc() || end != to || pin.row >= kMostRows) return {};
    what = name.substr(point + 1);
  }
  for (const Role role : kRoles)
    if (what == word_of(role)) pin.role = role;
  return pin;
}

std::string full_name(const PinUse& pin) {
  return fmt::format("row{}.{}", pin.row, word_of(pin.role));
}

std::string with_nearest(const std::string& typed, std::span<const std::string> names) {
  const std::string nearest = text::nearest_name(typed, names);
  return nearest.empty() ? "" : fmt::format("; nearest valid name: `{}`", nearest);
}

/// The nearest pin to a mistyped one, of the same row where the name has one.
std::string with_nearest_pin(const std::string& typed) {
  const std::string row = typed.substr(0, std::min(typed.find('.'), typed.size()));
  std::vector<std::string> names;
  for (const Role role : kRoles) {
    const std::string own = row + "." + word_of(role);
    names.push_back(pin_named(own).role == role ? own : std::string("row0.") + word_of(role));
  }
  return with_nearest(typed, names);
}

/// Makes the pins of one recording.
class Naming {
 public:
  Naming(const std::string& file, std::span<const RecordedSignal> recorded,
         const CaptureWords& words)
      : file_(file), recorded_(recorded), words_(words), pins_(recorded.size()) {
    for (const RecordedSignal& one : recorded)
      if (!one.name.empty()) names_.push_back(one.name);
  }

  std::vector<PinUse> pins() {
    take_by_own_names();
    for (const auto& [name, own] : words_.names) take_by_given_name(name, own);
    require_whole();
    for (std::size_t signal = 0; signal < pins_.size(); ++signal) require_kind(signal);
    for (const std::string& name : words_.inverted) invert(name);
    return std::move(pins_);
  }

 private:
  void take_by_own_names() {
    for (std::size_t signal = 0; signal < recorded_.size(); ++signal) {
      const std::string& own = recorded_[signal].name;
      const bool renamed = std::any_of(words_.names.begin(), words_.names.end(),
                                       [&](const auto& one) { return one.second == own; });
      const PinUse pin = pin_named(own);
      if (!renamed && pin.role != Role::kNone && !is_given(pin)) pins_[signal] = pin;
    }
  }

  bool is_given(const PinUse& pin) const {
    return std::any_of(words_.names.begin(), words_.names.end(), [&](const auto& one) {
      const PinUse given = pin_named(one.first);
      return given.role == pin.role && given.row == pin.row;
    });
  }

  void take_by_given_name(const std::string& name, const std::string& own) {
    const PinUse pin = pin_named(name);
    if (pin.role == Role::kNone)
      throw text::InputError(
          fmt::format("--signal {}={}: `{}` is no signal; there are rowN.sensor, rowN.drive and "
                      "rowN.current_a, N from 0 to {}{}",
                      name, own, name, kMostRows - 1, with_nearest_pin(name)));
    const auto found = std::find_if(recorded_.begin(), recorded_.end(),
                                    [&](const RecordedSignal& one) { return one.name == own; });
    if (found == recorded_.end())
      throw text::InputError(
          fmt::format("{}: --signal {}={}: no signal `{}` in the recording, {}{}", file_, name, own,
                      own, what_it_has(), with_nearest(own, fitting(pin.role))));
    PinUse& use = pins_[static_cast<std::size_t>(found - recorded_.begin())];
    if (use.role != Role::kNone)
      throw text::InputError(fmt::format("{}: --signal {}={}: `{}` is {} already", file_, name, own,
                                         own, full_name(use)));
    use = pin;
  }

  void require_whole() const {
    std::size_t rows = 0;
    for (const PinUse& pin : pins_)
      if (pin.role != Role::kNone) rows = std::max(rows, pin.row + 1);
    if (rows == 0)
      throw text::InputError(fmt::format(
          "{}: no signal is named rowN.sensor or rowN.drive in the recording, {}; name them by "
          "--signal row0.sensor=NAME --signal row0.drive=NAME",
          file_, what_it_has()));
    for (std::size_t row = 0; row < rows; ++row)
      for (const Role role : kRoles) require_once({.role = role, .row = row});
  }

  void require_once(const PinUse& asked) const {
    std::string signals;
    std::size_t count = 0;
    for (std::size_t signal = 0; signal < pins_.size(); ++signal) {
      if (pins_[signal].role != asked.role || pins_[signal].row != asked.row) continue;
      signals += (count++ > 0 ? ", `" : "`") + recorded_[signal].name + "`";
    }
    const std::string name = full_name(asked);
    if (count > 1)
      throw text::InputError(
          fmt::format("{}: {} is given by more than one signal: {}", file_, name, signals));
    if (count == 1 || asked.role == Role::kCurrent) return;
    std::vector<std::string> free;
    for (std::size_t signal = 0; signal < pins_.size(); ++signal)
      if (pins_[signal].role == Role::kNone && !recorded_[signal].name.empty())
        free.push_back(recorded_[signal].name);
    std::string nearest = with_nearest(name, free);
    if (nearest.empty()) nearest = with_nearest(word_of(asked.role), free);
    throw text::InputError(fmt::format(
        "{}: row {} has no signal {} in the recording, {}{}; name it by --signal {}=NAME", file_,
        asked.row, name, what_it_has(), nearest, name));
  }

  void require_kind(std::size_t signal) const {
    const PinUse& pin = pins_[signal];
    if (pin.role == Role::kNone || recorded_[signal].holds != unfit_for(pin.role)) return;
    const std::vector<std::string> fit = fitting(pin.role);
    const bool current = pin.role == Role::kCurrent;
    throw text::InputError(fmt::format(
        "{}: {} needs a signal of {}, but `{}` holds {}; the recording has {} of that kind{}",
        file_, full_name(pin), current ? "numbers" : "levels", recorded_[signal].name,
        current ? "levels alone" : "numbers", fit.empty() ? "none" : listed(fit),
        with_nearest(recorded_[signal].name, fit)));
  }

  static Holds unfit_for(Role role) {
    return role == Role::kCurrent ? Holds::kLevels : Holds::kNumbers;
  }

  /// Names of the signals that such a pin may be.
  std::vector<std::string> fitting(Role role) const {
    std::vector<std::string> names;
    for (const RecordedSignal& one : recorded_)
      if (one.holds != unfit_for(role) && !one.name.empty()) names.push_back(one.name);
    return names;
  }

  void invert(const std::string& name) {
    const PinUse asked = pin_named(name);
    if (asked.role == Role::kCurrent)
      throw text::InputError(fmt::format("--invert {}: a current has no levels", name));
    std::vector<std::string> read;
    for (PinUse& pin : pins_) {
      if (pin.role == Role::kNone || pin.role == Role::kCurrent) continue;
      read.push_back(full_name(pin));
      if (pin.role != asked.role || pin.row != asked.row) continue;
      pin.inverted = true;
      return;
    }
    throw text::InputError(fmt::format("--invert {}: no such signal is read from {}; read are {}{}",
                                       name, file_, listed(read), with_nearest(name, read)));
  }

  std::string what_it_has() const {
    return names_.empty() ? "which names none" : "which has " + listed(names_);
  }

  static std::string listed(const std::vector<std::string>& names) {
    constexpr std::size_t kMostNamed = 12;
    std::string text;
    for (std::size_t k = 0; k < std::min(names.size(), kMostNamed); ++k)
      text += (k > 0 ? ", " : "") + names[k];
    return names.size() > kMostNamed ? text + ", ..." : text;
  }

  const std::string& file_;
  std::span<const RecordedSignal> recorded_;
  const CaptureWords& words_;
  std::vector<PinUse> pins_;
  std::vector<std::string> names_;  // of the recording's signals
};

}  // namespace

const char* word_of(Role role) {
  return role == Role::kSensor ? "sensor" : role == Role::kDrive ? "drive" : "current_a";
}

std::vector<PinUse> uses_of(const std::string& file, std::span<const RecordedSignal> recorded,
                            const CaptureWords& words) {
  return Naming(file, recorded, words).pins();
}

}  // namespace sim::score
