#include "sim/study/valve/trace/trace_course.h"

#include <algorithm>
#include <cmath>

#include "sim/statistics/spread.h"

namespace sim::valve {
namespace {

constexpr double kSeenNoises = 6.0;  // noise alone does not reach this height
constexpr double kLeastTravel_ratio = 0.15;
constexpr double kLeastLinkage_ratio = 0.02;  // share of L i; a smaller linkage shows no plunger

constexpr double kNowhere_s = std::numeric_limits<double>::quiet_NaN();

using Span = std::span<const double>;

// Mean of up to `count` samples from `from` on.
double mean_from(Span y, std::size_t from, std::size_t count, std::size_t end) {
  double sum = 0.0, n = 0.0;
  for (std::size_t k = from; k < std::min(from + count, end); ++k) sum += y[k], n += 1.0;
  return n > 0.0 ? sum / n : (from < y.size() ? y[from] : 0.0);
}

// Moving mean over 2 half + 1 samples, over fewer at the ends.
std::vector<double> smoothed(Span y, std::size_t half) {
  std::vector<double> sums(y.size() + 1, 0.0), out(y.size());
  for (std::size_t k = 0; k < y.size(); ++k) sums[k + 1] = sums[k] + y[k];
  for (std::size_t k = 0; k < y.size(); ++k) {
    const std::size_t from = k > half ? k - half : 0, to = std::min(y.size(), k + half + 1);
    out[k] = (sums[to] - sums[from]) / static_cast<double>(to - from);
  }
  return out;
}

double slope_of(Span t, Span y, std::size_t from, std::size_t to) {
  const auto n = static_cast<double>(to - from);
  double st = 0.0, sy = 0.0, stt = 0.0, sty = 0.0;
  for (std::size_t k = from; k < to; ++k) {
    const double d = t[k] - t[from];
    st += d, sy += y[k], stt += d * d, sty += d * y[k];
  }
  const double spread = n * stt - st * st;
  return spread > 0.0 ? (n * sty - st * sy) / spread : 0.0;
}

// One travel of the plunger as a rise: z is 0 where it starts and about height where it lands.
struct Way {
  Span t, i, z;
  std::size_t from = 0, to = 0;  // samples to look at
  double height = 0.0, noise = 0.0, step_s = 0.0;
  double earliest_s = 0.0, inductance_sd = 0.0;

  std::size_t half = 0, low = 0;  // where z passes half its height; where it was last near zero
  bool passed = false, quick = false;
};

// Finds where z, lightly smoothed, passes half of its height and where it was last within its
// noise.
void find_passage(Way& way) {
  const std::vector<double> z = smoothed(way.z.subspan(way.from, way.to - way.from), 2);
  const double half = 0.5 * way.height;
  std::size_t k = 0;
  while (k < z.size() && z[k] < half) ++k;
  way.passed = k < z.size();
  if (!way.passed) return;
  way.half = way.from + k;
  const double low = std::max(0.03 * way.height, 3.0 * way.noise);
  while (k > 0 && z[k] > low) --k;
  way.low = way.from + k;
}

std::size_t window_samples(const Way& way, double share_ratio, std::size_t least) {
  return std::max(least,
                  static_cast<std::size_t>(share_ratio * static_cast<double>(way.half - way.low)));
}

// Sample of the largest loss of slope above 0.6 of the height: about where the plunger lands.
std::size_t coarse_landing(const Way& way) {
  const std::size_t w = window_samples(way, 0.2, 3);
  const std::size_t last = std::min(way.to, way.half + 4 * (way.half - way.low) + 3 * w);
  std::size_t best = 0;
  double most = 0.0;
  for (std::size_t k = std::max(way.half, way.from + w); k + w <= last; ++k) {
    if (way.z[k] < 0.6 * way.height) continue;
    const double loss = slope_of(way.t, way.z, k - w, k + 1) - slope_of(way.t, way.z, k, k + w);
    if (loss > most) most = loss, best = k;
  }
  return best;
}

KinkFit landing_of(const Way& way) {
  const std::size_t coarse = coarse_landing(way);
  if (coarse == 0) return {};
  const std::size_t after = window_samples(way, 0.3, 5);
  std::size_t from = coarse;
  const double low = 0.45 * way.height;
  while (from > way.low + 1 && (way.z[from] > low || coarse - from < 5)) --from;
  const std::size_t to = std::min(way.to, coarse + after + 1);
  if (coarse - from < 2 || to - from < 6) return {};
  const double reach_s =
      way.step_s * static_cast<double>(std::max<std::size_t>(2, window_samples(way, 0.15, 2)));
  return fit_kink(way.t.subspan(from, to - from), way.z.subspan(from, to - from), way.t[coarse],
                  reach_s, way.noise);
}

MotionFit start_of(const Way& way, Span y, const MotionPrior& prior, bool opening, double step_s) {
  const std::size_t count = std::min(way.half + 1, way.to) - way.from;
  const MotionData data{.t_s = way.t.subspan(way.from, count),
                        .i_a = way.i.subspan(way.from, count),
                        .y_vs = y.subspan(way.from, count),
                        .earliest_s = way.earliest_s,
                        .latest_s = way.t[std::min(way.half, way.to - 1)],
                        .noise_vs = way.noise,
                        .inductance_sd_h = std::max(way.inductance_sd, 1e-9),
                        .height_vs = way.height,
                        .opening = opening,
                        .quick = way.quick,
                        .step_s = step_s};
  return fit_motion(data, prior);
}

struct Rebound {
  double lasts_s = 0.0, height_ratio = 0.0;
  std::size_t settled = 0;
};

// How far z falls again after landing, and until when.
Rebound rebound_of(const Way& way, double landed_s, double level) {
  const std::size_t w = std::max<std::size_t>(1, window_samples(way, 0.03, 1));
  std::size_t from = way.from;
  while (from < way.to && way.t[from] <= landed_s) ++from;
  Rebound rebound{.settled = from};
  const std::size_t last = std::min(way.to, from + 8 * (way.half - way.low + 4));
  if (from + 2 >= last) return rebound;
  const std::vector<double> z = smoothed(way.z.subspan(from, last - from), w);
  const double seen =
      std::max(0.025 * way.height, 4.0 * way.noise / std::sqrt(static_cast<double>(2 * w + 1)));
  double deepest = 0.0;
  for (std::size_t k = 0; k < z.size(); ++k) {
    deepest = std::max(deepest, level - z[k]);
    if (level - z[k] > seen) rebound.settled = from + k + 1;
  }
  rebound.height_ratio = deepest > seen ? deepest / way.height : 0.0;
  if (rebound.settled > from)
    rebound.lasts_s = way.t[std::min(rebound.settled, way.to - 1)] - landed_s;
  return rebound;
}

class Course {
 public:
  Course(const PulseWindow& window, const ValveFigures& valve)
      : window_(window),
        valve_(valve),
        y_(linkage_vs(window, valve.resistance_ohm, valve.inductance_h)) {}

