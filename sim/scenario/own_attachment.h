// An attachment of one's own: a section [attachment] that states the whole part, so that no catalog
// has to know it.
//
//   own      its `name` is none of the catalog, or it states none
//   whole    it states every number that the model needs and that no part has by default: lengths,
//            bores, wave speed or wall of both lines, outlet, jet, seat, plunger, coil, and the
//            place behind the seed. A part with a few keys only is a slip of the name, or a part of
//            the catalog with changes
//
// Errors   InputError: an own section that lacks a key, with the file and line of the table that
//          lacks it and the key; a name that nothing knows where most keys are missing too
// Checked  tests/sim/command/attachment_input_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/text/document.h"

namespace sim::scenario {

/// Whether the document's attachment is one of its own. It is then whole, and bears the name
/// `words` where it states none.
bool take_own_attachment(text::Node& document, const std::filesystem::path& folder,
                         const std::string& words);

}  // namespace sim::scenario
