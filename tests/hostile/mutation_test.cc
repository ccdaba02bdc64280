// Thousands of damaged scenarios and overrides: whatever the bytes, each loads or is an InputError.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdint>
#include <fstream>
#include <iterator>
#include <string>

#include "sim/scenario/loader.h"
#include "tests/support/scratch_folder.h"

namespace {

using testing::HasSubstr;

const std::filesystem::path kDemo =
    std::filesystem::path(SILLION_SOURCE_DIR) / "scenarios" / "demo.toml";

const std::string kLeast = R"([attachment]
name = "swan neck"
[rate]
in_band = "5 gal/ac"
)";

}  // namespace

namespace {

// A small generator of its own, so that every machine tries the same bytes (Marsaglia, xorshift64).
struct Bytes {
  std::uint64_t state = 88172645463325252ull;
  std::uint64_t next() {
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return state;
  }
  std::size_t below(std::size_t bound) { return static_cast<std::size_t>(next() % bound); }
};

void mutate(std::string& text, Bytes& bytes) {
  static const std::string kTelling = "[]{}\"'=.,#\\\n\r\t -+eE0123456789\xEF\xFF";
  if (text.empty()) text = "x";
  const std::size_t at = bytes.below(text.size());
  switch (bytes.below(6)) {
    case 0: text[at] = static_cast<char>(bytes.below(256)); break;
    case 1: text[at] = kTelling[bytes.below(kTelling.size())]; break;
    case 2: text.insert(at, 1, kTelling[bytes.below(kTelling.size())]); break;
    case 3: text.erase(at, 1 + bytes.below(8)); break;
    case 4: text.insert(at, text.substr(bytes.below(text.size()), 1 + bytes.below(40))); break;
    default: text.resize(std::max<std::size_t>(at, 1)); break;
  }
}

}  // namespace

// More than a thousand damaged scenarios: each loads, or says what is wrong in an InputError that
// names the file. Anything else that is thrown, or a crash, fails here with the round to repeat.
TEST(Mutations, GiveAScenarioOrAnInputError) {
  std::ifstream in(kDemo, std::ios::binary);
  const std::string demo = std::string(std::istreambuf_iterator<char>(in), {}) +
                           "[[fault]]\nkind = \"late_edges\"\nby = \"1 ms\"\n";
  const ScratchFolder folder;
  Bytes bytes;
  int loaded = 0;
  int refused = 0;
  for (int round = 0; round < 1200; ++round) {
    std::string text = demo;
    for (std::size_t i = 0, changes = 1 + bytes.below(3); i < changes; ++i) mutate(text, bytes);
    const auto file = folder.write("m.toml", text);
    try {
      sim::scenario::load_scenario(file);
      ++loaded;
    } catch (const sim::text::InputError& error) {
      ++refused;
      ASSERT_THAT(error.what(), HasSubstr(".toml")) << "round " << round;
    } catch (const std::exception& error) {
      FAIL() << "round " << round << ": " << error.what();
    }
  }
  EXPECT_GT(loaded, 40);  // damage in comments, in words and in digits that may change
  EXPECT_GT(refused, 400);
}

TEST(Mutations, OfOverridesGiveAScenarioOrAnInputError) {
  const ScratchFolder folder;
  const auto file = folder.write("s.toml", kLeast);
  Bytes bytes;
  int refused = 0;
  for (int round = 0; round < 2000; ++round) {
    static const std::string kSets[] = {
        "travel.speed=12 km/h", "fault[0]={kind=\"late_edges\", by=\"4 ms\"}",
        "travel.profile=[{time=\"0 s\", speed=\"8 km/h\", yaw_rate=\"0 deg/s\"}]",
        "require.0.metric=gap_ratio"};
    std::string set = kSets[bytes.below(std::size(kSets))];
    for (std::size_t i = 0, changes = 1 + bytes.below(3); i < changes; ++i) mutate(set, bytes);
    try {
      sim::scenario::load_scenario(file, {set});
    } catch (const sim::text::InputError&) {
      ++refused;
    } catch (const std::exception& error) {
      FAIL() << "round " << round << ": " << set << ": " << error.what();
    }
  }
  EXPECT_GT(refused, 400);
}
