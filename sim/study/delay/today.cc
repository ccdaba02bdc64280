#include "sim/study/delay/today.h"

#include <algorithm>
#include <cmath>

#include "sim/scenario/loader.h"
#include "sim/study/tune/table_reading.h"
#include "sim/study/tune/valve_opens.h"
#include "sim/text/quantity.h"

namespace sim::delay {
namespace {

constexpr double kRoundedSpeed_ratio = 1.0 + 1e-9;  // tolerance for the rounding in a file

bool outside(const sillion_correction& correction, double value,
             double scale_ratio) {  // tidy: unit
  if (correction.points == 0) return false;
  const double at = value * scale_ratio;  // tidy: unit the correction's
  return at < correction.at[0] - 1.0 || at > correction.at[correction.points - 1] + 1.0;
}

class Search {
 public:
  Search(const DelayInputs& inputs, const DelayInputs& reference,
         const sillion_attachment_table& table, const TodayOptions& options)
      : inputs_(inputs), table_(table), options_(options), judging_(judging_of(inputs)) {
    strips_ = lay_strips(reference, plan_delay_study(reference), table, seeing());
    std::erase_if(judging_.speeds_mps, [&](double speed_mps) {
      return speed_mps > options.fastest_judged_mps * kRoundedSpeed_ratio;
    });
    if (judging_.speeds_mps.empty()) refuse_speeds();
  }

  const Judging& judging() const { return judging_; }

  DelaySpeed judge(const JudgedSpeed& at) {
    if (options_.on_progress)
      options_.on_progress(std::min(1.0, tried_++ / static_cast<double>(most_tried())));
    return judge_speed(inputs_, judging_, at, table_, strips_, seeing());
  }

  TodayLimit limit_at(const DelaySpeed& failing) {
    if (!failing.deliverable) return TodayLimit::kPressure;
    if (!tune::valve_opens(inputs_.scenario, failing.pressure_pa)) return TodayLimit::kClosed;
    if (!failing.servable) return TodayLimit::kOffset;
    const double narrowest_m =
        *std::min_element(judging_.spacings_m.begin(), judging_.spacings_m.end());
    if (narrowest_m < failing.smallest_spacing_m) return TodayLimit::kValve;
    if (holds_retuned(inputs_, failing)) return TodayLimit::kColumn;
    DelayInputs steady = inputs_;
    steady.scenario.delivery.time_scatter_s = 0.0;
    steady.scenario.delivery.rest_scatter_m = 0.0;
    steady.scenario.delivery.roll_scatter_m = 0.0;
    return holds_retuned(steady, failing) ? TodayLimit::kDelivery : TodayLimit::kSpread;
  }

 private:
  SeeingOptions seeing() const { return {.stop = options_.stop, .on_condition = {}}; }
  int most_tried() const { return static_cast<int>(judging_.speeds_mps.size()) + kSpeedHalvings; }

  /// Whether the speed would hold without its mean error.
  bool holds_retuned(const DelayInputs& inputs, const DelaySpeed& failing) const {
    const auto& speeds = judging_.speeds_mps;
    const auto next = std::lower_bound(speeds.begin(), speeds.end(), failing.speed_mps);
    const JudgedSpeed at{failing.speed_mps, static_cast<std::size_t>(
                                                std::min(next, speeds.end() - 1) - speeds.begin())};
    const DelaySpeed plain = judge_speed(inputs, judging_, at, table_, strips_, seeing());
    if (std::isnan(plain.trimmed_mean_m)) return false;
    StripTrims retuned = strips_;
    for (double& trim_m : retuned.trims_m) trim_m -= plain.trimmed_mean_m;
    return holds(judge_speed(inputs, judging_, at, table_, retuned, seeing()));
  }

  [[noreturn]] void refuse_speeds() const {
    const std::string most =
        text::format_quantity(options_.fastest_judged_mps, text::Kind::kSpeed, "km/h", 3);
    throw text::InputError(inputs_.scenario.name + ": tuning.slowest: the table was judged up to " +
                           most + ", and every judged speed of [tuning] is faster; state " +
                           "tuning.fastest = \"" + most + "\" or a table for these speeds");
  }

  const DelayInputs& inputs_;
  const sillion_attachment_table& table_;
  const TodayOptions& options_;
  Judging judging_;
  StripTrims strips_;
  int tried_ = 0;
};

}  // namespace

TodayResult find_today(const DelayInputs& inputs, const DelayInputs& reference,
                       const sillion_attachment_table& table, const TodayOptions& options) {
  Search search(inputs, reference, table, options);
  TodayResult result;
  result.scenario = inputs.scenario;
  result.judging = search.judging();
  result.outside_table =
      outside(table.viscosity, inputs.scenario.liquid.liquid.viscosity_pas, 1e6) ||
      outside(table.voltage, inputs.scenario.supply.voltage_v, 1e3);
  const FastestHeld fastest = find_fastest(search.judging().speeds_mps, [&](const JudgedSpeed& at) {
    result.speeds.push_back(search.judge(at));
    return result.speeds.back();
  });
  std::sort(result.speeds.begin(), result.speeds.end(),
            [](const DelaySpeed& a, const DelaySpeed& b) { return a.speed_mps < b.speed_mps; });
  result.fastest_mps = fastest.holds_mps;
  result.fails_mps = fastest.fails_mps;
  result.share_ratio = fastest.held.trimmed[0].share_ratio;
  if (!std::isnan(result.fails_mps)) {
    result.limit = search.limit_at(fastest.failing);
    result.failing_share_ratio = fastest.failing.trimmed[0].share_ratio;
    result.mean_error_m = fastest.failing.trimmed_mean_m;
    result.pressure_needed_pa = fastest.failing.pressure_pa;
  }
  if (result.limit == TodayLimit::kClosed)
    result.opening_voltage_v = tune::opening_voltage_v(inputs.scenario, result.pressure_needed_pa);
  return result;
}

const char* limit_words(TodayLimit limit) {
  switch (limit) {
    case TodayLimit::kNone: return "the fastest speed that was judged";
    case TodayLimit::kPressure:
      return "pressure-limited; raise the supply, lower the rate or warm the product";
    case TodayLimit::kClosed: return "the valve cannot open at this voltage";
    case TodayLimit::kOffset: return "offset-limited; move the outlet further back";
    case TodayLimit::kValve: return "valve-limited: bands run together; widen the spacing";
    case TodayLimit::kDelivery:
      return "delivery-limited: the seeds scatter too much, and no delay corrects that";
    case TodayLimit::kColumn: return "column-limited; warm the product or retune";
    case TodayLimit::kSpread:
      return "limited by sensor, speed signal, jet and column together; see `sillion budget`";
  }
  return "";
}

}  // namespace sim::delay
