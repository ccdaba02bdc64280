// The pulses of one part of an outlet study in the ledger (sim/output/ledger.h): all that the study
// simulates of a part at one list of rates.
//
//   key      hash of the part's scenario and parameters, the pressure, the rates and the program
//   record   PulseFigures
//
// Errors   reading: nothing if the bytes are not a whole record
// Checked  tests/sim/study/outlet/pulse_record_test.cc
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "sim/output/ledger.h"
#include "sim/study/outlet/outlet_pulses.h"

namespace sim::outlet {

std::string pulses_key(const scenario::Scenario& scenario, double pressure_pa,
                       std::span<const double> rates_hz);
std::string pulses_bytes(const PulseFigures& figures);
std::optional<PulseFigures> pulses_from(std::string_view bytes);

/// pulse_figures(), or what the ledger has of it; `ledger` null: nothing is found or kept.
PulseFigures found_or_pulsed(const scenario::Scenario& scenario, double pressure_pa,
                             std::span<const double> rates_hz, output::Ledger* ledger);

/// To whom the ledger of a study of this scenario belongs.
output::LedgerOwner outlet_owner(const scenario::Scenario& scenario);

}  // namespace sim::outlet
