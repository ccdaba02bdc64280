#include "sim/study/tune/strip_trim.h"

#include <fmt/format.h>

#include <cmath>
#include <optional>

#include "sim/bench/once_table.h"
#include "sim/bench/random.h"
#include "sim/measure/placement.h"
#include "sim/scenario/loader.h"
#include "sim/study/tune/keeper.h"
#include "sim/study/tune/kept_text.h"
#include "sim/study/tune/tune.h"
#include "sim/study/tune/tune_once.h"

namespace sim::tune {
namespace {

/// The strip is at the end of a run-up of 4 s, so that speed signal, pressure and column have
/// settled.
constexpr double kRunUp_s = 4.0;

/// Number of seeds in the run-up, which are not read.
std::size_t unread_seeds(const scenario::Scenario& scenario) {
  const double seeds_a_second =
      judged_speed_mps(scenario) / scenario.seeding.meter.spacing_m;  // tidy: unit 1/s
  return static_cast<std::size_t>(kRunUp_s * seeds_a_second);
}

constexpr char kTrimKind[] = "strip trim";
/// Limits the memory that a long sweep uses.
constexpr std::size_t kMostInMemory = 256;

/// Everything on which a strip test with the reference controller may depend.
std::string strip_inputs(const scenario::Scenario& scenario,
                         const sillion_attachment_table& table) {
  scenario::Scenario strip = strip_scenario(scenario);
  strip.requirements.clear();  // they judge a pass, and this one is not judged
  strip.tuning = {};
  const scenario::IdealSwitches& ideal = strip.ideal;  // no key of a scenario file sets these
  return scenario::canonical_text(strip) +
         fmt::format("ideal {} {} {} {} {:a}\ntable{}\n", ideal.even_places, ideal.single_seeds,
                     ideal.mean_bounce, ideal.still_column, ideal.still_shift_s, words_of(table));
}

std::vector<int> measured_trim_um(const scenario::Scenario& scenario,
                                  const sillion_attachment_table& table,
                                  const std::atomic<bool>* stop,
                                  const std::function<void(double done_ratio)>& on_progress) {
  const std::size_t unread = unread_seeds(scenario);
  bench::PassRecord record = bench::run_pass(strip_scenario(scenario), table, {},
                                             {.pass = 1, .stop = stop, .on_progress = on_progress});
  std::vector<int> trims_um;
  const measure::PlacementRules rules{.theoretical_spacing_m = scenario.seeding.meter.spacing_m,
                                      .band_length_m = scenario.rate.band_length_m};
  for (std::size_t row = 0; row < record.rows.size(); ++row) {
    measure::match_bands(record.rows[row], rules);
    double sum_m = 0.0;
    int read = 0;
    const auto& seeds = record.rows[row].seeds;
    for (std::size_t seed = unread; seed < seeds.size(); ++seed) {
      if (seeds[seed].status != measure::SeedStatus::kBanded) continue;
      sum_m += seeds[seed].placement_error_m;
      ++read;
    }
    if (read == 0) {
      trims_um.push_back(0);
      continue;
    }
    const bench::RandomStream stream{
        .rng_key = scenario.rng_key, .row = static_cast<std::uint32_t>(row), .pass = 1};
    const double tape_m = scenario.controller.strip_test_reading_m / std::sqrt(read) *
                          stream.normal_ratio(bench::Purpose::kStripReading, 0);
    trims_um.push_back(static_cast<int>(std::llround(-(sum_m / read + tape_m) * 1e6)));
  }
  return trims_um;
}

}  // namespace

scenario::Scenario strip_scenario(const scenario::Scenario& scenario) {
  scenario::Scenario strip = scenario;
  strip.controller.delay_time_error_s = 0.0;
  strip.controller.delay_distance_error_m = 0.0;
  strip.controller.ignore_lag = false;
  strip.travel = {.speed_mps = judged_speed_mps(scenario)};
  strip.duration_s = 0.0;
  strip.seeds = scenario.controller.strip_test_bands + static_cast<int>(unread_seeds(scenario));
  strip.work = {};
  strip.rate.continuous = false;  // a strip test needs bands
  return strip;
}

std::vector<int> strip_test_trim_um(const scenario::Scenario& scenario,
                                    const std::atomic<bool>* stop,
                                    const std::function<void(double done_ratio)>& on_progress) {
  return strip_test_trim_um(scenario, tune_once(strip_scenario(scenario)).table, stop, on_progress);
}

std::vector<int> strip_test_trim_um(const scenario::Scenario& scenario,
                                    const sillion_attachment_table& table,
                                    const std::atomic<bool>* stop,
                                    const std::function<void(double done_ratio)>& on_progress) {
  if (!scenario.controller.library.empty())
    return measured_trim_um(scenario, table, stop, on_progress);
  static bench::OnceTable<std::vector<int>> in_memory(kMostInMemory);
  const std::string inputs = strip_inputs(scenario, table);
  const auto rows = static_cast<std::size_t>(scenario.row.count);
  return in_memory.value_of(inputs, [&] {
    if (const std::optional<std::string> text = found_before(kTrimKind, inputs))
      if (const std::optional<std::vector<int>> kept = trims_of_text(*text, rows)) return *kept;
    const std::vector<int> trims_um = measured_trim_um(scenario, table, stop, on_progress);
    keep_found(kTrimKind, inputs, trims_text(trims_um));
    return trims_um;
  });
}

}  // namespace sim::tune
