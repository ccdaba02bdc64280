#include "sim/study/today.h"

#include <algorithm>
#include <cmath>

#include "model/row_unit.h"
#include "sim/bench/random.h"
#include "sim/bench/row_fixed.h"
#include "sim/measure/spread.h"
#include "sim/study/table_reading.h"
#include "sim/study/tune.h"

namespace sim {
namespace {

constexpr std::uint64_t kTodayFirstKey = 3'000'000;
constexpr int kHalvings = 4;

DelayCondition plain_condition(const Scenario& scenario, double speed_mps, std::size_t key) {
  return {.speed_mps = speed_mps,
          .rate_m3pm2 = scenario.rate.in_band_m3pm2,
          .temperature_k = scenario.liquid.temperature_k,
          .voltage_v = scenario.supply.voltage_v,
          .spacing_m = scenario.seeding.meter.spacing_m,
          .rng_key = replica_key(scenario.rng_key, kTodayFirstKey + key)};
}

struct Judged {
  HeldShare held;
  double mean_m = kNone_ratio;
};

class Search {
 public:
  Search(const DelayInputs& inputs, const DelayInputs& reference,
         const sillion_attachment_table& table, const TodayOptions& options)
      : inputs_(inputs), table_(table), options_(options) {
    lay_strips(reference);
  }

  const Scenario& scenario() const { return inputs_.scenario; }

  double flow_m3ps(double speed_mps) const {
    return scenario().rate.in_band_m3pm2 * scenario().row.width_m * speed_mps;
  }
  double most_flow_m3ps() const {
    return largest_flow_m3ps(inputs_, plain_condition(scenario(), 1.0, 0));
  }

  /// With the mean error of this speed taken out, where asked.
  Judged judge(const DelayInputs& inputs, double speed_mps, bool retuned = false) const {
    std::vector<DelayCondition> conditions;
    for (std::size_t key = 0; key < kReportKeys; ++key)
      conditions.push_back(plain_condition(inputs.scenario, speed_mps, key));
    const std::vector<SeenCondition> seen =
        see_conditions(inputs, conditions, table_, {.stop = options_.stop, .on_condition = {}});
    std::vector<const SeenCondition*> all;
    std::vector<double> errors_m;
    const auto rows = static_cast<std::size_t>(inputs.scenario.row.count);
    for (std::size_t c = 0; c < seen.size(); ++c) {
      all.push_back(&seen[c]);
      for (const SeenBand& band : seen[c].bands)
        errors_m.push_back(band.error_m + trims_m_[c * rows + static_cast<std::size_t>(band.row)]);
    }
    Judged judged;
    if (!errors_m.empty()) judged.mean_m = mean_of(errors_m);
    std::vector<double> trims_m = trims_m_;
    if (retuned && !errors_m.empty())
      for (double& trim_m : trims_m) trim_m -= judged.mean_m;
    judged.held = held_share({all, trims_m}, inputs.scenario, 0);
    return judged;
  }

  TodayLimit limit_at(double speed_mps) const {
    if (flow_m3ps(speed_mps) > most_flow_m3ps()) return TodayLimit::kPressure;
    const PulseOrder order = pulse_order(table_, flow_m3ps(speed_mps), speed_mps);
    if (order.delay_s < 0.0) return TodayLimit::kOffset;
    if (scenario().seeding.meter.spacing_m <
        speed_mps * (order.on_s + table_.shortest_closed_us * 1e-6))
      return TodayLimit::kValve;
    if (judge(inputs_, speed_mps, true).held.holds) return TodayLimit::kColumn;
    DelayInputs steady = inputs_;
    steady.scenario.delivery.time_scatter_s = 0.0;
    steady.scenario.delivery.rest_scatter_m = 0.0;
    steady.scenario.delivery.roll_scatter_m = 0.0;
    if (judge(steady, speed_mps, true).held.holds) return TodayLimit::kDelivery;
    return TodayLimit::kSpread;
  }

  bool possible(double speed_mps) const {
    return flow_m3ps(speed_mps) <= most_flow_m3ps() &&
           pulse_order(table_, flow_m3ps(speed_mps), speed_mps).delay_s >= 0.0;
  }

