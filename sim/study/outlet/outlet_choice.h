// Which parts are worth considering, and which one is recommended.
//
//   works      every demand of the list below is met
//   Pareto     of the parts that work, one is dropped where another is nowhere worse and somewhere
//              better. Figures are compared in steps that a person would distinguish, and each
//              counts only up to a value that is enough:
//                interference 0.1 mm down to 0.2; blur of the ends (rise + tail, times speed)
//                0.5 mm down to 1; refill after the stop 0.5 mm down to 1; supply over pressure
//                0.05 up to 1.5; jet margin 0.1 up to 2; bore over strainer 0.25 up to 4
//   cost       interference + (rise + tail) v/2 + 0.25 mm for every entry that differs from the
//              attachment as stated. The part with the least cost of the Pareto list is
//              recommended, the first of equals. All steps and prices are this project's choice
//   demands    the rate is served with a tenth of pressure to spare; at no less pressure than the
//              regulator holds; every rate is followed; the tube holds its liquid; the jet is at or
//              above the drip limit and cannot move the seed; the bore is at least twice the
//              strainer's openings (common practice, no source)
//
// Checked  tests/sim/study/outlet/outlet_choice_test.cc
#pragma once

#include <string>

#include "sim/study/outlet/outlet_study.h"

namespace sim::outlet {

inline constexpr double kLeastPressure_ratio = 1.1;
inline constexpr double kLeastPlugging_ratio = 2.0;
inline constexpr double kPriceOfChange_m = 0.25e-3;

/// (rise + tail) times speed, the worst over all trains; infinite where 90 % is never reached.
double end_blur_m(const OutletCandidate& candidate, double speed_mps);
/// Fills holds and works.
void judge_demands(const scenario::Scenario& scenario, OutletCandidate& candidate);
/// Which parts may be recommended: all, or those that were looked at closely.
enum class Field : std::uint8_t { kAll, kLookedAtClosely };
/// Fills cost, Pareto marks and the recommended index.
void choose(OutletResult& result, Field field = Field::kAll);
/// "attachment.outlet.bore: ...": what the part with the fewest failures would need.
std::string nearest_workable(const OutletResult& result);
const char* demand_words(Demand demand);

}  // namespace sim::outlet
