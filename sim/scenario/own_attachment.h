// An attachment of the user's own: a section [attachment] that states the whole part, so that no
// catalog entry is needed.
//
//   own      its `name` is not in the catalog, or it has no name
//   whole    it states every number that the model needs and that has no default: lengths, bores,
//            wave speed or wall of both lines, outlet, jet, seat, plunger, coil, and the distance
//            behind the seed. A section with a few keys only is either a mistyped name or a part of
//            the catalog with changes
//
// Errors   InputError: an own section that lacks a key, with the key and with file and line of the
//          table that lacks it; an unknown name if more than half of the keys are missing too
// Checked  tests/sim/command/attachment_input_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/text/document.h"

namespace sim::scenario {

/// Whether the document's attachment is the user's own. If so it is complete, and gets the name
/// `words` if it states none.
bool take_own_attachment(text::Node& document, const std::filesystem::path& folder,
                         const std::string& words);

}  // namespace sim::scenario
