// Each file is read once while one of these lives, whoever asks and from whatever thread: the cells
// of a study are thousands of scenarios over the same base and the same catalogs, and all of them
// shall see the same text, also where somebody saves a file while the study runs.
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

/// What `read` makes of the file: read now, or as it was kept while a ReadOnce lives.
Node read_once(const std::filesystem::path& file,
               const std::function<Node(const std::filesystem::path&)>& read);

}  // namespace sim::text
