// While a ReadOnce exists, each file is read once, whichever caller and thread asks for it: the
// cells of a study are thousands of scenarios over the same base and the same catalogs, and all of
// them must see the same text, even if somebody saves a file while the study runs.
//
// Errors   none; a file that cannot be read is not kept
// Checked  tests/sim/text/read_once_test.cc
#pragma once

#include <filesystem>
#include <functional>

#include "sim/text/document.h"

namespace sim::text {

class ReadOnce {
 public:
  ReadOnce();
  ~ReadOnce();
  ReadOnce(const ReadOnce&) = delete;
  ReadOnce& operator=(const ReadOnce&) = delete;
};

/// The result of `read` for the file: read now, or the one kept while a ReadOnce exists.
Node read_once(const std::filesystem::path& file,
               const std::function<Node(const std::filesystem::path&)>& read);

}  // namespace sim::text
