// Who calls whom in the controller library, as its machine code says it: no call through a pointer
// and no function that can come back to itself. Together they bound the stack.
//
// Valid    code of x86-64; a build under a sanitizer calls its run time as well, which is not ours
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include "tests/controller/sanitized.h"

namespace {

struct Calls {
  std::map<std::string, std::set<std::string>> of;  // function -> functions that it calls
  std::vector<std::string> through_pointers;
};

std::string part_of(const std::smatch& match, std::size_t which) { return match[which].str(); }

/// Reads a disassembly with relocations. Functions that several files name alike and keep to
/// themselves are told apart by their file.
Calls calls_in(FILE* listing) {
  static const std::regex kFile(R"(^(\S+\.o):\s+file format.*)");
  static const std::regex kFunction(R"(^[0-9a-f]+ <(.+)>:)");
  static const std::regex kPointer(R"(^\s*[0-9a-f]+:\s+(call|callq|notrack call)\s+\*.*)");
  static const std::regex kDirect(
      R"(^\s*[0-9a-f]+:\s+(call|callq|j[a-z]+)\s+[0-9a-f]+ <([^+>]+)>.*)");
  static const std::regex kRelocated(R"(^\s*[0-9a-f]+: R_X86_64_(PLT32|PC32)\s+([^-+\s]+).*)");
  static const std::regex kBranch(R"(:\s+(notrack )?(call|j[a-z]+)\s)");
  Calls calls;
  std::string file;
  std::string function;
  bool branches = false;  // the instruction before is a call or a jump out of the function
  const auto named = [&](const std::string& symbol) {
    // What a compiler moved away as unlikely belongs to its function.
    const std::string whole = symbol.substr(0, symbol.find(".cold"));
    return whole.find("_GLOBAL__N_1") == std::string::npos ? whole : file + ":" + whole;
  };
  std::array<char, 8192> buffer{};
  while (std::fgets(buffer.data(), buffer.size(), listing) != nullptr) {
    std::string line = buffer.data();
    line.erase(line.find_last_not_of("\n ") + 1);
    std::smatch match;
    if (std::regex_match(line, match, kFile)) {
      file = part_of(match, 1);
    } else if (std::regex_match(line, match, kFunction)) {
      function = named(part_of(match, 1));
      calls.of[function];
    } else if (std::regex_match(line, kPointer)) {
      calls.through_pointers.push_back(function + ":" + line);
    } else if (std::regex_match(line, match, kRelocated)) {
      if (branches) calls.of[function].insert(named(part_of(match, 2)));
      branches = false;
    } else {
      branches = std::regex_search(line, kBranch);
      // A call within its own section needs no relocation; a jump within the function is a loop.
      if (std::regex_match(line, match, kDirect)) {
        const std::string target = named(part_of(match, 2));
        const bool call = part_of(match, 1).starts_with("call");
        if (target != function || call) calls.of[function].insert(target);
      }
    }
  }
  return calls;
}

/// A function that can reach itself, or nothing.
std::string comes_back(const Calls& calls) {
  for (const auto& [start, unused] : calls.of) {
    std::vector<std::string> open(calls.of.at(start).begin(), calls.of.at(start).end());
    std::set<std::string> seen;
    while (!open.empty()) {
      const std::string next = open.back();
      open.pop_back();
      if (next == start) return start;
      const auto known = calls.of.find(next);
      if (known == calls.of.end() || !seen.insert(next).second) continue;
      open.insert(open.end(), known->second.begin(), known->second.end());
    }
  }
  return {};
}

Calls calls_of_library() {
  FILE* pipe = popen("objdump -dr --no-show-raw-insn " SILLION_BINARY_DIR "/libcontroller.a", "r");
  if (pipe == nullptr) return {};
  Calls calls = calls_in(pipe);
  pclose(pipe);
  return calls;
}

Calls calls_in_text(const std::string& text) {
  FILE* file = std::tmpfile();
  std::fwrite(text.data(), 1, text.size(), file);
  std::rewind(file);
  Calls calls = calls_in(file);
  std::fclose(file);
  return calls;
}

#if defined(__x86_64__) && !SILLION_SANITIZED
#define NEEDS_PLAIN_CODE() static_cast<void>(0)
#else
#define NEEDS_PLAIN_CODE() GTEST_SKIP() << "another processor, or under a sanitizer"
#endif

TEST(ControllerCalls, TheReaderSeesPointersAndLoops) {
  const Calls calls = calls_in_text(
      "a.o:     file format elf64-x86-64\n"
      "0000000000000000 <one>:\n"
      "   4:\tcall   9 <one+0x9>\n"
      "\t\t\t5: R_X86_64_PLT32\ttwo-0x4\n"
      "   9:\tcall   *%rax\n"
      "0000000000000010 <two>:\n"
      "  14:\tjmp    0 <one>\n");
  EXPECT_EQ(calls.through_pointers.size(), 1u);
  EXPECT_EQ(calls.of.at("one").count("two"), 1u);
  EXPECT_EQ(comes_back(calls), "one");
}

TEST(ControllerCalls, GoThroughNoPointerAndNeverComeBack) {
  NEEDS_PLAIN_CODE();
  const Calls calls = calls_of_library();
  ASSERT_EQ(calls.of.count("sillion_step"), 1u) << "objdump reads no library here";
  EXPECT_GE(calls.of.size(), 40u);
  EXPECT_FALSE(calls.of.at("sillion_step").empty());
  for (const std::string& call : calls.through_pointers) ADD_FAILURE() << call;
  EXPECT_EQ(comes_back(calls), "");
}

}  // namespace