  PulseCourse run() {
    look();
    if (course_.moved) open();
    still_stretches_up();
    if (course_.moved) close();
    edges();
    return course_;
  }

 private:
  void look() {
    course_.still_vs = mean_from(y_, window_.on_clean, 3, window_.off);
    std::vector<double> driven =
        smoothed(Span(y_).subspan(window_.on_clean, window_.off - window_.on_clean), 2);
    const double highest = *std::max_element(driven.begin(), driven.end());
    // The linkage at the end of the command; noise would raise the highest value.
    const std::size_t held = std::max<std::size_t>(1, driven.size() / 10);
    const double end_vs = mean_from(y_, window_.off - held, held, window_.off);
    course_.height_vs = highest - course_.still_vs;
    end_height_vs_ = end_vs - course_.still_vs;
    const double least =
        std::max({kSeenNoises * valve_.noise_vs, kLeastTravel_ratio * valve_.linkage_vs,
                  kLeastLinkage_ratio * valve_.inductance_h * std::abs(window_.hold_a)});
    course_.moved = course_.height_vs > least;
  }

  double height() const {
    return valve_.linkage_vs > 0.0 ? valve_.linkage_vs : std::max(end_height_vs_, 1e-12);
  }

  Way way_of(Span z, std::size_t from, std::size_t to) const {
    Way way{window_.t_s, window_.i_a, z, from, to};
    way.height = height();
    way.noise = valve_.noise_vs;
    way.inductance_sd = valve_.inductance_sd_h;
    way.quick = valve_.quick;
    way.step_s = valve_.step_s;
    way.half = way.low = from;
    return way;
  }

  void open() {
    z_.resize(y_.size());
    for (std::size_t k = 0; k < y_.size(); ++k) z_[k] = y_[k] - course_.still_vs;
    Way way = way_of(z_, window_.on_clean, window_.off);
    way.earliest_s = 0.0;
    find_passage(way);
    if (!way.passed) {
      way.half = window_.off - 1;  // cut short: the fit takes what there is of the way up
      if (course_.height_vs > 2.0 * kLeastTravel_ratio * height())
        course_.up = start_of(way, y_, valve_.drive, true, kNowhere_s);
      return;
    }
    course_.up = start_of(way, y_, valve_.drive, true, kNowhere_s);
    course_.stop = landing_of(way);
    if (!course_.stop.found) return;
    course_.stopped = true;
    const Rebound rebound = rebound_of(way, course_.stop.at_s, course_.stop.level_vs);
    course_.stop_bounce_s = rebound.lasts_s;
    course_.stop_bounce_ratio = rebound.height_ratio;
    settled_ = rebound.settled + window_samples(way, 0.6, 3);
    course_.stop.level_vs += course_.still_vs;
  }

