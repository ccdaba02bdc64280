// Jobs of the page, with a small program in the place of ours.
#include "sim/command/page_jobs.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>
#include <fstream>
#include <functional>
#include <memory>
#include <thread>

#include "sim/text/input_error.h"
#include "tests/support/run_program.h"

namespace {

namespace fs = std::filesystem;
using sim::command::PageJob;
using sim::command::PageJobs;

/// Writes its last argument's folder, prints what it does, and sleeps where it is asked to.
constexpr char kProgram[] =
    "#!/bin/sh\n"
    "for last; do :; done\n"
    "echo \"$1: 40 % done\"\n"
    "if [ \"$1\" = sleep ]; then sleep 30; fi\n"
    "mkdir -p \"$last\"\n"
    "echo '<p>done</p>' > \"$last/report.html\"\n"
    "echo secret > \"$last/ledger.sqlite\"\n"
    "exit 1\n";

struct Jobs {
  support::ScratchFolder scratch;
  std::unique_ptr<PageJobs> jobs;
  Jobs() {
    const fs::path program = scratch.path() / "program";
    std::ofstream(program) << kProgram;
    fs::permissions(program, fs::perms::owner_all);
    jobs = std::make_unique<PageJobs>(scratch.path() / "page", program);
  }
  int start(const std::string& word) { return jobs->start(jobs->new_folder(), word, {word}); }
  PageJob once(int number, const std::function<bool(const PageJob&)>& is) {
    for (int i = 0; i < 1000; ++i) {
      for (const PageJob& job : jobs->list())
        if (job.number == number && is(job)) return job;
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    ADD_FAILURE() << "job " << number << " never came so far";
    return {};
  }
};

TEST(PageJobs, EndWithTheirCodeTheirLastLineAndTheirFiles) {
  Jobs page;
  const int number = page.start("run");
  const PageJob job = page.once(number, [](const PageJob& one) { return !one.running; });
  EXPECT_EQ(job.code, 1);
  EXPECT_EQ(job.last, "run: 40 % done");
  EXPECT_THAT(job.files, testing::ElementsAre("report.html"));
  EXPECT_EQ(page.jobs->file(number, "report.html"), "<p>done</p>\n");
  for (const char* name : {"ledger.sqlite", "../log.txt", "/etc/passwd", "", "."})
    EXPECT_THROW(page.jobs->file(number, name), sim::text::InputError) << name;
  EXPECT_TRUE(fs::exists(page.scratch.path() / "page/jobs/1/result/report.html"));
}

TEST(PageJobs, ShowTheirProgressAndCanBeStopped) {
  Jobs page;
  const int number = page.start("sleep");
  page.once(number, [](const PageJob& one) { return one.last == "sleep: 40 % done"; });
  page.jobs->stop(number);
  const PageJob job = page.once(number, [](const PageJob& one) { return !one.running; });
  EXPECT_TRUE(job.stopped);
  EXPECT_EQ(job.code, 128 + 15);
  EXPECT_THROW(page.jobs->stop(99), sim::text::InputError);
}

TEST(PageJobs, AreFewAtATimeAndEndWithThePage) {
  Jobs page;
  std::vector<int> started;
  for (int i = 0; i < sim::command::kMostJobs; ++i) started.push_back(page.start("sleep"));
  EXPECT_THROW(page.start("sleep"), sim::text::InputError);
  std::vector<pid_t> processes;
  for (const PageJob& job : page.jobs->list()) processes.push_back(job.process);
  page.jobs.reset();
  for (const pid_t process : processes) EXPECT_EQ(kill(process, 0), -1) << process;
}

TEST(PageJobs, FoldersOfAnEarlierPageStayAsTheyAre) {
  Jobs page;
  fs::create_directories(page.scratch.path() / "page/jobs/1");
  EXPECT_EQ(page.jobs->new_folder().filename(), "2");
}

}  // namespace
