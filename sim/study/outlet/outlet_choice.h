// Which parts are worth a look, and which one is recommended.
//
//   works      every demand of the list below holds
//   Pareto     among those that work, one is dropped where another is nowhere worse and somewhere
//              better. Figures are compared in steps that a person would tell apart, and none
//              counts beyond what is enough:
//                interference 0.1 mm; blur of the ends (rise + tail, times speed) 0.5 mm; refill
//                after the stop 0.5 mm; supply over pressure 0.05 up to 1.5; jet margin 0.1 up to
//                2; bore over strainer 0.25 up to 4
//   cost       interference + (rise + tail) v/2 + 0.25 mm for every entry that differs from the
//              attachment as stated; the least cost of the Pareto list is recommended, of equals
//              the first. All steps and prices are this project's choice
//   demands    rate served with a tenth of pressure to spare; not below what the regulator holds;
//              every rate followed; the tube holds its liquid; jet at or above the drip limit; it
//              cannot move the seed; bore at least twice the strainer's openings (common practice,
//              no source)
//
// Checked  tests/sim/study/outlet/outlet_choice_test.cc
#pragma once

#include <string>

#include "sim/study/outlet/outlet_study.h"

namespace sim::outlet {

inline constexpr double kLeastPressure_ratio = 1.1;
inline constexpr double kLeastPlugging_ratio = 2.0;
inline constexpr double kPriceOfChange_m = 0.25e-3;

/// (rise + tail) times speed, the worst over all trains; no end where 90 % is never reached.
double end_blur_m(const OutletCandidate& candidate, double speed_mps);
/// Fills holds and works from the figures.
void judge_demands(const scenario::Scenario& scenario, OutletCandidate& candidate);
/// Who may be recommended: everyone, or those that were looked at closely.
enum class Field : std::uint8_t { kAll, kLookedAtClosely };
/// Fills cost, Pareto marks and the recommended index.
void choose(OutletResult& result, Field field = Field::kAll);
/// "attachment.outlet.bore: ...": what the part that fails least would need.
std::string nearest_workable(const OutletResult& result);
const char* demand_words(Demand demand);

}  // namespace sim::outlet
