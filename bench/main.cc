// `sillion_bench [--ratios] [options of Google Benchmark]`
//
// --ratios   runs only the comparisons with general integrators, and prints one table of ratios
//            with the placement error of both sides beside each
// Errors     2: an unknown option
#include <benchmark/benchmark.h>
#include <time.h>

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <string>
#include <string_view>
#include <vector>

namespace {

/// Prints what the comparisons report as rows of one table, when all have run.
class RatioTable : public benchmark::ConsoleReporter {
 public:
  void ReportRuns(const std::vector<Run>& runs) override {
    for (const Run& run : runs) {
      if (run.error_occurred) {
        skipped_.push_back(run.run_name.function_name + ": " + run.error_message);
        continue;
      }
      for (const std::string other : {"dopri5", "cvode"}) {
        if (!run.counters.contains("ratio_to_" + other)) continue;
        const auto number = [&](const std::string& name) {
          return static_cast<double>(run.counters.at(name));
        };
        char line[256];
        std::snprintf(line, sizeof(line), "| %s%s%s | %s | %.0f | %.3f | %.3f | %.4g | %.3g |",
                      run.run_name.function_name.c_str(), run.report_label.empty() ? "" : ", ",
                      run.report_label.c_str(), other.c_str(), number("ratio_to_" + other),
                      number("fast_off_mm"), number(other + "_off_mm"), number("row_s_per_s"),
                      number(other + "_s_per_s"));
        rows_.emplace_back(line);
      }
    }
  }
  void Finalize() override {
    std::printf(
        "\n| what | against | ratio | off by, mm | other off by, mm | row-s per s and core "
        "| other |\n|---|---|---|---|---|---|---|\n");
    for (const std::string& row : rows_) std::printf("%s\n", row.c_str());
    for (const std::string& line : skipped_) std::printf("left out: %s\n", line.c_str());
  }

 private:
  std::vector<std::string> rows_, skipped_;
};

std::string processor() {
  std::ifstream file("/proc/cpuinfo");
  for (std::string line; std::getline(file, line);)
    if (line.starts_with("model name")) return line.substr(line.find(':') + 2);
  return "unknown processor";
}

void print_machine() {
  char day[32] = "";
  const time_t now = time(nullptr);
  tm parts{};
  strftime(day, sizeof(day), "%Y-%m-%d", gmtime_r(&now, &parts));
  std::printf("%s, %d processors, %s, %s\n", processor().c_str(),
              benchmark::CPUInfo::Get().num_cpus, SILLION_COMPILER, day);
}

}  // namespace

int main(int argc, char** argv) {
  char** const end = std::remove_if(argv + 1, argv + argc,
                                    [](std::string_view word) { return word == "--ratios"; });
  const bool ratios = end != argv + argc;
  argc = static_cast<int>(end - argv);
  benchmark::Initialize(&argc, argv);
  if (benchmark::ReportUnrecognizedArguments(argc, argv)) return 2;
  print_machine();
  if (ratios) {
    RatioTable table;
    benchmark::RunSpecifiedBenchmarks(&table, "against_dopri5");
  } else {
    benchmark::RunSpecifiedBenchmarks();
  }
  benchmark::Shutdown();
  return 0;
}
