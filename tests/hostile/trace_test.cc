// Files that are no traces, and traces that are damaged at random places: each gives an InputError
// or a trace and nothing else, and the same whether the text is read whole or in pieces.
#include <gtest/gtest.h>

#include <cstdint>
#include <string>

#include "sim/scenario/loader.h"
#include "sim/study/valve/trace/valve_trace.h"
#include "tests/support/scratch_folder.h"

namespace {

std::string good_text() {
  std::string text = "time [s],command [1],current [A],voltage [V]\n";
  for (int k = 0; k < 60; ++k)
    text += std::to_string(k) + "e-5," + std::to_string(k / 20 % 2) + ",1.25e-3,-0.5\n";
  return text;
}

std::string whole(const std::string& text, sim::valve::ValveTrace& trace) {
  const ScratchFolder folder;
  try {
    trace = sim::valve::read_valve_trace(folder.write("t.csv", text));
  } catch (const sim::text::InputError& error) {
    const std::string what = error.what();
    return what.substr(folder.path().string().size() + 1);
  }
  return {};
}

std::string in_pieces(const std::string& text, std::size_t piece, sim::valve::ValveTrace& trace) {
  try {
    sim::valve::ValveTraceReader reader("t.csv");
    for (std::size_t at = 0; at < text.size(); at += piece) reader.take(text.substr(at, piece));
    reader.finish();
    trace = reader.take_trace();
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return {};
}

std::uint64_t next(std::uint64_t& state) {  // linear congruential: the same damage in every run
  state = state * 6364136223846793005u + 1442695040888963407u;
  return state >> 33;
}

}  // namespace

TEST(HostileTrace, BentTextsGiveATraceOrOneMessage) {
  const std::string good = good_text();
  const std::string letters("\0\x01\t\n\r \"#+,-.019;[]eEnif\x7f\xff", 27);
  std::uint64_t state = 1;
  int refused = 0;
  for (int round = 0; round < 2000; ++round) {
    std::string text = good;
    for (std::uint64_t bends = next(state) % 4 + 1; bends > 0; --bends) {
      const std::size_t at = next(state) % text.size();
      const char letter = letters[next(state) % letters.size()];
      switch (next(state) % 3) {
        case 0: text[at] = letter; break;
        case 1: text.insert(at, 1, letter); break;
        default: text.erase(at, next(state) % 30 + 1);
      }
      if (text.empty()) text = "\n";
    }
    sim::valve::ValveTrace one, other;
    const std::string message = whole(text, one);
    ASSERT_EQ(in_pieces(text, next(state) % 50 + 1, other), message) << text;
    ASSERT_EQ(one.time_s, other.time_s);
    ASSERT_EQ(one.current_a, other.current_a);
    if (message.empty()) {
      ASSERT_GE(one.size(), sim::valve::kFewestSamples);
      ASSERT_EQ(one.current_a.size(), one.size());
    } else {
      ++refused;
      ASSERT_TRUE(message.starts_with("t.csv:")) << message;
    }
  }
  EXPECT_GT(refused, 500);
  EXPECT_LT(refused, 2000);
}

TEST(HostileTrace, WhatNeverEndsIsRefused) {
  // An endless device without lines is refused at its first bytes.
  EXPECT_THROW(sim::valve::read_valve_trace("/dev/zero"), sim::text::InputError);
  EXPECT_THROW(sim::valve::read_valve_trace("/dev/null"), sim::text::InputError);
}
