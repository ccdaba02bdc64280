#include "sim/command/valve_live.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <optional>

#include "sim/bench/pass.h"
#include "sim/scenario/loader.h"

namespace sim::command {
namespace {

constexpr int kPoll_ms = 250;
constexpr int kSilentPolls = 20;            // five seconds
constexpr double kIdle_s = 5.0;             // of samples, after the last command
constexpr double kShownEvery_s = 1.0;       // of samples
constexpr std::size_t kLookedAt = 200'000;  // samples: the display looks at the last ones

/// A descriptor that is closed with its owner; a serial line is put into raw mode.
class Source {
 public:
  explicit Source(const std::string& name) {
    if (name == "-") {
      descriptor_ = STDIN_FILENO;
      return;
    }
    descriptor_ = open(name.c_str(), O_RDONLY | O_NOCTTY | O_CLOEXEC);
    if (descriptor_ < 0)
      throw text::InputError("--live " + name + ": cannot be opened: " + std::strerror(errno));
    owned_ = true;
    termios line{};
    if (isatty(descriptor_) != 0 && tcgetattr(descriptor_, &line) == 0) {
      cfmakeraw(&line);
      tcsetattr(descriptor_, TCSANOW, &line);
    }
  }
  ~Source() {
    if (owned_) close(descriptor_);
  }
  Source(const Source&) = delete;
  Source& operator=(const Source&) = delete;

  enum class Came { kText, kNothing, kEnd };
  Came read_into(std::string& text) const {
    pollfd wait{.fd = descriptor_, .events = POLLIN, .revents = 0};
    const int ready = poll(&wait, 1, kPoll_ms);
    if (ready == 0 || (ready < 0 && errno == EINTR)) return Came::kNothing;
    char buffer[1 << 16];
    const ssize_t count = read(descriptor_, buffer, sizeof buffer);
    if (count < 0 && (errno == EINTR || errno == EAGAIN)) return Came::kNothing;
    if (count <= 0)
      return Came::kEnd;  // a pseudo-terminal whose other end closed reads as an error
    text.assign(buffer, static_cast<std::size_t>(count));
    return Came::kText;
  }

 private:
  int descriptor_ = -1;
  bool owned_ = false;
};

template <class Value>
std::vector<Value> last_of(const std::vector<Value>& column, std::size_t first) {
  if (column.empty()) return {};
  return {column.begin() + static_cast<std::ptrdiff_t>(first), column.end()};
}

valve::ValveTrace tail_of(const valve::ValveTrace& trace) {
  const std::size_t first = trace.size() > kLookedAt ? trace.size() - kLookedAt : 0;
  valve::ValveTrace tail;
  tail.time_s = last_of(trace.time_s, first);
  tail.command_ratio = last_of(trace.command_ratio, first);
  tail.voltage_v = last_of(trace.voltage_v, first);
  tail.current_a = last_of(trace.current_a, first);
  tail.pressure_pa = last_of(trace.pressure_pa, first);
  tail.exit_pressure_pa = last_of(trace.exit_pressure_pa, first);
  tail.flow_m3ps = last_of(trace.flow_m3ps, first);
  tail.mass_kg = last_of(trace.mass_kg, first);
  return tail;
}

std::string words_of(const valve::Found& found) {
  return found.seen() ? fmt::format("{:.2f} ms", found.value * 1e3) : std::string("not seen");
}

std::string line_of(double time_s, int pulses, const valve::TraceFindings& findings) {
  const valve::TracePulse& last = findings.pulses.back();
  std::string line =
      fmt::format("{:8.2f} s  {} pulses  opening {}  closing {}  hold {:.2f} A", time_s, pulses,
                  words_of(last.at_stop_after_s), words_of(last.seated_after_s), last.hold_a);
  constexpr int kOddFaults = valve::kPulseMissing | valve::kPulseLate | valve::kPulseSticking;
  int odd = 0;
  for (const valve::TracePulse& pulse : findings.pulses)
    if ((pulse.faults & kOddFaults) != 0) ++odd;
  if (odd > 0) line += fmt::format("  ODD {}", odd);
  return line;
}

/// Counts pulses over the whole record although only its tail is looked at.
class PulseCount {
 public:
  void look(const valve::TraceFindings& findings) {
    for (const valve::TracePulse& pulse : findings.pulses)
      if (pulse.on_s > last_on_s_ + 1e-9) {
        last_on_s_ = pulse.on_s;
        ++count_;
      }
  }
  int count() const { return count_; }
  double last_on_s() const { return last_on_s_; }

 private:
  int count_ = 0;
  double last_on_s_ = -1e300;
};

}  // namespace

LiveRecord read_live(const LiveSettings& settings,
                     const std::function<void(const std::string& line)>& show,
                     const std::atomic<bool>& stop) {
  const Source source(settings.source);
  valve::ValveTraceReader reader(settings.source == "-" ? "standard input" : settings.source);
  LiveRecord record;
  PulseCount pulses;
  std::string text, broken;
  double shown_s = -1e300;
  int silent = 0;
  while (record.why_ended.empty()) {
    if (stop.load(std::memory_order_relaxed)) throw bench::Interrupted("interrupted");
    const Source::Came came = source.read_into(text);
    if (came == Source::Came::kEnd) {
      record.why_ended = "the samples ended";
      reader.take(broken);  // the last line may lack its end
      record.text += broken;
    }
    if (came == Source::Came::kNothing && ++silent >= kSilentPolls && !record.text.empty())
      record.why_ended = "no sample came for five seconds";
    if (came != Source::Came::kText) continue;
    silent = 0;
    // Whole lines only: where this side ends the record, half a line is not a fault of the trace.
    broken += text;
    const std::size_t end = broken.rfind('\n');
    if (end == std::string::npos) continue;
    text = broken.substr(0, end + 1);
    broken.erase(0, end + 1);
    if (record.text.size() + text.size() > valve::kMostTraceBytes)
      record.why_ended = "as much was recorded as a trace may hold";
    else
      record.text += text;
    reader.take(text);
    const valve::ValveTrace& trace = reader.trace();
    if (trace.size() < valve::kFewestSamples) continue;
    const double now_s = trace.time_s.back();
    if (now_s < shown_s + kShownEvery_s) continue;
    shown_s = now_s;
    try {
      const valve::TraceFindings findings = valve::analyse_trace(tail_of(trace), settings.reading);
      pulses.look(findings);
      show(line_of(now_s, pulses.count(), findings));
    } catch (const text::InputError&) {
      show(fmt::format("{:8.2f} s  no command yet", now_s));
      continue;
    }
    if (settings.pulses > 0 && pulses.count() > settings.pulses)
      record.why_ended = fmt::format("{} pulses were seen", settings.pulses);
    else if (now_s > pulses.last_on_s() + kIdle_s)
      record.why_ended = "no command came for five seconds";
  }
  reader.finish();
  record.trace = reader.take_trace();
  return record;
}

}  // namespace sim::command
