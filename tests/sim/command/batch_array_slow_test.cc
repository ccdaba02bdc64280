// A sweep as an array of a batch scheduler, one shard per job, merged to the files of one process.
// Skips where no scheduler can be started.
#include <gtest/gtest.h>

#include <fstream>

#include "tests/support/result_folder.h"
#include "tests/support/run_program.h"
#include "tests/support/small_study.h"

namespace {

namespace fs = std::filesystem;

TEST(BatchArray, FourJobsGiveTheFilesOfOneProcess) {
  const support::ScratchFolder scratch;
  const auto at = [&](const std::string& name) { return scratch.path() / name; };
  const fs::path study = support::write_small_study(scratch.path(), "[\"3 s\", \"4 s\"]");
  ASSERT_EQ(
      support::sillion({"sweep", study.string(), "--quiet", "--out", at("whole").string()}).code,
      0);
  std::ofstream(at("array.sh")) << "#!/bin/bash\nexec " << support::sillion_path() << " sweep "
                                << study.string()
                                << " --threads 1 --quiet --shard $SLURM_ARRAY_TASK_ID/4 --out "
                                << at("shards").string() << "/$SLURM_ARRAY_TASK_ID\n";
  const support::Ended array =
      support::run_program({"bash", SILLION_SOURCE_DIR "/tests/support/loopback_scheduler.sh",
                            at("slurm").string(), "sbatch", "--wait", "--array=1-4",
                            "--output=" + at("job_%a.txt").string(), at("array.sh").string()});
  if (array.code == 77) GTEST_SKIP() << "no batch scheduler can be started on this machine";
  ASSERT_EQ(array.code, 0) << array.err << support::text_of(at("job_1.txt"));
  std::vector<std::string> merge = {"sweep", study.string(), "--quiet", "--merge"};
  for (const char* shard : {"1", "2", "3", "4"}) merge.push_back((at("shards") / shard).string());
  merge.insert(merge.end(), {"--out", at("merged").string()});
  const support::Ended merged = support::sillion(merge);
  ASSERT_EQ(merged.code, 0) << merged.err;
  EXPECT_EQ(support::results_below(at("merged")), support::results_below(at("whole")));
}

}  // namespace
