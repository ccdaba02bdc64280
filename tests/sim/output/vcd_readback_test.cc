// A dump as other programs read it: gtkwave's converter takes it to its own format and back, sigrok
// reads its one-bit signals. Neither knows anything of this project.
#include <gtest/gtest.h>

#include <map>
#include <sstream>

#include "tests/support/run_program.h"

namespace {

using support::run_program;
using support::text_of;

bool there(const char* tool) {
  return run_program({"sh", "-c", std::string("command -v ") + tool}).code == 0;
}

class VcdReadback : public testing::Test {
 protected:
  void SetUp() override {
    const support::Ended ended = support::sillion(
        {"explain", "scenarios/pull_request_row.toml", "--row", "0", "--seed", "40", "--set",
         "duration=3 s", "--set", "row.count=1", "--quiet", "--wave", vcd_.string()});
    ASSERT_EQ(ended.code, 0) << ended.err;
  }
  support::ScratchFolder scratch_;
  std::filesystem::path vcd_ = scratch_.path() / "deep" / "seed.vcd";
};

/// Changes by name of the signal, as "time value" lines; a real's text as a number.
std::map<std::string, std::vector<std::string>> changes_of(const std::string& vcd) {
  std::map<std::string, std::string> names;
  std::map<std::string, std::vector<std::string>> changes;
  std::map<std::string, std::string> last;
  std::istringstream in(vcd);
  std::string word, time = "0", scope;
  const auto note = [&](const std::string& code, const std::string& value) {
    const std::string& name = names.at(code);
    if (last[name] == value) return;  // a writer may repeat a value
    last[name] = value;
    changes[name].push_back(time + " " + value);
  };
  while (in >> word) {
    if (word == "$scope") {
      in >> word >> scope >> word;
    } else if (word == "$var") {
      std::string kind, size, code, name;
      in >> kind >> size >> code >> name;
      names[code] = scope + "." + name;
    } else if (word == "$comment" || word == "$date" || word == "$version" ||
               word == "$timescale") {
      while (word != "$end") in >> word;
    } else if (word[0] == '#') {
      time = word.substr(1);
    } else if (word[0] == 'r') {
      std::string code;
      in >> code;
      std::ostringstream number;
      number.precision(12);
      number << std::stod(word.substr(1));
      note(code, number.str());
    } else if (word[0] == 'b') {
      std::string code;
      in >> code;
      const std::size_t first = word.find('1');
      note(code, first == std::string::npos ? "0" : word.substr(first));
    } else if ((word[0] == '0' || word[0] == '1') && names.contains(word.substr(1))) {
      note(word.substr(1), word.substr(0, 1));
    }
  }
  return changes;
}

TEST_F(VcdReadback, GtkwavesConverterKeepsEverySignal) {
  if (!there("vcd2fst") || !there("fst2vcd")) GTEST_SKIP() << "gtkwave's converters are not here";
  const std::string fst = (scratch_.path() / "seed.fst").string();
  const std::string back = (scratch_.path() / "back.vcd").string();
  ASSERT_EQ(run_program({"vcd2fst", vcd_.string(), fst}).code, 0);
  ASSERT_EQ(run_program({"fst2vcd", "-f", fst, "-o", back}).code, 0);
  const auto ours = changes_of(text_of(vcd_));
  const auto theirs = changes_of(text_of(back));
  ASSERT_EQ(ours.size(), 20u);
  for (const auto& [name, changes] : ours) {
    ASSERT_TRUE(theirs.contains(name)) << name;
    EXPECT_EQ(theirs.at(name), changes) << name;
  }
  EXPECT_GT(ours.at("valve.current_A").size(), 100u);
}

TEST_F(VcdReadback, SigrokReadsTheOneBitSignals) {
  if (!there("sigrok-cli")) GTEST_SKIP() << "sigrok-cli is not here";
  const support::Ended ended = run_program(
      {"sigrok-cli", "-I", "vcd", "-i", vcd_.string(), "-O", "csv:header=false:label=off"});
  ASSERT_EQ(ended.code, 0) << ended.err;
  // one line per microsecond, one column per wire in the order of the file
  std::istringstream lines(ended.out);
  std::string line;
  std::vector<int> rises(9, 0);
  std::vector<char> before(9, '0');
  while (std::getline(lines, line)) {
    if (line.size() < 17 || (line[0] != '0' && line[0] != '1')) continue;
    for (std::size_t wire = 0; wire < 9; ++wire) {
      const char now = line[2 * wire];
      rises[wire] += now == '1' && before[wire] == '0';
      before[wire] = now;
    }
  }
  const auto ours = changes_of(text_of(vcd_));
  const char* names[] = {
      "sensor.covered",   "controller.valve_commanded", "controller.lowered", "controller.event",
      "valve.drive",      "valve.fast_decay",           "valve.reverse",      "ground.wanted",
      "ground.own_liquid"};
  for (std::size_t wire = 0; wire < 9; ++wire) {
    int wanted = 0;
    for (const std::string& change : ours.at(names[wire])) wanted += change.ends_with(" 1");
    EXPECT_EQ(rises[wire], wanted) << names[wire];
  }
  EXPECT_GT(rises[0], 3);
  EXPECT_GT(rises[4], 3);
}

}  // namespace
