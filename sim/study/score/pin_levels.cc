#include "sim/study/score/pin_levels.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace sim::score {

PinLevels::PinLevels(const std::string& file, std::span<const RecordedSignal> recorded,
                     const CaptureWords& words) {
  for (const PinUse& use : uses_of(file, recorded, words)) {
    if (use.role != Role::kNone && rows_.size() <= use.row) rows_.resize(use.row + 1);
    pins_.emplace_back().PinUse::operator=(use);
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
  if (!first && pin.on) pin.on_s += at_s - pin.since_s;
  if (on && !first) {
    ++pin.rises;
    pin.last_rise_s = at_s;
  }
  pin.since_s = at_s;
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
  end_s_ = end_s;
  for (std::size_t signal = 0; signal < pins_.size(); ++signal) {
    Pin& pin = pins_[signal];
    pin.ends_on = pin.known && pin.on;
    if (pin.role != Role::kNone && pin.ends_on) level(signal, pin.inverted, end_s);
  }
}

std::vector<std::string> PinLevels::doubts() const {
  std::vector<std::string> found;
  for (const Pin& pin : pins_) {
    if (pin.role == Role::kNone || pin.role == Role::kCurrent) continue;
    const std::string name = fmt::format("row{}.{}", pin.row, word_of(pin.role));
    const std::string invert = pin.inverted
                                   ? fmt::format("if it rests at 1, leave out --invert {}", name)
                                   : fmt::format("if it rests at 1, add --invert {}", name);
    if (!pin.known)
      found.push_back(fmt::format("{} has no level in the recording", name));
    else if (pin.rises == 0)
      found.push_back(fmt::format("{} never rises{}", name, pin.on_s > 0.0 ? "; " + invert : ""));
    else if (pin.on_s > 0.5 * end_s_)
      found.push_back(fmt::format("{} is 1 for {:.0f} % of the recording; {}", name,
                                  100.0 * pin.on_s / end_s_, invert));
    if (pin.role == Role::kDrive && pin.ends_on && pin.rises > 0)
      found.push_back(
          fmt::format("{} is 1 when the recording ends, since {:.6f} s", name, pin.last_rise_s));
  }
  return found;
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
