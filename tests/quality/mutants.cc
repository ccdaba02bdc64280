// The state behind mutants.h: read from the environment before anything else runs, written at the
// end of the process, or by the tests' main after each test.
#include "tests/quality/mutants.h"

#include <sys/time.h>

#include <cstdio>
#include <cstdlib>
#include <ctime>

#include "tests/quality/mutants_seen.h"

namespace mut {
namespace {

int number_in(const char* variable) {
  const char* text = std::getenv(variable);
  return text == nullptr ? 0 : std::atoi(text);
}

unsigned char marks[kMostMutants];
const char* seen_file = nullptr;

void write_rest() {
  write_seen("(process)", 1e3 * static_cast<double>(std::clock()) / CLOCKS_PER_SEC);
}

struct Start {
  Start() {
    active = number_in("MUTANT");
    seen_file = std::getenv("MUTANT_SEEN");
    if (seen_file != nullptr) {
      seen = marks;
      std::atexit(write_rest);
    }
    // SIGPROF ends a process that has used up the time that a mutant is given.
    const int allowed_ms = number_in("MUTANT_CPU_MS");
    if (allowed_ms > 0) {
      const itimerval until{{0, 0}, {allowed_ms / 1000, (allowed_ms % 1000) * 1000}};
      setitimer(ITIMER_PROF, &until, nullptr);
    }
  }
};

}  // namespace

int active = 0;
unsigned char* seen = nullptr;

void write_seen(const char* what, double spent_ms) {
  if (seen_file == nullptr) return;
  std::FILE* file = std::fopen(seen_file, "a");
  if (file == nullptr) std::abort();
  std::fprintf(file, "%s\t%.1f\t", what, spent_ms);
  for (int id = 0; id < kMostMutants; ++id)
    if (marks[id] != 0) {
      std::fprintf(file, "%d,", id);
      marks[id] = 0;
    }
  std::fprintf(file, "\n");
  std::fclose(file);
}

__attribute__((init_priority(101))) const Start start;

}  // namespace mut
