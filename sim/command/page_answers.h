// What the page is answered, path by path. Every answer is JSON but for the page's own files and
// the results of jobs; a mistake is {"error": words} with status 400.
//
//   GET  (empty), page.css, page.js, ...   the files of sim/command/page, built into the program
//   GET  keys        sliders and fields          POST row     one row: coarse at once, or full
//   POST seed        one seed, step by step      POST save    keeps the setting as a scenario
//   GET  jobs        long work                   POST start, stop
//   GET  jobs/N/FILE a result of a job, which runs the script of the reports alone
//   GET  row.wasm.gz the row's module that lies beside the program, if it was built
//   POST contents    what that module has to know for its coarse answers
//   POST map, bands  the field of a job's pass   POST table   the delay table of a job
//
//   row takes "tab": any name; a newer full answer of a tab takes the place of its older one.
//   row, seed, save and start take "table": N, a job whose delay table the controller then has.
//
// Errors   none thrown
// Checked  tests/sim/command/page_answers_test.cc
#pragma once

#include <atomic>
#include <filesystem>
#include <map>
#include <memory>
#include <mutex>
#include <string>

#include "sim/command/page_field.h"
#include "sim/command/page_jobs.h"
#include "sim/command/page_server.h"
#include "sim/study/page/page_row.h"

namespace sim::command {

class PageAnswers {
 public:
  /// `stop` ends what is being computed.
  PageAnswers(page::PageBase base, std::filesystem::path out, std::filesystem::path program,
              const std::atomic<bool>& stop);

  /// From any thread.
  PageResponse answer(const std::string& method, const std::string& path, const std::string& body);

 private:
  PageResponse got(const std::string& path);
  std::string posted(const std::string& path, const std::string& body);
  std::string row_answer(const std::string& body);
  std::string contents_answer(const std::string& body);
  std::string seed_answer(const std::string& body);
  std::string save_answer(const std::string& body);
  std::string start_answer(const std::string& body);
  std::string jobs_answer();
  std::string table_answer(const std::string& body);
  std::string map_answer(const std::string& body);
  std::string bands_answer(const std::string& body);
  PageResponse job_file(const std::string& path);
  page::RowAnswer full_row(const std::string& tab, const page::PageInput& input);

  page::PageBase base_;
  std::filesystem::path out_;
  std::filesystem::path program_;
  const std::atomic<bool>& stop_;
  page::RowDesk desk_;
  PageJobs jobs_;
  PageField field_{base_, jobs_};
  std::mutex mutex_;
  /// Of each tab whose full answer is being computed: what stops it.
  std::map<std::string, std::shared_ptr<std::atomic<bool>>> full_;
  std::mutex save_mutex_;  // whether a name is free and the file of that name are one step
};

}  // namespace sim::command
