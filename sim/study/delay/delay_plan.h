// Which passes a delay study runs: the fit's conditions and the unseen ones that it is judged by.
//
//   fit      every speed x rate x temperature of [tuning]; voltage and spacing go round by turns so
//            that each of their three values meets each speed and rate as evenly as may be. A key
//            (rows of its own) serves every third speed of a rate and temperature: a row that is
//            seen at several speeds does not pass its own offset off as a time error
//   report   speeds half way between the fit's; temperatures, voltages and spacings half way
//            between the fit's too; the scenario's rate; other rng keys, each with rows of its own.
//            `today` judges its speeds by the same conditions around today's (holding.h). Where the
//            liquid is not known at the fit's colder or warmer temperature, the scenario's own
//            stands in for the one half way to it
//
// A condition is one pass of row.count rows. A speed and rate that the supply cannot give is no
// condition: it would tune the table on a regulator at its end.
//
// Errors   InputError: one speed only (it cannot tell a from b), no speed at which the rate can be
//          delivered (it names the nearest workable value)
// Checked  tests/sim/study/delay/delay_plan_test.cc
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "sim/scenario/scenario.h"

namespace sim::delay {

/// The scenario of the attachment, and its liquid at other temperatures. The function throws
/// InputError where the catalog does not know it.
struct DelayInputs {
  scenario::Scenario scenario;
  std::function<model::Liquid(double temperature_k)> liquid_at;
};

struct DelayCondition {
  double speed_mps = 0.0;
  double rate_m3pm2 = 0.0;
  double temperature_k = 0.0;
  double voltage_v = 0.0;
  double spacing_m = 0.0;
  std::uint64_t rng_key = 0;
  int seeds = 0;                        // a row; 0: by [tuning]
  std::uint32_t pass = 0;               // 1: a strip, other seeds of the same rows
  double pressure_ratio = 1.0;          // at the hose over what the regulator believes
  double believed_viscosity_pas = 0.0;  // entered in the controller; 0: the liquid's
};

/// What row speeds are judged by: each value half way between two of the fit.
struct Judging {
  std::vector<double> speeds_mps;  // rising; empty where [tuning] has one speed only
  std::vector<double> temperatures_k;
  std::vector<double> voltages_v;
  std::vector<double> spacings_m;
};

/// A speed to judge. Its place among Judging::speeds_mps turns voltage and spacing.
struct JudgedSpeed {
  double speed_mps = 0.0;
  std::size_t index = 0;
};

struct DelayPlan {
  Judging judging;
  std::vector<double> temperatures_k;  // that the liquid is known at; the scenario's among them
  std::vector<double> voltages_v;
  std::vector<DelayCondition> fit;
  std::vector<DelayCondition> report;
  int not_deliverable = 0;         // speed-rate-temperature triples left out
  std::vector<std::string> notes;  // what was asked and could not be had, in words
};

inline constexpr int kReportKeys = 2;

DelayPlan plan_delay_study(const DelayInputs& inputs);
Judging judging_of(const DelayInputs& inputs);
/// The passes that judge one speed, one a report key, whether the supply can give their flow or
/// not.
std::vector<DelayCondition> judging_conditions(const DelayInputs& inputs, const Judging& judging,
                                               const JudgedSpeed& at);
/// Whether the supply can give the flow of this condition.
bool deliverable(const DelayInputs& inputs, const DelayCondition& condition);
/// The pass of one condition.
scenario::Scenario condition_scenario(const DelayInputs& inputs, const DelayCondition& condition);
/// Largest flow of the nominal row at the supply's full pressure, for this liquid.
double largest_flow_m3ps(const DelayInputs& inputs, const DelayCondition& condition);

}  // namespace sim::delay
