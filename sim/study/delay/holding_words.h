// The words for what "holds 10 mm" was judged by, the same for `delay` and `today`, and ranges of
// figures as people read them.
//
// Checked  tests/sim/study/delay/delay_tables_test.cc
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "sim/output/shown_units.h"
#include "sim/study/delay/delay_plan.h"

namespace sim::delay {

/// "11.0 to 19.0 °C". Two ends with the same text get more digits; two equal ends give one figure.
std::string span_words(double low_si, double high_si, output::Measure measure, output::Units units);
/// "at least 95 % of the sensed seeds within 10 mm, each row with the trim of its strip test, ..."
std::string holding_words(const scenario::Scenario& scenario, const Judging& judging,
                          output::Units units);
nlohmann::ordered_json holding_json(const scenario::Scenario& scenario, const Judging& judging);

}  // namespace sim::delay
