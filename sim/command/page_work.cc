#include "sim/command/page_work.h"

#include <fmt/format.h>

#include <algorithm>

#include "sim/command/commands.h"
#include "sim/output/write_folder.h"
#include "sim/scenario/scenario.h"
#include "sim/text/document.h"

namespace sim::command {
namespace {

constexpr std::string_view kPageWork[] = {"run", "sweep", "budget", "delay", "outlet", "search"};
constexpr int kMostSteps = 50;
constexpr int kSearchPasses = 40;  // of each method: a first look along one axis
constexpr int kStudySeeds = 160;   // of each row: enough for a first look at a share of 95 %

std::string quoted(const std::string& words) { return text::toml_text(text::text_node(words, {})); }

void require_axis(const PageWork& work) {
  if (work.key.empty() ||
      work.key.find_first_not_of("abcdefghijklmnopqrstuvwxyz_.") != work.key.npos)
    throw text::InputError(work.key + ": no key that can be varied");
}

/// The range of a search, at the end of a scenario.
std::string ranges_of(const PageWork& work) {
  require_axis(work);
  return fmt::format("\n[search]\npasses = {}\n\n[search.ranges]\n{} = {{uniform = [{}, {}]}}\n",
                     kSearchPasses, quoted(work.key), quoted(work.from), quoted(work.to));
}

std::string study_of(const PageWork& work) {
  require_axis(work);
  if (work.steps < 2 || work.steps > kMostSteps)
    throw text::InputError(fmt::format("sweep: 2 to {} values", kMostSteps));
  return fmt::format(
      "# Started from the page.\nbase = \"scenario.toml\"\ntitle = {}\n\n[set]\nseeds = {}\n\n"
      "[axes]\n{} = {{from = {}, to = {}, steps = {}}}\n",
      quoted("Sweep over " + work.key), kStudySeeds, quoted(work.key), quoted(work.from),
      quoted(work.to), work.steps);
}

}  // namespace

std::vector<std::string> page_work_kinds() {
  std::vector<std::string> kinds;
  for (const Command& command : all_commands())
    if (std::find(std::begin(kPageWork), std::end(kPageWork), command.name) != std::end(kPageWork))
      kinds.push_back(command.name);
  return kinds;
}

void require_plain_name(const std::string& name) {
  constexpr std::string_view kPlain =
      "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-";
  if (name.empty() || name.size() > 40 || name.find_first_not_of(kPlain) != name.npos)
    throw text::InputError("a name has 1 to 40 letters, digits, _ and -");
}

std::vector<std::string> work_words(const page::PageBase& base,
                                    const std::vector<page::Setting>& settings,
                                    const PageWork& work, const std::filesystem::path& folder) {
  const std::vector<std::string> kinds = page_work_kinds();
  if (std::find(kinds.begin(), kinds.end(), work.kind) == kinds.end())
    throw text::InputError(work.kind + ": the page starts no such work");
  const std::string study = work.kind == "sweep" ? study_of(work) : "";
  const std::string ranges = work.kind == "search" ? ranges_of(work) : "";
  const std::filesystem::path file = folder / "scenario.toml";
  output::write_whole_file(file, page::saved_scenario(base, settings, folder) + ranges);
  std::vector<std::string> words = {work.kind, file.string()};
  if (work.kind == "sweep") {
    output::write_whole_file(folder / "study.toml", study);
    words[1] = (folder / "study.toml").string();
  }
  if (work.kind == "delay" || work.kind == "outlet") {
    // These take the attachment by its name, and the scenario as the machine around it.
    words = {work.kind, page::whole_scenario(base, settings).attachment.name, "--scenario",
             file.string()};
    for (const page::Setting& one : settings)
      if (one.key.starts_with("attachment.") && one.key != "attachment.name")
        words.insert(words.end(), {"--set", one.key + "=" + one.value});
  }
  return words;
}

}  // namespace sim::command
