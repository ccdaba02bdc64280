// Either the outlet's coefficients or the length of its bore, of which both follow.
//
//   stated together in one table: an error, also when one lies in a base that is not laid over;
//   stated in a layer above: drops the other of the layer below
//
// Errors   InputError: both stated; a length outside 2 to 10 bores (model/fluid/discharge.h)
// Checked  tests/sim/scenario/outlet_keys_test.cc
#pragma once

#include <string_view>

#include "model/row_params.h"
#include "sim/text/document.h"
#include "sim/text/reader.h"

namespace sim::scenario {

/// What `above` states of attachment.outlet drops what it replaces in `below`. Whole documents.
void drop_replaced_outlet(text::Node& below, const text::Node& above);
/// Of a table with the outlet in it: an attachment of the catalog, a scenario's section, a rig.
void refuse_both_outlet(const text::Node& attachment, std::string_view prefix = "attachment.");
/// The same, once the attachment was read over its catalog's values: which of both counts, and what
/// follows of a length.
void settle_outlet(const text::Node* attachment, model::Outlet& outlet, const text::Places& places,
                   const text::Place& file, std::string_view prefix = "attachment.");

}  // namespace sim::scenario
