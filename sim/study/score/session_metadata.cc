#include "sim/study/score/session_metadata.h"

#include <fmt/format.h>

#include <charconv>
#include <sstream>

#include "sim/text/quantity.h"

namespace sim::score {
namespace {

constexpr std::size_t kMostUnitBytes = 8;
constexpr std::size_t kMostAnalogs = 1024;

/// The whole number behind `begin`, from 1 on: `probe12` -> 12; 0 for anything else.
std::size_t number_behind(const std::string& key, const std::string& begin) {
  std::size_t number = 0;
  if (!key.starts_with(begin)) return 0;
  const char* to = key.data() + key.size();
  const auto [end, error] = std::from_chars(key.data() + begin.size(), to, number);
  return error == std::errc() && end == to ? number : 0;
}

void read_line(const SessionArchive& archive, const std::string& key, const std::string& value,
               SessionMetadata& found) {
  const auto fail = [&](const std::string& what) {
    archive.fail(fmt::format("metadata: {}={}: {}", key, value, what));
  };
  if (key == "capturefile") found.logic_name = value;
  if (key == "unitsize") {
    found.unit_bytes = number_behind(value, "");
    if (found.unit_bytes < 1 || found.unit_bytes > kMostUnitBytes)
      fail(fmt::format("a whole number from 1 to {}", kMostUnitBytes));
  }
  if (key == "samplerate") {
    const text::Quantity rate = text::parse_quantity(value, text::Kind::kFrequency);
    if (!rate.error.empty()) fail(rate.error);
    found.rate_hz = rate.value_si;
  }
  const std::size_t probe = number_behind(key, "probe");
  if (probe > 0 && probe <= 8 * kMostUnitBytes) {
    if (found.probes.size() < probe) found.probes.resize(probe);
    found.probes[probe - 1] = value;
  }
  if (const std::size_t analog = number_behind(key, "analog"); analog > 0) {
    if (found.analogs.size() == kMostAnalogs)
      fail(fmt::format("more than {} analog channels", kMostAnalogs));
    found.analogs.push_back({analog, value});
  }
}

}  // namespace

std::vector<RecordedSignal> SessionMetadata::signals() const {
  std::vector<RecordedSignal> all;
  for (const std::string& probe : probes) all.push_back({probe, Holds::kLevels});
  for (const Analog& analog : analogs) all.push_back({analog.name, Holds::kNumbers});
  return all;
}

SessionMetadata metadata_of(const SessionArchive& archive) {
  SessionMetadata found;
  std::istringstream lines(archive.whole("metadata"));
  for (std::string line; std::getline(lines, line);) {
    const std::size_t equals = line.find('=');
    if (equals == std::string::npos) continue;
    std::string value = line.substr(equals + 1);
    value.erase(value.find_last_not_of("\r ") + 1);
    read_line(archive, line.substr(0, equals), value, found);
  }
  if (found.rate_hz <= 0.0) archive.fail("metadata: no samplerate");
  if (found.probes.empty())
    archive.fail(fmt::format(
        "metadata: no logic channel (probeN=NAME){}; sensor and drive are read from logic channels",
        found.analogs.empty() ? "" : ", analog channels alone"));
  return found;
}

}  // namespace sim::score
