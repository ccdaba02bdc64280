#include "sim/command/study_ledger.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <vector>

namespace sim::command {
namespace fs = std::filesystem;
namespace {

std::vector<fs::path> rank_ledgers(const fs::path& out) {
  std::vector<fs::path> files;
  std::error_code ignored;
  for (const auto& entry : fs::directory_iterator(out, ignored)) {
    const std::string name = entry.path().filename().string();
    if (entry.is_regular_file(ignored) && name.starts_with("ledger_rank_") &&
        name.ends_with(".sqlite"))
      files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

}  // namespace

void add_resume_option(CommandWords& words, bool& resume, const std::string& what) {
  words.flag("--resume", resume, "keep the " + what + " that a killed command has finished");
}

void complete_with_resume(CommonOptions& options, bool resume) {
  if (!resume) options.again += " --resume";
}

void tell_how_to_go_on(const CommonOptions& options, const std::string& how) {
  if (options.quiet) return;
  std::fputs(fmt::format("sillion: if this is killed, {}: {}\n", how, options.again).c_str(),
             stderr);
}

std::unique_ptr<output::Ledger> opened_ledger(const fs::path& out, const output::LedgerOwner& owner,
                                              bool goes_on) {
  auto ledger = std::make_unique<output::Ledger>(output::ledger_file(out), owner, goes_on);
  for (const fs::path& file : rank_ledgers(out)) {
    if (goes_on)
      ledger->take_in(file);
    else
      output::remove_ledger(file);
  }
  return ledger;
}

}  // namespace sim::command
