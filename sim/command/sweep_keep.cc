#include "sim/command/sweep_keep.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <charconv>
#include <optional>

#include "sim/study/run/run.h"
#include "sim/study/run/tables.h"
#include "sim/study/sweep/sweep_cells.h"
#include "sim/study/sweep/sweep_words.h"
#include "sim/text/input_error.h"

namespace sim::command {
namespace {

constexpr std::string_view kWorst = "worst";

struct PassIndex {
  std::size_t cell = 0;
  std::size_t pass = 0;
};

std::optional<std::size_t> number_of(std::string_view text) {
  std::size_t number = 0;
  const auto read = std::from_chars(text.data(), text.data() + text.size(), number);
  if (read.ec != std::errc{} || read.ptr != text.data() + text.size()) return {};
  return number;
}

std::optional<PassIndex> index_of(const std::string& words) {
  const std::size_t slash = words.find('/');
  const auto cell = number_of(std::string_view(words).substr(0, slash));
  const auto pass = slash == std::string::npos
                        ? std::optional<std::size_t>(0)
                        : number_of(std::string_view(words).substr(slash + 1));
  if (!cell || !pass) return {};
  return PassIndex{*cell, *pass};
}

/// The number of a cell's sample among those of its combination; 0 for a cell of a grid.
std::size_t sample_of(const sweep::SweepResult& result, std::size_t cell) {
  for (const sweep::SweepPrecision& group : result.precision)
    if (cell >= group.first_cell && cell < group.first_cell + group.cells)
      return cell - group.first_cell;
  return 0;
}

std::optional<PassIndex> asked_for(const std::string& words, const sweep::SweepResult& result) {
  if (words != kWorst) return index_of(words);
  const sweep::SweepCell* lowest = sweep::lowest_cell(result);
  if (lowest == nullptr) return {};
  return PassIndex{static_cast<std::size_t>(lowest - result.cells.data()), 0};
}

}  // namespace

void require_keepable(const SweepOptions& options, const sweep::Study& study) {
  if (!options.kept.empty() && !options.shard.empty())
    throw text::InputError("--keep: does not go with --shard; state it with --merge");
  const std::size_t cells = sweep::cell_count(study);
  const auto passes = static_cast<std::size_t>(sweep::most_passes(study));
  for (const std::string& words : options.kept) {
    if (words == kWorst) continue;
    const std::optional<PassIndex> index = index_of(words);
    if (!index)
      throw text::InputError("--keep: \"" + words +
                             "\" is no INDEX; write CELL, CELL/PASS or worst, such as 17/1");
    if (index->cell >= cells || index->pass >= passes)
      throw text::InputError(
          fmt::format("--keep: \"{}\" is beyond the study; its last index is {}/{}", words,
                      cells - 1, passes - 1));
  }
}

void write_kept_passes(const SweepOptions& options, const sweep::Study& study,
                       const sweep::SweepResult& result, const std::filesystem::path& out,
                       const std::atomic<bool>& stop) {
  for (const std::string& words : options.kept) {
    const std::optional<PassIndex> index = asked_for(words, result);
    if (!index || index->cell >= result.cells.size() || !result.cells[index->cell].served()) {
      spdlog::warn("--keep {}: nothing is kept, because no such cell was served", words);
      continue;
    }
    scenario::Scenario scenario = result.cells[index->cell].scenario;
    scenario.rng_key = sweep::pass_key(study, sample_of(result, index->cell), index->pass);
    run::RunResult pass = run::run_scenario(scenario, {.stop = &stop});
    run::seal(pass);
    const std::filesystem::path folder =
        out / "runs" / std::to_string(index->cell) / std::to_string(index->pass);
    run::write_run(pass, folder, options.units);
  }
}

}  // namespace sim::command
