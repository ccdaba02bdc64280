#include "sim/command/kept_findings.h"

#include "sim/command/loaded_code.h"

namespace sim::command {

std::optional<std::filesystem::path> kept_folder_of(const std::filesystem::path& stated,
                                                    bool dry_run) {
  if (dry_run) return std::nullopt;
  const std::filesystem::path out = stated.lexically_normal();
  const bool below = out.has_parent_path() && *out.begin() == "out";
  if (out.empty() || below) return std::filesystem::path("out") / "kept";
  return std::filesystem::path();
}

KeptFindings::KeptFindings(const std::optional<std::filesystem::path>& folder) {
  if (folder) *this = KeptFindings(*folder, loaded_code());
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
