// `sampling`, `samples` and `stop` of a study.
//
// Errors   InputError: a distribution that nothing draws, samples without one, no samples; a metric
//          that is not in the catalog, a half width of another kind or not above 0, a cap that is
//          no whole number of batches
// Checked  tests/hostile/study_test.cc
#pragma once

#include "sim/study/sweep/study.h"
#include "sim/text/document.h"

namespace sim::sweep {

/// After the axes: whether they and the sampling go together.
void read_sampling(const text::Node& document, const text::Place& file, Study& study);
/// After replicas and samples: these are the batches that `most` has to hold.
void read_stop(const text::Node& node, Study& study);

}  // namespace sim::sweep
