// `sampling`, `samples` and `stop` of a study.
//
// Errors   InputError: a distribution without sampling, sampling without a distribution, no number
//          of samples; a metric that is not in the catalog, a half width of another kind or not
//          above 0, a cap that is not a whole number of batches
// Checked  tests/hostile/study_test.cc
#pragma once

#include "sim/study/sweep/study.h"
#include "sim/text/document.h"

namespace sim::sweep {

/// Call it after the axes: checks that axes and sampling fit together.
void read_sampling(const text::Node& document, const text::Place& file, Study& study);
/// Call it after replicas and samples: `most` must be a whole number of their batches.
void read_stop(const text::Node& node, Study& study);

}  // namespace sim::sweep
