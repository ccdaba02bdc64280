// The tests' main of the instrumented build: writes after each test which mutants it met.
#include <gtest/gtest.h>

#include <ctime>
#include <string>

#include "tests/quality/mutants_seen.h"

namespace {

double processor_ms() { return 1e3 * static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

class Listener : public testing::EmptyTestEventListener {
  void OnTestStart(const testing::TestInfo&) override { from_ms_ = processor_ms(); }
  void OnTestEnd(const testing::TestInfo& test) override {
    const std::string name = std::string(test.test_suite_name()) + "." + test.name();
    mut::write_seen(name.c_str(), processor_ms() - from_ms_);
  }
  double from_ms_ = 0.0;
};

}  // namespace

int main(int argc, char** argv) {
  testing::InitGoogleTest(&argc, argv);
  mut::write_seen("(start)", 0.0);  // what was met before any test concerns all of them
  testing::UnitTest::GetInstance()->listeners().Append(new Listener);
  return RUN_ALL_TESTS();
}
