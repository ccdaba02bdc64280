// A study that takes a moment: ideal rows over speed and duration. The reference serves every cell;
// the mistake `silent` (tests/support/faulty_controllers.cmake) hangs at a row's 101st seed. In 3 s
// a row passes at most 3 s * 16 km/h / 150 mm = 89 seeds, in 12 s at least 12 s * 8 km/h / 150 mm =
// 178 less those of the start, so it fails in the cells of 12 s and in no other.
#pragma once

#include <filesystem>
#include <fstream>
#include <string>

namespace support {

inline std::filesystem::path write_small_study(
    const std::filesystem::path& folder, const std::string& durations = "[\"3 s\", \"12 s\"]") {
  std::filesystem::create_directories(folder);
  const std::filesystem::path file = folder / "small.toml";
  std::ofstream(file, std::ios::binary)
      << "base = \"" << SILLION_SOURCE_DIR << "/scenarios/pull_request_still.toml\"\n"
      << "title = \"Small study\"\nreplicas = 2\nrng_key = 5\n\n[set]\n"
      << "row.count = 2\n\n[axes]\n\"travel.speed\" = [\"8 km/h\", \"12 km/h\", \"16 km/h\"]\n"
      << "\"duration\" = " << durations << "\n";
  return file;
}

}  // namespace support
