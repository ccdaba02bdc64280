// In words: how exactly the lines of a scenario's row are computed, and what was seen of it when
// the row was judged (sim/bench/line_form.h).
//
// Errors   none        Checked  tests/sim/study/run/line_words_test.cc
#pragma once

#include <string>

#include "sim/bench/line_form.h"
#include "sim/output/shown_units.h"

namespace sim::run {

/// One to three sentences.
std::string line_words(const bench::FormChoice& form, output::Units units);

/// A sentence for a row whose bands depend on the time step; empty where they do not.
std::string step_words(const bench::FormChoice& form, output::Units units);

}  // namespace sim::run
