// The outlet is described either by its coefficients or by the length of its bore, from which both
// coefficients follow.
//
//   both in one table: an error, also in a base file, unless an upper layer states one of them;
//   stated in an upper layer: drops the other of the layer below
//
// Errors   InputError: both stated; a length outside 2 to 10 bores (model/fluid/discharge.h)
// Checked  tests/sim/scenario/outlet_keys_test.cc
#pragma once

#include <string_view>

#include "model/row_params.h"
#include "sim/text/document.h"
#include "sim/text/reader.h"

namespace sim::scenario {

/// Drops from `below` what the outlet keys of `above` replace. Both are whole documents.
void drop_replaced_outlet(text::Node& below, const text::Node& above);
/// Refuses both in one table that has an outlet: a catalog's attachment, a scenario's section, a
/// rig.
void refuse_both_outlet(const text::Node& attachment, std::string_view prefix = "attachment.");
/// Refuses both as well, after the attachment was read over its catalog's values; decides which of
/// the two counts, and computes the coefficients from a length.
void settle_outlet(const text::Node* attachment, model::Outlet& outlet, const text::Places& places,
                   const text::Place& file, std::string_view prefix = "attachment.");

}  // namespace sim::scenario
