// What `metadata` of a session of the sigrok programs says of its channels.
//
//   samplerate=RATE, unitsize=BYTES, capturefile=NAME of the logic samples
//   probeN=NAME      bit N - 1 of each logic sample
//   analogK=NAME     the channel whose samples lie in analog-1-K-1, analog-1-K-2, ...: 32-bit
//                    floating-point numbers, lowest byte first, one per logic sample
//
// Errors   InputError "file: metadata: key=value: what"
// Source   from files that sigrok-cli 0.7.2 (libsigrok 0.5.2) writes; no standard
// Checked  tests/sim/study/score/session_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/study/score/session_archive.h"
#include "sim/study/score/signal_names.h"

namespace sim::score {

struct SessionMetadata {
  std::string logic_name = "logic-1";
  double rate_hz = 0.0;
  std::size_t unit_bytes = 1;
  std::vector<std::string> probes;  // by bit; empty: that bit has no name
  struct Analog {
    std::size_t number = 0;  // K
    std::string name;
    std::string stream() const { return "analog-1-" + std::to_string(number); }
  };
  std::vector<Analog> analogs;

  /// All channels: the bits first.
  std::vector<RecordedSignal> signals() const;
};

SessionMetadata metadata_of(const SessionArchive& archive);

}  // namespace sim::score
