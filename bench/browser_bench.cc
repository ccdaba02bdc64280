// The row's module in WebAssembly (row.wasm under node) against the same question to the same
// sources compiled for this processor, one thread and one row: turn by turn, in processor time.
#include <benchmark/benchmark.h>
#include <sys/wait.h>
#include <tbb/global_control.h>
#include <time.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

#include "sim/bench/row_team.h"
#include "sim/command/browser/standalone.h"

namespace {

const std::string kModule = SILLION_BINARY_DIR "/wasm/row.wasm";
const sim::page::PageBase kBase{.file = SILLION_SOURCE_DIR "/scenarios/demo.toml",
                                .shown = "scenarios/demo.toml"};
constexpr char kQuestion[] = "coarse\ntravel.speed=11 km/h\n";

double processor_s() {
  timespec now{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

/// node with the module: a line to it, and the processor time of an answer comes back.
class ModuleUnderNode {
 public:
  explicit ModuleUnderNode(const std::string& contents) {
    int in[2] = {}, out[2] = {};
    if (pipe(in) != 0 || pipe(out) != 0) std::abort();
    child_ = fork();
    if (child_ == 0) {
      dup2(in[0], STDIN_FILENO);
      dup2(out[1], STDOUT_FILENO);
      for (const int end : {in[0], in[1], out[0], out[1]}) close(end);
      execlp("node", "node", SILLION_SOURCE_DIR "/tests/support/row_module.mjs", "turns",
             kModule.c_str(), contents.c_str(), kQuestion, nullptr);
      _exit(127);
    }
    close(in[0]);
    close(out[1]);
    to_ = fdopen(in[1], "w");
    from_ = fdopen(out[0], "r");
  }
  ~ModuleUnderNode() {
    std::fclose(to_);
    std::fclose(from_);
    waitpid(child_, nullptr, 0);
  }
  ModuleUnderNode(const ModuleUnderNode&) = delete;
  ModuleUnderNode& operator=(const ModuleUnderNode&) = delete;

  /// Negative where there is no node.
  double answer_s() {
    std::fputs("\n", to_);
    std::fflush(to_);
    double spent_s = -1.0;
    return std::fscanf(from_, "%lf", &spent_s) == 1 ? spent_s : -1.0;
  }

 private:
  pid_t child_ = -1;
  std::FILE* to_ = nullptr;
  std::FILE* from_ = nullptr;
};

void row_in_webassembly_against_native(benchmark::State& state) {
  if (!std::filesystem::exists(kModule)) {
    state.SkipWithError("no row.wasm: the target wasm was not built");
    return;
  }
  const tbb::global_control one(tbb::global_control::max_allowed_parallelism, 1);
  sim::bench::set_rows_side_by_side(1);
  sim::page::RowDesk desk;
  desk.full(sim::page::page_input(kBase, {}));
  sim::command::RowContents contents = sim::command::contents_for(kBase, {});
  contents.known = desk.kept();
  const std::string known = contents_text(contents);
  const std::filesystem::path file =
      std::filesystem::temp_directory_path() / ("sillion_row_" + std::to_string(getpid()) + ".txt");
  std::ofstream(file, std::ios::binary) << known;
  sim::command::RowModule native(known);
  ModuleUnderNode module(file);
  for (int turn = 0; turn < 10; ++turn)
    if (module.answer_s() < 0.0) {  // warm: the browser's compiler has seen the hot code
      state.SkipWithError("node does not run the module");
      return;
    }
  double native_s = 0.0, module_s = 0.0;
  for (auto _ : state) {
    const double before_s = processor_s();
    benchmark::DoNotOptimize(native.answer(kQuestion));
    native_s += processor_s() - before_s;
    module_s += module.answer_s();
  }
  std::filesystem::remove(file);
  const auto turns = static_cast<double>(state.iterations());
  state.counters["native_ms"] = 1e3 * native_s / turns;
  state.counters["wasm_ms"] = 1e3 * module_s / turns;
  state.counters["wasm_over_native_speed"] = native_s / module_s;
}
BENCHMARK(row_in_webassembly_against_native)->Unit(benchmark::kMillisecond)->Iterations(40);

}  // namespace
