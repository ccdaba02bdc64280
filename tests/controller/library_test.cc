// What the controller library is made of: nothing that a bare microcontroller lacks.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

namespace {

std::vector<std::string> lines_of(const std::string& command) {
  std::vector<std::string> lines;
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) return lines;
  std::array<char, 4096> line{};
  while (std::fgets(line.data(), line.size(), pipe) != nullptr) lines.emplace_back(line.data());
  EXPECT_EQ(pclose(pipe), 0) << command;
  return lines;
}

std::string last_word(const std::string& line) {
  std::istringstream words(line);
  std::string word;
  while (words >> word) continue;
  return word;
}

// Undefined names may be the controller's own (from file to file), the copying of memory that every
// compiler takes for granted, and what a sanitizer or -O0 brings. All else is a leak.
TEST(Library, NeedsNothingThatABarePartLacks) {
  const auto lines = lines_of("nm -u " SILLION_BINARY_DIR "/libcontroller.a");
  ASSERT_FALSE(lines.empty());
  for (const std::string& line : lines) {
    if (line.find(" U ") == std::string::npos) continue;
    const std::string name = last_word(line);
    const bool own = name.find("10controller") != std::string::npos || name.starts_with("sillion_");
    const bool plain =
        name == "memcpy" || name == "memset" || name == "memmove" || name == "memcmp";
    const bool tooling = name.starts_with("__asan") || name.starts_with("__ubsan") ||
                         name.starts_with("__tsan") || name == "_GLOBAL_OFFSET_TABLE_" ||
                         name == "__stack_chk_fail";
    EXPECT_TRUE(own || plain || tooling) << name;
  }
}

TEST(Library, DefinesTheThreeFunctions) {
  int found = 0;
  for (const std::string& line :
       lines_of("nm --defined-only " SILLION_BINARY_DIR "/libcontroller.a")) {
    const std::string name = last_word(line);
    const bool one = name == "sillion_describe" || name == "sillion_init" || name == "sillion_step";
    if (one && line.find(" T ") != std::string::npos) ++found;
  }
  EXPECT_EQ(found, 3);
}

// Two controllers would share mutable statics, so no object may have a .data or .bss of its own.
TEST(Library, HoldsNoMutableStatics) {
  for (const std::string& line :
       lines_of("nm --defined-only " SILLION_BINARY_DIR "/libcontroller.a")) {
    for (const char* kind : {" d ", " D ", " b ", " B ", " C "}) {
      const bool tooling =
          line.find("asan") != std::string::npos || line.find("ubsan") != std::string::npos ||
          line.find("Lubsan") != std::string::npos || line.find("DW.ref") != std::string::npos;
      EXPECT_TRUE(tooling || line.find(kind) == std::string::npos) << line;
    }
  }
}

/// A source without its comments.
std::string code_of(const std::filesystem::path& path) {
  std::ifstream file(path);
  std::string code;
  for (std::string line; std::getline(file, line);) {
    code += line.substr(0, line.find("//")) + "\n";
  }
  return code;
}

bool has_word(const std::string& code, const std::string& word) {
  const auto part_of_word = [](char c) {
    return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_';
  };
  for (std::size_t at = code.find(word); at != std::string::npos; at = code.find(word, at + 1)) {
    const bool begins = at == 0 || !part_of_word(code[at - 1]);
    const bool ends = at + word.size() == code.size() || !part_of_word(code[at + word.size()]);
    if (begins && ends) return true;
  }
  return false;
}

TEST(Library, SourcesKeepToTheSubset) {
  int files = 0;
  for (const auto& entry :
       std::filesystem::recursive_directory_iterator(SILLION_SOURCE_DIR "/controller")) {
    const std::string kind = entry.path().extension().string();
    if (kind != ".h" && kind != ".cc") continue;
    if (entry.path().filename() == "host_part.cc") continue;  // runs here and starts the emulator
    ++files;
    const std::string code = code_of(entry.path());
    for (const char* word : {"double", "float", "throw", "try", "dynamic_cast", "typeid", "malloc",
                             "thread_local", "virtual", "mutable"}) {
      EXPECT_FALSE(has_word(code, word)) << entry.path() << " has " << word;
    }
    std::istringstream text(code);
    for (std::string line; std::getline(text, line);) {
      if (line.find("#include <") == std::string::npos) continue;
      const bool allowed = line.find("<array>") != std::string::npos ||
                           line.find("<cstdint>") != std::string::npos ||
                           line.find("<algorithm>") != std::string::npos ||
                           line.find("<cstddef>") != std::string::npos ||
                           line.find("<new>") != std::string::npos;
      EXPECT_TRUE(allowed) << entry.path() << ": " << line;
    }
  }
  EXPECT_GE(files, 30);
}

// The check itself must be able to fail.
TEST(Library, WordSearchSeesWholeWords) {
  EXPECT_TRUE(has_word("int a; float b;", "float"));
  EXPECT_FALSE(has_word("int floating;", "float"));
}

}  // namespace
