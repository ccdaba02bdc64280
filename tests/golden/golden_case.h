// Short passes whose result bytes must not depend on threads, compiler, optimisation or processor.
//
// They are made from the demo's scenario by overrides, and each reaches code that the others do
// not: waves and valve at steady speed, the fall of a seed (exp and log), a curve with every row at
// its own speed (sin and cos), rows that meet in a manifold whose tank runs empty, a radio and a
// bus that lose and delay frames.
// Checked  tests/golden/threads_test.cc, tests/golden/same_bytes_slow_test.cc
#pragma once

#include <gtest/gtest.h>

#include <filesystem>
#include <string>
#include <vector>

#include "tests/support/run_program.h"

namespace golden {

struct Case {
  std::string name;
  std::vector<std::string> sets;
};

inline std::vector<Case> cases() {
  const std::vector<std::string> few = {"seeds=40", "row.count=3", "rng_key=20240501"};
  const auto with = [&](const std::vector<std::string>& more) {
    std::vector<std::string> sets = few;
    sets.insert(sets.end(), more.begin(), more.end());
    return sets;
  };
  return {
      {"conveyor", few},
      {"gravity", with({"delivery.kind=\"gravity\""})},
      {"curve", with({"travel.turn_radius=\"60 m\""})},
      {"manifold", with({"supply.pump_flow=\"5 l/min\"", "supply.pump_pressure=\"8 bar\"",
                         "supply.tank_volume=\"0.01 l\"", "supply.manifold_volume=\"0.01 l\"",
                         "supply.harness_resistance=\"0.05 ohm\"",
                         "attachment.valve.coil.thermal_resistance=\"8 K/W\""})},
      {"network", with({"network.radio.period=\"100 ms\"", "network.radio.latency_scatter=\"8 ms\"",
                        "network.radio.worsens=\"5 %\"", "network.radio.recovers=\"30 %\"",
                        "network.radio.lost_bad=\"80 %\"", "network.radio.repeated=\"5 %\"",
                        "network.cab.simulated=true", "network.cab.load=\"60 %\"",
                        "network.cab.bit_errors=\"20 ppm\"", "network.power.asleep=\"1 mA\""})}};
}

/// The two result files of one run, byte for byte.
struct Bytes {
  std::string summary;
  std::string seeds;
};

/// Runs one case. A run that judged its seeds ends with 0 or 1; anything else has no result to
/// compare.
inline Bytes bytes_of(const std::string& program, const Case& chosen, int threads,
                      const support::Environment& environment = {}) {
  const support::ScratchFolder scratch;
  const std::filesystem::path out = scratch.path() / "result";
  std::vector<std::string> command = {program,      "run",       "scenarios/demo.toml",  "--out",
                                      out.string(), "--threads", std::to_string(threads)};
  for (const std::string& set : chosen.sets) command.insert(command.end(), {"--set", set});
  const support::Ended ended = support::run_program(command, environment);
  EXPECT_TRUE(ended.code == 0 || ended.code == 1)
      << program << " on case " << chosen.name << " ended with " << ended.code << "\n"
      << ended.err;
  return {support::text_of(out / "summary.json"), support::text_of(out / "seeds.csv")};
}

/// Where two texts differ first, with what stands around that place.
inline std::string parting(const std::string& a, const std::string& b) {
  std::size_t at = 0;
  while (at < a.size() && at < b.size() && a[at] == b[at]) ++at;
  const std::size_t from = at < 60 ? 0 : at - 60;
  return "they part at byte " + std::to_string(at) + ":\n  " + a.substr(from, 120) + "\n  " +
         b.substr(from, 120);
}

inline void expect_same(const Bytes& a, const Bytes& b, const std::string& what) {
  ASSERT_FALSE(a.summary.empty()) << what << ": no summary.json";
  ASSERT_FALSE(a.seeds.empty()) << what << ": no seeds.csv";
  EXPECT_TRUE(a.summary == b.summary)
      << what << ", summary.json: " << parting(a.summary, b.summary);
  EXPECT_TRUE(a.seeds == b.seeds) << what << ", seeds.csv: " << parting(a.seeds, b.seeds);
}

}  // namespace golden
