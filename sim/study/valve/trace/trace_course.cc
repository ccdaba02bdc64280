#include "sim/study/valve/trace/trace_course.h"

#include <algorithm>
#include <cmath>

#include "sim/statistics/spread.h"

namespace sim::valve {
namespace {

constexpr double kSeenNoises = 6.0;  // noise alone does not reach this height
constexpr double kLeastTravel_ratio = 0.15;
constexpr double kLeastLinkage_ratio = 0.02;  // share of L i; a smaller linkage shows no plunger

// A pull so many times that of the start surely holds the plunger at its stop.
constexpr double kFarAbove_ratio = 1.5;

constexpr double kLanded_ratio = 0.85;  // of the height

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
  Span error_shape_ratio = {};  // see MotionData
  double fading_ratio = 0.0;    // of the height, so much it wanders then
  bool fades = false;           // a reluctance solenoid: z wanders once the plunger has landed

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
  std::size_t last = std::min(way.to, way.half + 4 * (way.half - way.low) + 3 * w);
  if (way.fades) {
    const std::vector<double> z = smoothed(way.z.subspan(way.half, last - way.half), 2);
    const auto landed = std::find_if(z.begin(), z.end(),
                                     [&](double at) { return at > kLanded_ratio * way.height; });
    last = std::min(last, way.half + static_cast<std::size_t>(landed - z.begin()) + 4 * w);
  }
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
                        .step_s = step_s,
                        .error_shape_ratio = way.error_shape_ratio.empty()
                                                 ? Span{}
                                                 : way.error_shape_ratio.subspan(way.from, count)};
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
  const std::size_t last = std::min(way.to, from + (way.fades ? 2 : 8) * (way.half - way.low + 4));
  if (from + 2 >= last) return rebound;
  const std::vector<double> z = smoothed(way.z.subspan(from, last - from), w);
  const double seen = std::max((way.fades ? way.fading_ratio : 0.025) * way.height,
                               4.0 * way.noise / std::sqrt(static_cast<double>(2 * w + 1)));
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
      : recorded_(window),
        equal_(valve.iron != nullptr ? window : PulseWindow{}),
        window_(valve.iron != nullptr ? equal_ : window),
        valve_(valve) {
    if (valve.iron == nullptr) {
      y_ = linkage_vs(window, valve.resistance_ohm, valve.inductance_h);
      return;
    }
    find_on_edge(recorded_, *valve.iron, edges_);
    turn_iron();
  }

  PulseCourse run() {
    if (window_.on_clean + 3 > window_.off) return course_;  // a field too weak to show the lift
    look();
    if (course_.moved) open();
    if (valve_.iron != nullptr && course_.stopped) {
      find_off_edge(recorded_, *valve_.iron, kFarAbove_ratio * course_.up.start_a, edges_);
      turn_iron();
    }
    still_stretches_up();
    if (course_.moved) close();
    if (valve_.iron != nullptr)
      end_iron();
    else
      edges();
    return course_;
  }

 private:
  // Makes the window of the equal solenoid (trace_iron.h): its current is the pull over K.
  void turn_iron() {
    IronCourse turned = iron_course_of(recorded_, *valve_.iron, edges_);
    y_ = std::move(turned.y_vs);
    equal_.i_a = std::move(turned.drive_a);
    by_edge_ratio_ = std::move(turned.by_edge_ratio);
    equal_.on_clean = turned.seen_from;
    equal_.known = std::max(turned.seen_to, window_.off);
    equal_.hold_a = equal_.i_a[window_.off - 1];
  }

  void end_iron() {
    if (course_.up.found) {
      const std::size_t at = index_at(course_.up.start_s);
      course_.up.start_a = mean_from(recorded_.i_a, at > 3 ? at - 3 : 0, 6, window_.off);
    }
    if (window_.known < recorded_.t_s.size())
      course_.seen_until_s = recorded_.t_s[window_.known - 1] - window_.off_s;
    const double on_v = window_.driven_v, step_v = window_.driven_v - window_.released_v;
    course_.on_shift_s = -edges_.on_vs / on_v;
    course_.on_sd_s = edges_.on_sd_vs / on_v;
    // Eddy currents step with the voltage, as an edge does: neither is told well beside the other.
    if (valve_.iron->coil.reluctance.eddy_ohm > 0.0)
      course_.on_sd_s = statistics::root_of_squares(course_.on_sd_s, 0.5 * window_.on_half_s);
    course_.off_shift_s = edges_.off_vs / step_v;
    course_.off_sd_s = window_.off_half_s / std::sqrt(3.0);
    if (course_.stopped) course_.off_sd_s = edges_.off_sd_vs / step_v;
  }

  void span(std::size_t from, std::size_t to, bool at_stop) {
    if (valve_.iron != nullptr)
      course_.spans.push_back({from, to, at_stop});
    else
      course_.still.take(window_, from, to);
  }

  void look() {
    course_.still_vs =
        valve_.iron != nullptr ? 0.0 : mean_from(y_, window_.on_clean, 3, window_.off);
    std::vector<double> driven =
        smoothed(Span(y_).subspan(window_.on_clean, window_.off - window_.on_clean), 2);
    const double highest = *std::max_element(driven.begin(), driven.end());
    // The linkage at the end of the command; noise would raise the highest value.
    const std::size_t held = std::max<std::size_t>(1, driven.size() / 10);
    const double end_vs = mean_from(y_, window_.off - held, held, window_.off);
    course_.height_vs = highest - course_.still_vs;
    end_height_vs_ = end_vs - course_.still_vs;
    const double linkage_vs =
        valve_.iron != nullptr ? 0.0 : valve_.inductance_h * std::abs(window_.hold_a);
    const double least =
        std::max({kSeenNoises * valve_.noise_vs, kLeastTravel_ratio * valve_.linkage_vs,
                  kLeastLinkage_ratio * linkage_vs});
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
    if (valve_.iron != nullptr) {
      const bool opening = to <= window_.off;
      way.inductance_sd = opening ? edges_.on_sd_vs : edges_.off_sd_vs;  // tidy: unit V s
      way.error_shape_ratio = by_edge_ratio_;
      way.fades = true;
      way.fading_ratio = opening ? 0.05 : 0.15;
    }
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
    const std::size_t on = recorded_.on_clean;
    if (!course_.moved) {
      span(on, window_.off, false);
      span(window_.off_clean, window_.known, false);
      return;
    }
    if (course_.up.found) {
      double surely_s = surely_before_s(course_.up, 0.0);
      // The circuit of a reluctance solenoid cannot do without samples on the seat.
      if (valve_.iron != nullptr) surely_s = std::max(surely_s, 0.4 * course_.up.start_s);
      span(on, index_at(surely_s), false);
    }
    if (course_.stopped) span(std::min(settled_, window_.off), window_.off, true);
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
    if (course_.stopped) span(window_.off_clean, still_to, true);
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

  const PulseWindow& recorded_;
  PulseWindow equal_;          // of a reluctance solenoid: as the equal solenoid would be recorded
  const PulseWindow& window_;  // the one of both that is searched
  const ValveFigures& valve_;
  EdgeLinkage edges_;
  std::vector<double> by_edge_ratio_;  // empty with the linear law
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
