// Memory does not grow with the recording: a recording ten times as long takes no more.
//
// The recording is made here, so that it may be as long as it likes: seeds every 35 ms in each row,
// and a drive of 11 ms behind each edge. What the bands are like does not matter.
#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdint>
#include <cstdio>
#include <fstream>
#include <map>
#include <string>
#include <vector>

#include "tests/support/run_program.h"

namespace {

void write_recording(const std::string& path, int rows, double lasts_s) {
  std::ofstream file(path);
  file << "$timescale 1 us $end\n";
  for (int row = 0; row < rows; ++row)
    for (const char* pin : {"sensor", "drive"})
      file << "$var wire 1 " << pin[0] << row << " row" << row << "." << pin << " $end\n";
  file << "$enddefinitions $end\n#0\n";
  for (int row = 0; row < rows; ++row) file << "0s" << row << "\n0d" << row << "\n";
  // The instants of one period, by which all rows repeat.
  std::multimap<std::int64_t, std::string> changes;
  constexpr std::int64_t kPeriod_us = 35'000;
  for (int row = 0; row < rows; ++row) {
    const std::int64_t edge_us = 4'000 * row + 10;
    const std::string number = std::to_string(row) + "\n";
    changes.emplace(edge_us, "1s" + number);
    changes.emplace(edge_us + 2'000, "0s" + number);
    changes.emplace((edge_us + 20'000) % kPeriod_us, "1d" + number);
    changes.emplace((edge_us + 31'000) % kPeriod_us, "0d" + number);
  }
  const auto periods = static_cast<std::int64_t>(lasts_s * 1e6 / kPeriod_us);
  for (std::int64_t period = 60; period < periods; ++period)
    for (const auto& [at_us, change] : changes)
      file << '#' << period * kPeriod_us + at_us << '\n' << change;
}

/// Peak resident memory of `sillion score`, in MB.
double peak_mb(const std::string& recording, const std::filesystem::path& out) {
  const std::string program = std::string(SILLION_BINARY_DIR) + "/sillion";
  const std::string setup = std::string(SILLION_SOURCE_DIR) + "/scenarios/pull_request_flow.toml";
  const pid_t child = fork();
  if (child == 0) {
    const int quiet = open("/dev/null", O_WRONLY);
    dup2(quiet, 1);
    execl(program.c_str(), program.c_str(), "score", recording.c_str(), "--row", setup.c_str(),
          "--out", out.c_str(), "--quiet", nullptr);
    _exit(127);
  }
  int status = 0;
  struct rusage used{};
  EXPECT_EQ(wait4(child, &status, 0, &used), child);
  EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) <= 1) << status;
  return static_cast<double>(used.ru_maxrss) / 1024.0;
}

TEST(ScoreMemory, ARecordingTenTimesAsLongTakesNoMore) {
  const support::ScratchFolder folder;
  const std::string path = (folder.path() / "long.vcd").string();
  constexpr int kRows = 4;
  std::vector<double> peaks_mb;
  for (const double lasts_s : {600.0, 6000.0}) {
    write_recording(path, kRows, lasts_s);
    peaks_mb.push_back(peak_mb(path, folder.path() / "out"));
    std::printf("%g s of %d rows: at most %.1f MB resident\n", lasts_s, kRows, peaks_mb.back());
  }
  EXPECT_LT(peaks_mb[1], 1.1 * peaks_mb[0]);
  EXPECT_LT(peaks_mb[1], 64.0);
}

}  // namespace
