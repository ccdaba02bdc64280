// The mistakes of tests/support/mistakes.cmake and, for each, the scenario of the pull-request
// suite that is meant to catch it and the requirement that must then be violated.
//
// A mistake counts as caught only when it is distinguished clearly: the reference holds the
// requirement with a margin, and the mistake violates it by at least as much, so that the limit
// lies between the two with room on both sides.
#pragma once

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <string>

#include "tests/support/run_program.h"

namespace support {

struct MistakeCase {
  const char* name;         // libfaulty_NAME.so
  const char* scenario;     // of scenarios/pull_request.toml
  const char* requirement;  // empty: the controller is at fault, exit 4
};

inline nlohmann::json checked_case(const MistakeCase& mistake, const std::string& library,
                                   int& code) {
  const ScratchFolder scratch;
  std::vector<std::string> words = {
      "check", "scenarios/pull_request.toml", "--only", mistake.scenario, "--quiet", "--json",
      "--out", scratch.path().string()};
  // The mistakes are our own: in the program's process they give the same bytes in half the time.
  if (!library.empty()) words.insert(words.end(), {"--controller", library, "--trust"});
  const Ended ended = sillion(words);
  code = ended.code;
  const nlohmann::json said = nlohmann::json::parse(ended.out, nullptr, false);
  if (said.is_discarded() || said["cases"].size() != 1) {
    ADD_FAILURE() << mistake.scenario << ": " << ended.err;
    return {};
  }
  return said["cases"][0];
}

/// By how much a case holds the named requirement; negative: violated. A missing one fails the
/// test.
inline double margin_si(const nlohmann::json& one,
                        const std::string& name) {  // tidy: unit the requirement's
  for (const nlohmann::json& requirement : one["requirements"])
    if (requirement["name"] == name && !requirement["margin"].is_null())
      return requirement["margin"];
  ADD_FAILURE() << name << " is not judged in " << one["case"];
  return 0.0;
}

inline void expect_caught(const MistakeCase& mistake) {
  const std::string library =
      std::string(SILLION_BINARY_DIR) + "/tests/libfaulty_" + mistake.name + ".so";
  ASSERT_TRUE(std::filesystem::exists(library))
      << "the text of this mistake no longer stands once in controller/: move it along in "
         "tests/support/mistakes.cmake";
  int code = -1;
  const nlohmann::json wrong = checked_case(mistake, library, code);
  if (mistake.requirement[0] == '\0') {
    EXPECT_EQ(code, 4);
    return;
  }
  EXPECT_EQ(code, 1);
  const nlohmann::json right = checked_case(mistake, "", code);
  EXPECT_EQ(code, 0) << right.dump(1);
  ASSERT_FALSE(wrong.is_null() || right.is_null());
  const double held_si = margin_si(right, mistake.requirement);  // tidy: unit the requirement's
  const double violated_si =
      -margin_si(wrong, mistake.requirement);  // tidy: unit the requirement's
  EXPECT_GT(violated_si, 0.0) << wrong.dump(1);
  EXPECT_GE(violated_si, held_si) << "too thin: the limit stands nearer to the mistake than to the "
                                     "reference";
}

}  // namespace support
