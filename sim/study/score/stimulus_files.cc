// Signals as files: a dump and a table of changes, and samples for a generator.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <utility>

#include "sim/output/json_text.h"
#include "sim/study/score/stimulus.h"
#include "sim/text/input_error.h"

namespace sim::score {
namespace {

struct Change {
  std::int64_t at_ns = 0;
  std::size_t pin = 0;
  bool high = false;
};

/// All changes in order of time, then of signals.
std::vector<Change> changes_of(const Pins& pins) {
  std::vector<Change> changes;
  for (std::size_t pin = 0; pin < pins.pins.size(); ++pin)
    for (std::size_t k = 0; k < pins.pins[pin].toggles_ns.size(); ++k)
      changes.push_back({pins.pins[pin].toggles_ns[k], pin, k % 2 == 0});
  std::stable_sort(changes.begin(), changes.end(),
                   [](const Change& a, const Change& b) { return a.at_ns < b.at_ns; });
  return changes;
}

/// Printable characters, as few as it takes.
std::string code_of_pin(std::size_t pin) {
  std::string code;
  do {
    code += static_cast<char>('!' + pin % 94);
    pin /= 94;
  } while (pin > 0);
  return code;
}

/// Goes through all samples; `sample` gets the levels of all signals.
template <typename Sample>
void for_each_sample(const Pins& pins, std::uint32_t rate_hz, const Sample& sample) {
  const std::vector<Change> changes = changes_of(pins);
  std::vector<char> high(pins.pins.size(), 0);
  const auto count = static_cast<std::int64_t>(
      std::ceil(static_cast<double>(pins.end_ns) * 1e-9 * static_cast<double>(rate_hz)));
  std::size_t next = 0;
  for (std::int64_t k = 0; k < count; ++k) {
    // A change belongs to the sample that is nearest to it.
    const double until_ns = (static_cast<double>(k) + 0.5) * 1e9 / static_cast<double>(rate_hz);
    for (; next < changes.size() && static_cast<double>(changes[next].at_ns) < until_ns; ++next)
      high[changes[next].pin] = changes[next].high ? 1 : 0;
    sample(high);
  }
}

constexpr double kMostBytes = 2e9;

void require_size(const Pins& pins, std::uint32_t rate_hz, double bytes_per_sample) {
  const double bytes = static_cast<double>(pins.end_ns) * 1e-9 * rate_hz * bytes_per_sample;
  if (bytes > kMostBytes)
    throw text::InputError(
        fmt::format("{:.1f} GB of samples: at most {:.0f}; take a lower --sample-rate or a shorter "
                    "pass",
                    bytes * 1e-9, kMostBytes * 1e-9));
}

void put(std::string& bytes, std::uint32_t value, int count) {
  for (int k = 0; k < count; ++k) bytes += static_cast<char>(value >> 8 * k & 0xffu);
}

}  // namespace

std::string pins_json(const Pins& pins) {
  nlohmann::ordered_json signals = nlohmann::ordered_json::array();
  for (const Pin& pin : pins.pins)
    signals.push_back(
        {{"name", pin.scope + "." + pin.name}, {"pulses", (pin.toggles_ns.size() + 1) / 2}});
  return output::json_text({{"scenario", pins.scenario},
                            {"lasts_s", static_cast<double>(pins.end_ns) * 1e-9},
                            {"signals", std::move(signals)}});
}

std::string pins_vcd(const Pins& pins) {
  std::string text = fmt::format("$comment pins of {} $end\n$timescale 1 ns $end\n", pins.scenario);
  // The whole name of a signal stands in the dump, because some readers leave scopes out.
  text += "$scope module pins $end\n";
  for (std::size_t pin = 0; pin < pins.pins.size(); ++pin)
    text += fmt::format("$var wire 1 {} {}.{} $end\n", code_of_pin(pin), pins.pins[pin].scope,
                        pins.pins[pin].name);
  text += "$upscope $end\n$enddefinitions $end\n#0\n$dumpvars\n";
  for (std::size_t pin = 0; pin < pins.pins.size(); ++pin)
    text += fmt::format("0{}\n", code_of_pin(pin));
  text += "$end\n";
  std::int64_t now_ns = 0;
  for (const Change& change : changes_of(pins)) {
    if (change.at_ns != now_ns) text += fmt::format("#{}\n", now_ns = change.at_ns);
    text += fmt::format("{}{}\n", change.high ? 1 : 0, code_of_pin(change.pin));
  }
  if (pins.end_ns > now_ns) text += fmt::format("#{}\n", pins.end_ns);
  return text;
}

std::string pins_csv(const Pins& pins) {
  std::string text = "t_s";
  for (const Pin& pin : pins.pins) text += fmt::format(",{}.{}", pin.scope, pin.name);
  for (std::size_t row = 0; row < pins.current_a.size(); ++row)
    text += fmt::format(",row{}.current_a", row);
  text += '\n';
  std::vector<char> high(pins.pins.size(), 0);
  const auto line = [&](std::int64_t at_ns) {
    text += fmt::format("{}.{:09}", at_ns / 1'000'000'000, at_ns % 1'000'000'000);
    for (const char one : high) text += one != 0 ? ",1" : ",0";
    // A line between two samples of the current has none.
    const bool samples = pins.current_step_ns > 0 && at_ns % pins.current_step_ns == 0;
    for (const std::vector<float>& row : pins.current_a) {
      const auto sample =
          static_cast<std::size_t>(at_ns / std::max<std::int64_t>(1, pins.current_step_ns));
      text += samples && sample < row.size() ? fmt::format(",{:.6g}", row[sample]) : ",";
    }
    text += '\n';
  };
  const std::vector<Change> changes = changes_of(pins);
  const std::int64_t end_ns =
      changes.empty() ? pins.end_ns : std::max(pins.end_ns, changes.back().at_ns);
  std::size_t next = 0;
  for (std::int64_t at_ns = 0;;) {
    for (; next < changes.size() && changes[next].at_ns == at_ns; ++next)
      high[changes[next].pin] = changes[next].high ? 1 : 0;
    line(at_ns);
    if (at_ns >= end_ns) break;
    const std::int64_t change_ns = next < changes.size() ? changes[next].at_ns : end_ns;
    const std::int64_t sample_ns = pins.current_step_ns > 0
                                       ? (at_ns / pins.current_step_ns + 1) * pins.current_step_ns
                                       : end_ns;
    at_ns = std::min(change_ns, sample_ns);
  }
  return text;
}

std::string pins_wav(const Pins& pins, std::uint32_t rate_hz) {
  constexpr std::size_t kMostChannels = 64;
  const auto channels = static_cast<std::uint32_t>(pins.pins.size());
  if (channels > kMostChannels)
    throw text::InputError(fmt::format("{} signals: a WAV file has at most {} channels here",
                                       channels, kMostChannels));
  require_size(pins, rate_hz, 2.0 * channels);
  std::string samples;
  for_each_sample(pins, rate_hz, [&](const std::vector<char>& high) {
    for (const char one : high) put(samples, one != 0 ? 0x4000u : 0xC000u, 2);
  });
  std::string bytes = "RIFF";
  put(bytes, static_cast<std::uint32_t>(36 + samples.size()), 4);
  bytes += "WAVEfmt ";
  put(bytes, 16, 4);
  put(bytes, 1, 2);  // PCM
  put(bytes, channels, 2);
  put(bytes, rate_hz, 4);
  put(bytes, rate_hz * channels * 2, 4);
  put(bytes, channels * 2, 2);
  put(bytes, 16, 2);
  bytes += "data";
  put(bytes, static_cast<std::uint32_t>(samples.size()), 4);
  return bytes + samples;
}

std::string pins_raw(const Pins& pins, std::uint32_t rate_hz) {
  if (pins.pins.size() > 8)
    throw text::InputError(fmt::format(
        "{} signals: a raw stream has 8; take fewer rows by --set row.count", pins.pins.size()));
  require_size(pins, rate_hz, 1.0);
  std::string samples;
  for_each_sample(pins, rate_hz, [&](const std::vector<char>& high) {
    unsigned byte = 0;
    for (std::size_t k = 0; k < high.size(); ++k) byte |= high[k] != 0 ? 1u << k : 0u;
    samples += static_cast<char>(byte);
  });
  return samples;
}

}  // namespace sim::score
