#include "sim/command/kept_findings.h"

#include <algorithm>
#include <string_view>

#include "sim/command/loaded_code.h"

namespace sim::command {
namespace {

constexpr std::string_view kKeeping[] = {"run",   "sweep",  "budget", "delay",
                                         "today", "outlet", "rate"};

}  // namespace

std::optional<std::filesystem::path> kept_folder_of(const CommandOptions& options) {
  const bool keeps =
      std::find(std::begin(kKeeping), std::end(kKeeping), options.command) != std::end(kKeeping);
  if (!keeps || options.dry_run) return std::nullopt;
  const std::filesystem::path out = options.out.lexically_normal();
  const bool below = out.has_parent_path() && *out.begin() == "out";
  if (out.empty() || below) return std::filesystem::path("out") / "kept";
  return std::filesystem::path();
}

KeptFindings::KeptFindings(const CommandOptions& options) {
  if (const std::optional<std::filesystem::path> folder = kept_folder_of(options))
    *this = KeptFindings(*folder, loaded_code());
}

KeptFindings::KeptFindings(const std::filesystem::path& folder, const std::string& program)
    : folder_(std::make_shared<output::KeptFolder>(folder, program)),
      in_use_(std::make_unique<tune::KeeperInUse>(tune::Keeper{
          .find = [kept = folder_](const std::string& kind,
                                   const std::string& inputs) { return kept->find(kind, inputs); },
          .keep = [kept = folder_](
                      const std::string& kind, const std::string& inputs,
                      const std::string& found) { kept->keep(kind, inputs, found); }})) {}

}  // namespace sim::command
