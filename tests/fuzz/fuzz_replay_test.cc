// The corpus of every fuzz target, replayed; and each of its files cut short and with single bytes
// changed, so that the readers meet damage in every test run.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>
#include <string>
#include <vector>

#include "tests/fuzz/fuzz_targets.h"

namespace {

namespace fs = std::filesystem;

std::string bytes_of(const fs::path& file) {
  std::ifstream stream(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), {}};
}

std::vector<fs::path> corpus_of(std::string_view target) {
  std::vector<fs::path> files;
  const fs::path folder = fs::path(SILLION_SOURCE_DIR) / "tests/fuzz/corpus" / target;
  if (fs::is_directory(folder))
    for (const auto& entry : fs::directory_iterator(folder)) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  return files;
}

TEST(FuzzReplay, EveryTargetHasACorpusThatItTakes) {
  for (const fuzz::Target& target : fuzz::targets()) {
    const std::vector<fs::path> files = corpus_of(target.name);
    EXPECT_GE(files.size(), 3u) << target.name;
    for (const fs::path& file : files) {
      SCOPED_TRACE(file.string());
      target.read(bytes_of(file));
    }
  }
}

// What is missing in one of the two lists is replayed here and never fuzzed.
TEST(FuzzReplay, TheScriptAndTheBuildNameEveryTarget) {
  std::string names;
  for (const fuzz::Target& target : fuzz::targets())
    names += (names.empty() ? "" : " ") + std::string(target.name);
  const auto sorted = [](const std::string& words) {
    std::istringstream in(words);
    std::vector<std::string> all{std::istream_iterator<std::string>(in), {}};
    std::sort(all.begin(), all.end());
    return all;
  };
  const auto between = [](const char* file, const std::string& from, const std::string& to) {
    const std::string text = bytes_of(fs::path(SILLION_SOURCE_DIR) / "tests" / file);
    const std::size_t begin = text.find(from) + from.size();
    return text.substr(begin, text.find(to, begin) - begin);
  };
  EXPECT_EQ(sorted(between("fuzz/fuzz.sh", "\nall=(", ")")), sorted(names));
  EXPECT_EQ(sorted(between("CMakeLists.txt", "if(SILLION_FUZZ)\n  foreach(TARGET ", ")")),
            sorted(names));
}

TEST(FuzzReplay, DamagedFilesAreReadOrRefused) {
  std::uint64_t state = 0x9E3779B97F4A7C15u;
  const auto below = [&](std::size_t bound) {
    state ^= state << 13, state ^= state >> 7, state ^= state << 17;
    return static_cast<std::size_t>(state % bound);
  };
  for (const fuzz::Target& target : fuzz::targets())
    for (const fs::path& file : corpus_of(target.name)) {
      const std::string whole = bytes_of(file);
      if (whole.empty()) continue;
      for (int round = 0; round < 8; ++round) {
        std::string bytes = whole.substr(0, round % 4 == 0 ? below(whole.size()) : whole.size());
        for (std::size_t k = 0; !bytes.empty() && k < 1 + below(4); ++k)
          bytes[below(bytes.size())] = static_cast<char>(below(256));
        SCOPED_TRACE(file.string() + ", round " + std::to_string(round));
        target.read(bytes);
      }
    }
}

}  // namespace