  // A start that is found late takes moving samples for still ones, which makes L too large and the
  // start later still: so a third of the time from the edge to the start is left out.
  static double surely_before_s(const MotionFit& motion, double edge_s) {
    return motion.start_s - std::max(3.0 * motion.start_sd_s, 0.35 * (motion.start_s - edge_s));
  }

  std::size_t index_at(double time_s) const {
    const auto found = std::lower_bound(window_.t_s.begin(), window_.t_s.end(), time_s);
    return static_cast<std::size_t>(found - window_.t_s.begin());
  }

  void still_stretches_up() {
    if (!course_.moved) {
      course_.still.take(window_, window_.on_clean, window_.off);
      course_.still.take(window_, window_.off_clean, window_.known);
      return;
    }
    if (course_.up.found) {
      const double surely_s = surely_before_s(course_.up, 0.0);
      course_.still.take(window_, window_.on_clean, index_at(surely_s));
    }
    if (course_.stopped) course_.still.take(window_, std::min(settled_, window_.off), window_.off);
  }

  // Closing is turned over: z counts from the stop downwards.
  void close() {
    const double top_vs = mean_from(y_, window_.off_clean, 2, window_.known);
    if (window_.known < window_.off_clean + 4) return;
    for (std::size_t k = 0; k < y_.size(); ++k) z_[k] = top_vs - y_[k];
    Way way = way_of(z_, window_.off_clean, window_.known);
    way.earliest_s = window_.off_s;
    find_passage(way);
    if (!way.passed) way.half = window_.known - 1;
    if (course_.stopped) course_.down = start_of(way, y_, valve_.drive, false, window_.gone_s);
    // Where noise hides the start of closing, only samples count whose current surely holds the
    // plunger.
    std::size_t still_to =
        held_until(window_, std::max(0.6 * window_.hold_a, 1.3 * course_.up.start_a));
    if (course_.down.found) still_to = index_at(surely_before_s(course_.down, window_.off_s));
    if (course_.stopped) course_.still.take(window_, window_.off_clean, still_to);
    if (!way.passed) return;
    course_.released = true;
    course_.seat = landing_of(way);
    if (!course_.seat.found) return;
    const Rebound rebound = rebound_of(way, course_.seat.at_s, course_.seat.level_vs);
    course_.seat_bounce_s = rebound.lasts_s;
    course_.seat_bounce_ratio = rebound.height_ratio;
  }

  // The linkage steps where the command's edge is not in the middle of its interval.
  void edges() {
    course_.on_sd_s = window_.on_half_s / std::sqrt(3.0);
    course_.off_sd_s = window_.off_half_s / std::sqrt(3.0);
    const double on_v = window_.driven_v;
    if (course_.up.found && course_.up.level_sd_vs < on_v * course_.on_sd_s) {
      const double before_vs = mean_from(y_, 0, window_.on > 1 ? window_.on - 1 : 1, window_.on);
      course_.on_shift_s = std::clamp((course_.up.level_vs - before_vs) / on_v, -window_.on_half_s,
                                      window_.on_half_s);
      course_.on_sd_s =
          statistics::root_of_squares(course_.up.level_sd_vs, 0.4 * valve_.noise_vs) / on_v;
    }
    const double step_v = window_.driven_v - window_.released_v;
    if (!course_.down.found || !(step_v > 0.0)) return;
    const std::size_t held = std::min<std::size_t>(20, (window_.off - window_.on) / 4 + 1);
    const std::size_t last = window_.off - (window_.off_clean - window_.off);
    const double before_vs = mean_from(y_, last - held, held, last);
    if (course_.down.level_sd_vs >= step_v * course_.off_sd_s) return;
    course_.off_shift_s = std::clamp((before_vs - course_.down.level_vs) / step_v,
                                     -window_.off_half_s, window_.off_half_s);
    course_.off_sd_s =
        statistics::root_of_squares(course_.down.level_sd_vs, 0.3 * valve_.noise_vs) / step_v;
  }

  const PulseWindow& window_;
  const ValveFigures& valve_;
  std::vector<double> y_, z_;
  PulseCourse course_;
  double end_height_vs_ = 0.0;
  std::size_t settled_ = 0;
};

}  // namespace

PulseCourse course_of(const PulseWindow& window, const ValveFigures& valve) {
  return Course(window, valve).run();
}

}  // namespace sim::valve
