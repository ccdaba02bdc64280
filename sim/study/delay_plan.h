// Which passes a delay study runs: the fit's conditions and the unseen ones that it is judged by.
//
//   fit      every speed x rate x temperature of [tuning]; voltage and spacing go round by turns so
//            that each of their three values meets each speed and rate as evenly as may be. A key
//            (rows of its own) serves every third speed of a rate and temperature: a row that is
//            seen at several speeds does not pass its own offset off as a time error
//   report   speeds half way between the fit's; temperatures, voltages and spacings half way
//            between the fit's too; the scenario's rate; other rng keys, each with rows of its own
//
// A condition is one pass of row.count rows. A speed and rate that the supply cannot give is no
// condition: it would tune the table on a regulator at its end.
//
// Errors   InputError: one speed only (it cannot tell a from b), no speed at which the rate can be
//          delivered (it names the nearest workable value)
// Checked  tests/sim/delay_plan_test.cc
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "sim/scenario/scenario.h"

namespace sim {

/// The scenario of the attachment, and its liquid at other temperatures. The function throws
/// InputError where the catalog does not know it.
struct DelayInputs {
  Scenario scenario;
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

struct DelayPlan {
  std::vector<double> temperatures_k;  // that the liquid is known at; the scenario's among them
  std::vector<double> voltages_v;
  std::vector<DelayCondition> fit;
  std::vector<DelayCondition> report;
  int not_deliverable = 0;         // speed-rate-temperature triples left out
  std::vector<std::string> notes;  // what was asked and could not be had, in words
};

inline constexpr int kReportKeys = 2;

DelayPlan plan_delay_study(const DelayInputs& inputs);
/// The pass of one condition.
Scenario condition_scenario(const DelayInputs& inputs, const DelayCondition& condition);
/// Largest flow of the nominal row at the supply's full pressure, for this liquid.
double largest_flow_m3ps(const DelayInputs& inputs, const DelayCondition& condition);

}  // namespace sim
