// A table of what was computed before in this process, by the text of all that it depends on.
//
//   Several threads that ask for one key get one computation: the first begins it, the others help
//   with its parallel parts and then read it. A result is that of a pure function, so who computed
//   it does not show. An exception leaves the key unknown: whoever asks next computes it again.
//   A table that is full forgets all of its keys, which limits the memory that a long sweep uses.
//
// Errors   those of the function
// Checked  tests/sim/bench/once_table_test.cc
#pragma once

#include <oneapi/tbb/collaborative_call_once.h>

#include <cstddef>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>

namespace sim::bench {

template <typename Value>
class OnceTable {
 public:
  explicit OnceTable(std::size_t most) : most_(most) {}

  /// The value of `inputs`: known, or what `make()` gives.
  template <typename Make>
  Value value_of(const std::string& inputs, const Make& make) {
    const std::shared_ptr<Entry> entry = entry_of(inputs);
    oneapi::tbb::collaborative_call_once(entry->made, [&] { entry->value = make(); });
    return *entry->value;
  }

 private:
  struct Entry {
    oneapi::tbb::collaborative_once_flag made;
    std::optional<Value> value;
  };

  std::shared_ptr<Entry> entry_of(const std::string& inputs) {
    const std::lock_guard lock(mutex_);
    if (const auto known = entries_.find(inputs); known != entries_.end()) return known->second;
    if (entries_.size() >= most_) entries_.clear();
    return entries_.emplace(inputs, std::make_shared<Entry>()).first->second;
  }

  std::size_t most_;
  std::mutex mutex_;
  std::map<std::string, std::shared_ptr<Entry>> entries_;
};

}  // namespace sim::bench
