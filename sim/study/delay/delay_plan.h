// Which passes a delay study runs: the fit's conditions, and unseen ones that judge the result.
//
//   fit      every speed x rate x temperature of [tuning]. Voltage and spacing rotate, so that each
//            of their three values occurs as evenly as possible with each speed and rate. A key
//            (rows of its own) serves every third speed of a rate and temperature: a row seen at
//            several speeds does not make its own offset look like a time error
//   report   speeds half way between the fit's; temperatures, voltages and spacings half way
//            between the fit's too; the scenario's rate; other rng keys, each with rows of its own.
//            `today` judges its speeds by the same conditions around today's (holding.h). Where the
//            liquid is not known at the fit's colder or warmer temperature, the scenario's own
//            replaces the one half way to it
//
// A condition is one pass of row.count rows. A speed and rate that the supply cannot give is left
// out: it would tune the table on a regulator at the end of its range.
//
// Errors   InputError: one speed only (it cannot separate a from b), no speed at which the rate can
//          be delivered (the message names the nearest workable value)
// Checked  tests/sim/study/delay/delay_plan_test.cc
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "sim/scenario/scenario.h"

namespace sim::delay {

/// The scenario of the attachment, and its liquid at other temperatures. The function throws
/// InputError where the catalog does not know the liquid at that temperature.
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
  int seeds = 0;                        // per row; 0: by [tuning]
  std::uint32_t pass = 0;               // 1: a strip, with other seeds of the same rows
  double pressure_ratio = 1.0;          // at the hose, over what the regulator believes
  double believed_viscosity_pas = 0.0;  // entered in the controller; 0: the liquid's
};

/// The conditions that judge row speeds: each value lies half way between two of the fit.
struct Judging {
  std::vector<double> speeds_mps;  // rising; empty where [tuning] has one speed only
  std::vector<double> temperatures_k;
  std::vector<double> voltages_v;
  std::vector<double> spacings_m;
};

/// A speed to judge. Its index among Judging::speeds_mps selects voltage and spacing.
struct JudgedSpeed {
  double speed_mps = 0.0;
  std::size_t index = 0;
};

struct DelayPlan {
  Judging judging;
  std::vector<double> temperatures_k;  // at which the liquid is known, the scenario's among them
  std::vector<double> voltages_v;
  std::vector<DelayCondition> fit;
  std::vector<DelayCondition> report;
  int not_deliverable = 0;         // combinations of speed, rate and temperature that were left out
  std::vector<std::string> notes;  // sentences: what was asked for and is not available
};

inline constexpr int kReportKeys = 2;

DelayPlan plan_delay_study(const DelayInputs& inputs);
Judging judging_of(const DelayInputs& inputs);
/// The passes that judge one speed, one per report key, even where the supply cannot give their
/// flow.
std::vector<DelayCondition> judging_conditions(const DelayInputs& inputs, const Judging& judging,
                                               const JudgedSpeed& at);
/// Whether the supply can give the flow of this condition.
bool deliverable(const DelayInputs& inputs, const DelayCondition& condition);
/// The pass of one condition.
scenario::Scenario condition_scenario(const DelayInputs& inputs, const DelayCondition& condition);
/// Largest flow of the nominal row at the supply's full pressure, for this liquid.
double largest_flow_m3ps(const DelayInputs& inputs, const DelayCondition& condition);

}  // namespace sim::delay
