#include "sim/study/search/optimiser.h"

#include <algorithm>
#include <cmath>
#include <condition_variable>
#include <exception>
#include <memory>
#include <mutex>
#include <nlopt.hpp>
#include <thread>

#include "shared/check.h"
#include "sim/bench/random.h"

namespace sim::search {
namespace {

// A search whose points lie closer together than this has converged: the values of a case are
// written with about five digits (search_case.cc), so that nearer points are mostly the same case.
constexpr double kClose_ratio = 1e-5;
constexpr std::uint32_t kControl = 0;  // random streams: the control, then one of each search

double share_ratio(const OptimiserOptions& options, std::uint32_t stream, std::size_t index) {
  const bench::RandomStream random{.rng_key = options.rng_key, .row = stream};
  return random.uniform_ratio(bench::Purpose::kSampleShare, index);
}

Point random_point(const OptimiserOptions& options, std::uint32_t stream, std::size_t pass) {
  Point point(options.dimensions);
  for (std::size_t axis = 0; axis < point.size(); ++axis)
    point[axis] = share_ratio(options, stream, pass * point.size() + axis);
  return point;
}

/// One search of the library in a thread of its own, which waits whenever it wants a value: the
/// library calls for values, and here they are asked for.
class LibrarySearch {
 public:
  LibrarySearch(const OptimiserOptions& options, std::size_t index, std::size_t passes)
      : options_(options), index_(index), passes_(passes) {}
  LibrarySearch(const LibrarySearch&) = delete;
  LibrarySearch& operator=(const LibrarySearch&) = delete;
  ~LibrarySearch() {
    if (!thread_.joinable()) return;
    if (!over_) {
      enough_ = true;
      go_on();
    }
    thread_.join();
  }

  /// Goes on, with the value of the last point, until the next point is wanted. False: it is over.
  bool next(double value_si = 0.0) {  // tidy: unit is the function's
    value_si_ = value_si;
    go_on();
    if (error_) std::rethrow_exception(error_);
    return !over_;
  }
  const Point& point() const { return point_; }

 private:
  /// Gives the turn to the search and waits until it has given it back.
  void go_on() {
    give_turn(true);
    if (!thread_.joinable()) thread_ = std::thread([this] { work(); });
    wait_for_turn(false);
  }
  void give_turn(bool to_search) {
    {
      const std::lock_guard lock(mutex_);
      searching_ = to_search;
    }
    turned_.notify_all();
  }
  void wait_for_turn(bool of_search) {
    std::unique_lock lock(mutex_);
    turned_.wait(lock, [&] { return searching_ == of_search; });
  }

  double value_of(const Point& point) {  // tidy: unit is the function's
    if (enough_ || done_ == passes_) throw nlopt::forced_stop();
    ++done_;
    point_ = point;
    give_turn(false);
    wait_for_turn(true);
    if (enough_) throw nlopt::forced_stop();
    return value_si_;
  }

  void work() {
    try {
      // A search that ends by itself, its points being all in one place, starts again elsewhere.
      for (std::size_t start = 0; done_ < passes_ && !enough_; ++start) search_from(start);
    } catch (...) {
      error_ = std::current_exception();
    }
    over_ = true;
    give_turn(false);
  }

  void search_from(std::size_t start) {
    const auto stream = static_cast<std::uint32_t>(index_ + 1);
    Point at = random_point(options_, stream, start);
    if (index_ == 0 && start == 0) at.assign(options_.dimensions, 0.5);
    // The library draws from a generator of its own, one per thread, so each start sets it anew.
    const auto set_generator = &nlopt::srand;
    set_generator(static_cast<unsigned long>(1 + options_.rng_key * kSearches + index_) +
                  7919 * start);
    nlopt::opt search(nlopt::GN_CRS2_LM, static_cast<unsigned>(options_.dimensions));
    search.set_lower_bounds(0.0);
    search.set_upper_bounds(1.0);
    const std::size_t least = options_.dimensions + 1;
    search.set_population(static_cast<unsigned>(std::max(least, std::min(3 * least, passes_ / 3))));
    search.set_xtol_abs(kClose_ratio);
    search.set_maxeval(static_cast<int>(passes_ - done_));
    search.set_min_objective(
        [](const Point& point, Point&, void* self) {
          return static_cast<LibrarySearch*>(self)->value_of(point);
        },
        this);
    double least_si = 0.0;  // tidy: unit is the function's
    try {
      search.optimize(at, least_si);
    } catch (const nlopt::forced_stop&) {
      return;
    } catch (const nlopt::roundoff_limited&) {
      return;
    }
  }

  const OptimiserOptions& options_;
  std::size_t index_, passes_;
  std::size_t done_ = 0;
  Point point_;
  double value_si_ = 0.0;  // tidy: unit is the function's
  bool enough_ = false, over_ = false;
  std::exception_ptr error_;
  std::mutex mutex_;
  std::condition_variable turned_;
  bool searching_ = false;  // whose turn it is
  std::thread thread_;
};

}  // namespace

void optimise(const OptimiserOptions& options, const JudgePoints& judge) {
  EXPECTS(options.dimensions >= 1);
  std::vector<std::unique_ptr<LibrarySearch>> going;
  const std::size_t searches = std::min(kSearches, options.passes);
  for (std::size_t k = 0; k < searches; ++k) {
    const std::size_t passes = options.passes / searches + (k < options.passes % searches ? 1 : 0);
    going.push_back(std::make_unique<LibrarySearch>(options, k, passes));
  }
  std::erase_if(going, [](const auto& search) { return !search->next(); });
  while (!going.empty()) {
    std::vector<Point> points;
    for (const auto& search : going) points.push_back(search->point());
    const std::vector<double> values = judge(points);  // tidy: unit is the function's
    if (values.empty()) return;
    EXPECTS(values.size() == points.size());
    std::vector<std::unique_ptr<LibrarySearch>> left;
    for (std::size_t k = 0; k < going.size(); ++k) {
      EXPECTS(std::isfinite(values[k]));
      if (going[k]->next(values[k])) left.push_back(std::move(going[k]));
    }
    going = std::move(left);
  }
}

void draw_at_random(const OptimiserOptions& options, const JudgePoints& judge) {
  EXPECTS(options.dimensions >= 1);
  for (std::size_t done = 0; done < options.passes; done += kSearches) {
    std::vector<Point> points;
    for (std::size_t k = done; k < std::min(options.passes, done + kSearches); ++k)
      points.push_back(random_point(options, kControl, k));
    if (judge(points).empty()) return;
  }
}

}  // namespace sim::search
