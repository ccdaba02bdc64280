// A folder as `run` leaves it, made up for tests and measurements of maps: a straight pass to the
// north, with the same number of bands in each second of each row, evenly along its way.
//
//   A band's dose is 250 mm3 and one more for each row; it lies 2 mm ahead of its seed.
//
// Errors   none
// Checked  tests/sim/study/map/kept_run_test.cc
#pragma once

#include <fmt/format.h>

#include <cstdio>
#include <filesystem>
#include <string>

namespace support {

struct MadeResult {
  int rows = 2;
  int seconds = 3;
  int bands_in_second = 4;
  double speed_mps = 4.0;
  double width_m = 0.75;
  double band_length_m = 0.06;

  double dose_m3(int row) const { return (250.0 + row) * 1e-9; }
  double volume_m3() const {
    double sum_m3 = 0.0;
    for (int row = 0; row < rows; ++row) sum_m3 += dose_m3(row) * bands_in_second * seconds;
    return sum_m3;
  }
};

class MadeFile {
 public:
  explicit MadeFile(const std::filesystem::path& file) : handle_(std::fopen(file.c_str(), "wb")) {}
  ~MadeFile() { std::fclose(handle_); }
  MadeFile(const MadeFile&) = delete;
  MadeFile& operator=(const MadeFile&) = delete;
  void put(const std::string& text) { std::fwrite(text.data(), 1, text.size(), handle_); }

 private:
  std::FILE* handle_;
};

inline void write_made_seeds(const std::filesystem::path& folder, const MadeResult& made) {
  MadeFile file(folder / "seeds.csv");
  file.put(
      "row,seed,edge_s,rest_x_ground_m,open_s,close_s,band_start_x_ground_m,band_end_x_ground_m,"
      "band_centre_x_ground_m,band_length_m,placement_error_m,dose_m3,on_target_ratio,"
      "secondary_ratio,status\n");
  for (int row = 0; row < made.rows; ++row)
    for (int k = 0; k < made.seconds * made.bands_in_second; ++k) {
      const double open_s = (k + 0.5) / made.bands_in_second;
      const double seed_m = open_s * made.speed_mps, centre_m = seed_m + 0.002;
      file.put(fmt::format("{},{},{},{},{},{},{},{},{},{},{},{},{},{},banded\n", row, k,
                           open_s - 0.05, seed_m, open_s, open_s + 0.01,
                           centre_m - 0.5 * made.band_length_m, centre_m + 0.5 * made.band_length_m,
                           centre_m, made.band_length_m, 0.002, made.dose_m3(row), 0.98, 0.01));
    }
}

inline void write_made_applied(const std::filesystem::path& folder, const MadeResult& made) {
  MadeFile file(folder / "applied.csv");
  file.put(
      "row,from_s,until_s,east_m,north_m,way_m,in_band_set_m3pm2,in_band_m3pm2,field_set_m3pm2,"
      "field_m3pm2,volume_m3,seeds,missed,bands,events\n");
  for (int row = 0; row < made.rows; ++row) {
    const double volume_m3 = made.dose_m3(row) * made.bands_in_second;
    const double in_band_m3pm2 = made.dose_m3(row) / (made.band_length_m * made.width_m);
    const double field_m3pm2 = volume_m3 / (made.speed_mps * made.width_m);
    for (int second = 0; second < made.seconds; ++second)
      file.put(fmt::format("{},{},{},{},{},{},{},{},{},{},{},{},0,{},0\n", row, second, second + 1,
                           (row - 0.5 * (made.rows - 1)) * made.width_m, second * made.speed_mps,
                           made.speed_mps, in_band_m3pm2, in_band_m3pm2, field_m3pm2, field_m3pm2,
                           volume_m3, made.bands_in_second, made.bands_in_second));
  }
}

inline void write_made_result(const std::filesystem::path& folder, const MadeResult& made) {
  std::filesystem::create_directories(folder);
  MadeFile(folder / "summary.json")
      .put(fmt::format("{{\"schema\": \"sillion.run.1\", \"name\": \"made\", \"title\": \"made up "
                       "for a test\", \"applied_volume_m3\": {}, \"simulated_s\": {}, \"hashes\": "
                       "{{\"result\": \"0123abcd\"}}}}\n",
                       made.volume_m3(), made.seconds));
  write_made_applied(folder, made);
  write_made_seeds(folder, made);
}

}  // namespace support