 private:
  void lay_strips(const DelayInputs& reference) {
    const double speed_mps =
        std::min(judged_speed_mps(reference.scenario), reference.scenario.tuning.fastest_mps);
    std::vector<DelayCondition> strips;
    for (std::size_t key = 0; key < kReportKeys; ++key) {
      strips.push_back(plain_condition(reference.scenario, speed_mps, key));
      strips.back().seeds = reference.scenario.controller.strip_test_bands;
      strips.back().pass = 1;
    }
    for (const SeenCondition& strip :
         see_conditions(reference, strips, table_, {.stop = options_.stop, .on_condition = {}}))
      for (const RowTrim& trim :
           strip_trims(strip, reference.scenario.controller.strip_test_reading_m))
        trims_m_.push_back(trim.trim_m);
  }

  const DelayInputs& inputs_;
  const sillion_attachment_table& table_;
  const TodayOptions& options_;
  std::vector<double> trims_m_;
};

bool outside(const sillion_correction& correction, double value,
             double scale_ratio) {  // tidy: unit
  if (correction.points == 0) return false;
  const double at = value * scale_ratio;  // tidy: unit the correction's
  return at < correction.at[0] - 1.0 || at > correction.at[correction.points - 1] + 1.0;
}

}  // namespace

TodayResult find_today(const DelayInputs& inputs, const DelayInputs& reference,
                       const sillion_attachment_table& table, const TodayOptions& options) {
  const Search search(inputs, reference, table, options);
  const TuningSection& tuning = inputs.scenario.tuning;
  TodayResult result;
  result.outside_table =
      outside(table.viscosity, inputs.scenario.liquid.liquid.viscosity_pas, 1e6) ||
      outside(table.voltage, inputs.scenario.supply.voltage_v, 1e3);
  double holds_mps = kNone_ratio;
  Judged failing;
  const int speeds = std::max(2, tuning.speeds);
  const auto try_speed = [&](double speed_mps) {
    const bool possible = search.possible(speed_mps);
    const Judged judged = possible ? search.judge(inputs, speed_mps) : Judged{};
    if (possible && judged.held.holds) {
      holds_mps = speed_mps;
      result.share_ratio = judged.held.share_ratio;
      return true;
    }
    result.fails_mps = speed_mps;
    failing = judged;
    return false;
  };
  for (int k = speeds - 1; k >= 0; --k) {
    if (options.on_progress)
      options.on_progress(static_cast<double>(speeds - 1 - k) / (speeds + kHalvings + 2));
    if (try_speed(tuning.slowest_mps +
                  (tuning.fastest_mps - tuning.slowest_mps) * k / (speeds - 1)))
      break;
  }
  if (!std::isnan(holds_mps) && !std::isnan(result.fails_mps))
    for (int half = 0; half < kHalvings; ++half) try_speed(0.5 * (holds_mps + result.fails_mps));
  result.fastest_mps = holds_mps;
  if (!std::isnan(result.fails_mps)) {
    result.limit = search.limit_at(result.fails_mps);
    result.failing_share_ratio = failing.held.share_ratio;
    result.mean_error_m = failing.mean_m;
    result.pressure_needed_pa = read_table(table, search.flow_m3ps(result.fails_mps)).pressure_pa;
  }
  return result;
}

const char* limit_words(TodayLimit limit) {
  switch (limit) {
    case TodayLimit::kNone: return "not limited up to the fastest speed that was asked";
    case TodayLimit::kPressure:
      return "pressure-limited; raise the supply, lower the rate or warm the product";
    case TodayLimit::kOffset: return "offset-limited; move the outlet further back";
    case TodayLimit::kValve: return "valve-limited: bands run together; widen the spacing";
    case TodayLimit::kDelivery: return "delivery-limited: seeds scatter by more; no delay mends it";
    case TodayLimit::kColumn: return "column-limited; warm the product or retune";
    case TodayLimit::kSpread:
      return "limited by sensor, speed signal, jet and column together; see `sillion budget`";
  }
  return "";
}

}  // namespace sim
