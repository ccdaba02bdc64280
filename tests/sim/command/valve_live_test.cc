// Samples as they come: from a pseudo-terminal and from a pipe's end, shown and handed over whole.
#include "sim/command/valve_live.h"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <stdlib.h>
#include <unistd.h>

#include <atomic>
#include <fstream>
#include <thread>

#include "sim/scenario/loader.h"
#include "sim/study/rig/valve_drive.h"
#include "sim/study/valve/invented_trace.h"
#include "sim/study/valve/valve_check.h"
#include "tests/support/scratch_folder.h"

namespace sim::command {
namespace {

rig::RigSetup demo(const std::vector<std::string>& sets = {}) {
  std::vector<std::string> all = {"drive.period=\"100 ms\"", "drive.pulses=30"};
  all.insert(all.end(), sets.begin(), sets.end());
  return rig::load_rig_setup(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_valve.toml", all);
}

struct Seen {
  std::vector<std::string> lines;
  LiveRecord record;
};

Seen live(const std::string& source, int pulses) {
  const std::atomic<bool> stop{false};
  Seen seen;
  seen.record = read_live(
      {.source = source, .pulses = pulses, .reading = valve::reading_of(demo())},
      [&](const std::string& line) { seen.lines.push_back(line); }, stop);
  return seen;
}

/// A serial line whose other end a thread feeds; the line's name.
class PseudoTerminal {
 public:
  PseudoTerminal() : end_(posix_openpt(O_RDWR | O_NOCTTY)) {
    if (end_ < 0 || grantpt(end_) != 0 || unlockpt(end_) != 0) return;
    name_ = ptsname(end_);
    // Kept open here, so that the line does not hang up before the reader comes.
    held_ = open(name_.c_str(), O_RDWR | O_NOCTTY);
  }
  ~PseudoTerminal() {
    if (feeder_.joinable()) feeder_.join();
    close_all();
  }
  const std::string& name() const { return name_; }
  void feed(std::string text) {
    feeder_ = std::thread([this, text = std::move(text)] {
      std::size_t at = 0;
      while (at < text.size()) {
        const ssize_t wrote =
            write(end_, text.data() + at, std::min<std::size_t>(text.size() - at, 1024));
        if (wrote <= 0) break;
        at += static_cast<std::size_t>(wrote);
      }
    });
  }

 private:
  void close_all() {
    if (held_ >= 0) close(held_);
    if (end_ >= 0) close(end_);
  }
  int end_ = -1, held_ = -1;
  std::string name_;
  std::thread feeder_;
};

TEST(ValveLive, ASerialLineIsReadWhilePulsesRunAndEndsByItself) {
  PseudoTerminal line;
  if (line.name().empty()) GTEST_SKIP() << "no pseudo-terminal here";
  line.feed(valve::trace_csv(valve::invent_trace(demo())));
  const Seen seen = live(line.name(), 0);
  EXPECT_GE(seen.lines.size(), 2u) << "a line a second of three seconds of samples";
  const bench::PulseCommand command{0.0, demo().drive.on_time_s};
  const double at_stop_s =
      rig::drive_valve(demo(), rig::conditions_of(demo()), {&command, 1}, 0.02)[0].at_stop_s;
  const std::string& last = seen.lines.back();
  const std::size_t opening = last.find("opening ");
  ASSERT_NE(opening, std::string::npos) << last;
  // 20 kHz, two digits.
  EXPECT_NEAR(std::stod(last.substr(opening + 8)), 1e3 * at_stop_s, 0.06) << last;
  EXPECT_EQ(seen.record.trace.size(), valve::invent_trace(demo()).size());
  EXPECT_EQ(seen.record.why_ended, "no sample came for five seconds");
}

TEST(ValveLive, AFileEndsWithItsSamples) {
  const ::ScratchFolder folder;
  const auto file = folder.write("trace.csv", valve::trace_csv(valve::invent_trace(demo())));
  const Seen seen = live(file.string(), 0);
  EXPECT_EQ(seen.record.why_ended, "the samples ended");
  const valve::TraceFindings whole =
      valve::analyse_trace(seen.record.trace, valve::reading_of(demo()));
  EXPECT_EQ(whole.pulses.size(), 30u);
}

TEST(ValveLive, SoManyPulsesAreEnough) {
  const ::ScratchFolder folder;
  const auto file = folder.write("trace.csv", valve::trace_csv(valve::invent_trace(demo())));
  const Seen seen = live(file.string(), 10);
  EXPECT_EQ(seen.record.why_ended, "10 pulses were seen");
  EXPECT_LT(seen.record.trace.size(), valve::invent_trace(demo()).size());
}

TEST(ValveLive, WhatCannotBeReadIsSaid) {
  EXPECT_THROW(live("/nowhere/tty", 0), text::InputError);
  const ::ScratchFolder folder;
  EXPECT_THROW(live(folder.write("bad.csv", "time [s],current [A]\n0,1\n").string(), 0),
               text::InputError);
  EXPECT_THROW(live(folder.write("none.csv", "").string(), 0), text::InputError);
}

}  // namespace
}  // namespace sim::command
