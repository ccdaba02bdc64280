// A field of 65 ha with every band, 16 rows at 0.762 m and 16 km/h: the map's totals, its memory,
// and how long it took, which is printed and judged by nobody.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>

#include <chrono>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "tests/support/made_result.h"
#include "tests/support/map_reader.h"

namespace {

using support::ScratchFolder;

// 12000 s * 4.4444 m/s * 16 * 0.762 m = 65.0 ha; 22 bands a second and row are 0.2 m apart.
constexpr support::MadeResult kField{.rows = 16,
                                     .seconds = 12'000,
                                     .bands_in_second = 22,
                                     .speed_mps = 4.4444444444444446,
                                     .width_m = 0.762};

struct Took {
  double wall_s = 0.0;
  double processor_s = 0.0;
  double peak_gib = 0.0;
};

double seconds_of(const timeval& time) {
  return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
}

Took map_of(const std::filesystem::path& run, const std::filesystem::path& out,
            const std::string& formats) {
  rusage before{}, after{};
  getrusage(RUSAGE_CHILDREN, &before);
  const auto start = std::chrono::steady_clock::now();
  const support::Ended ended =
      support::sillion({"map", run.string(), "--out", out.string(), "--format", formats,
                        "--pass-length", "800 m", "--quiet"});
  EXPECT_EQ(ended.code, 0) << ended.err;
  getrusage(RUSAGE_CHILDREN, &after);
  return {std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count(),
          seconds_of(after.ru_utime) + seconds_of(after.ru_stime) - seconds_of(before.ru_utime) -
              seconds_of(before.ru_stime),
          static_cast<double>(after.ru_maxrss) / (1024.0 * 1024.0)};
}

TEST(MapOfAField, HasEveryBandAndLittleMemory) {
  const ScratchFolder scratch;
  const auto run = scratch.path() / "run", map = scratch.path() / "map";
  support::write_made_result(run, kField);
  for (const char* formats : {"task", "csv", "geojson", "gpkg", "gpkg,geojson,csv,task"}) {
    const Took took = map_of(run, map, formats);
    std::printf("%s: %.1f s, %.1f s of processor, at most %.3f GiB\n", formats, took.wall_s,
                took.processor_s, took.peak_gib);
    EXPECT_LT(took.peak_gib, 1.0) << formats;  // the greatest of all so far
  }
  const auto json = nlohmann::json::parse(support::text_of(map / "map.json"));
  EXPECT_EQ(json.at("bands").get<long long>(), 16LL * 12'000 * 22);
  EXPECT_NEAR(json.at("area_m2").get<double>(), 65e4, 0.1e4);
  EXPECT_NEAR(json.at("bands_volume_m3").get<double>(), kField.volume_m3(),
              kField.volume_m3() * 1e-9);
  if (!support::has_gdal()) GTEST_SKIP() << "gdal-bin (ogrinfo) is not installed";
  EXPECT_NEAR(support::ogr_number(map / "map.gpkg", "SELECT SUM(dose_mm3) FROM bands"),
              kField.volume_m3() * 1e9, kField.volume_m3() * 1e6);
}

}  // namespace
