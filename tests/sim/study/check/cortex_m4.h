// The reference controller's build for a Cortex-M4F, run by an emulator, as tests use it.
//
// Checked  tests/sim/study/check/cortex_m4_test.cc
#pragma once

#include <dlfcn.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include "shared/controller_abi.h"
#include "sim/bench/controller_host.h"
#include "sim/scenario/loader.h"
#include "sim/study/check/parting.h"

namespace test {

inline const char* const kPartLibrary = SILLION_BINARY_DIR "/libsillion_cortex_m4.so";
inline const char* const kPartFolder = SILLION_BINARY_DIR "/cortex_m4";
#define NEEDS_THE_PART()                            \
  if (!std::filesystem::exists(test::kPartLibrary)) \
  GTEST_SKIP() << "cmake found no arm-none-eabi-g++ or no qemu-system-arm"

// A tick comes every millisecond, which is 80,000 cycles at 80 MHz. At two cycles per instruction
// 10,000 instructions are a quarter of it; the rest is left to drivers and the radio.
inline constexpr std::uint32_t kMostInstructions = 10'000;
inline constexpr std::uint32_t kMostStackBytes = 1024;

/// What the part's library has seen of a role (enum sillion_role) in this process.
struct PartFigures {
  std::uint32_t instructions = 0;
  std::uint32_t stack_bytes = 0;
  std::uint64_t calls = 0;
};
inline PartFigures part_figures(std::uint32_t role) {
  using Ask = void (*)(std::uint32_t, std::uint32_t*, std::uint32_t*, std::uint64_t*);
  PartFigures seen;
  void* library = dlopen(kPartLibrary, RTLD_NOW);
  if (library == nullptr) return seen;
  const auto ask = reinterpret_cast<Ask>(dlsym(library, "sillion_part_figures"));
  if (ask != nullptr) ask(role, &seen.instructions, &seen.stack_bytes, &seen.calls);
  dlclose(library);
  return seen;
}

/// One scenario over which the part and this machine are compared.
struct PartCase {
  const char* name;
  const char* file;
  std::vector<std::string> sets;
};

/// A tick comes every millisecond, so that a second has a thousand calls of each controller.
inline constexpr std::uint64_t kLeastCalls = 500;

/// Where both builds part over a case, in words; empty: every call has the same bytes, and there
/// were calls: two builds that both fail at once are no proof that they answer alike.
inline std::string parting_of(const PartCase& one) {
  const std::uint64_t before = part_figures(SILLION_ROLE_ROW).calls;
  sim::bench::set_host_settings({.trusts_foreign = true});
  const std::string path = std::string(SILLION_SOURCE_DIR) + "/scenarios/" + one.file;
  std::vector<std::string> sets = one.sets;
  const sim::scenario::Scenario here = sim::scenario::load_scenario(path, sets);
  sets.push_back("controller.library=" + std::string(kPartLibrary));
  const sim::scenario::Scenario part = sim::scenario::load_scenario(path, sets);
  const sim::check::Parting found = sim::check::find_parting(here, part, nullptr);
  sim::bench::set_host_settings({});
  const std::uint64_t calls = part_figures(SILLION_ROLE_ROW).calls - before;
  if (found.run < 0 && calls < kLeastCalls)
    return "the part's row controller was called " + std::to_string(calls) + " times";
  if (found.run < 0) return {};
  std::string words = "row " + std::to_string(found.row) + ", call " + std::to_string(found.call) +
                      " at " + std::to_string(found.at_s) + " s";
  for (const sim::check::CallDifference& member : found.differences)
    words += ", " + member.member + " " + std::to_string(member.old_value) + " and " +
             std::to_string(member.new_value);
  return words + " " + found.fault;
}

/// Functions with their own stack and whom they call, as the compiler wrote them beside its
/// objects.
struct StackReport {
  std::map<std::string, std::uint32_t> own_bytes;
  std::map<std::string, std::set<std::string>> calls;
  bool bounded = true;  // no function takes stack by a number known only when it runs

  /// Functions that are called and not reported, so that they count as 0 bytes: those of the
  /// library, and what is called through a pointer.
  std::set<std::string> unreported() const {
    std::set<std::string> names;
    for (const auto& [caller, called] : calls)
      for (const std::string& name : called)
        if (!own_bytes.contains(name)) names.insert(name);
    return names;
  }

  std::uint32_t deepest_bytes(const std::string& function) const {
    const auto own = own_bytes.find(function);
    std::uint32_t below = 0;
    if (const auto known = calls.find(function); known != calls.end())
      for (const std::string& called : known->second)
        below = std::max(below, deepest_bytes(called));
    return (own == own_bytes.end() ? 0 : own->second) + below;
  }
};

/// Reads one NAME.ci into the report. Returns false where there is none.
inline bool read_stack_report(const std::string& path, StackReport& report) {
  static const std::regex kNode(
      R"re(node: \{ title: "([^"]+)" label: "[^"]*\\n(\d+) bytes \(([a-z,]+)\)[^"]*".*)re");
  static const std::regex kEdge(R"re(edge: \{ sourcename: "([^"]+)" targetname: "([^"]+)".*)re");
  std::ifstream file(path);
  if (!file) return false;
  std::smatch match;
  for (std::string line; std::getline(file, line);) {
    if (std::regex_match(line, match, kNode)) {
      report.own_bytes[match[1].str()] = static_cast<std::uint32_t>(std::stoul(match[2].str()));
      if (match[3].str() == "dynamic") report.bounded = false;
    } else if (std::regex_match(line, match, kEdge)) {
      report.calls[match[1].str()].insert(match[2].str());
    }
  }
  return true;
}

}  // namespace test
