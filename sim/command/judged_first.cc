#include "sim/command/judged_first.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <climits>
#include <cstring>
#include <string>

#include "sim/bench/controller_library.h"
#include "sim/study/run/tables.h"

namespace sim::command {
namespace fs = std::filesystem;
namespace {

[[noreturn]] void fail(const fs::path& path, const std::string& reason) {
  throw output::OutputError(path.string() + ": cannot write: " + reason);
}

}  // namespace

void require_writable(const fs::path& file) {
  if (file.empty()) return;
  constexpr std::size_t kPartial = std::string_view(".partial").size();
  if (file.filename().string().size() + kPartial > NAME_MAX ||
      fs::absolute(file).string().size() + kPartial >= PATH_MAX)
    fail(file, std::strerror(ENAMETOOLONG));
  std::error_code error;
  if (fs::is_directory(file, error)) fail(file, "a folder of that name is in the way");
  if (fs::exists(file, error)) {
    if (access(file.c_str(), W_OK) != 0) fail(file, std::strerror(errno));
    return;
  }
  fs::path above = fs::absolute(file).parent_path();
  while (!fs::exists(above, error) && above != above.parent_path()) above = above.parent_path();
  if (!fs::is_directory(above, error)) fail(file, above.string() + " is no folder");
  // Rights do not tell all (a file system that is full or read-only, a folder of the kernel's).
  const fs::path tried = above / (".sillion." + std::to_string(getpid()));
  const int descriptor = open(tried.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
  if (descriptor < 0) fail(file, above.string() + ": " + std::strerror(errno));
  close(descriptor);
  unlink(tried.c_str());
}

void require_free(const fs::path& out, std::span<const std::string_view> names) {
  std::error_code error;
  for (const std::string_view name : names)
    if (fs::is_directory(out / name, error))
      fail(out / name, "a folder of that name is in the way");
}

void require_controller(const scenario::Scenario& scenario) {
  if (!scenario.controller.library.empty()) bench::require_library(scenario.controller.library);
}

}  // namespace sim::command
