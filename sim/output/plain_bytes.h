// Records of plain structures as bytes, for the ledger (sim/output/ledger.h): what is read back is
// what was written to the bit, not-a-number and infinity included.
//
//   A structure is copied as it lies in memory; the bytes between its figures are zero. A build
//   whose structures have another layout has another program hash, so its ledger is refused.
//   A list has its length before it.
//
// Errors   Damaged: the bytes are not a whole record of this form
// Checked  tests/sim/output/plain_bytes_test.cc
#pragma once

#include <cstdint>
#include <cstring>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

namespace sim::output {

struct Damaged {};

class PlainWriter {
 public:
  template <class Plain>
  void put(Plain value) {
    static_assert(std::is_trivially_copyable_v<Plain>);
#if __has_builtin(__builtin_clear_padding)
    __builtin_clear_padding(&value);
#endif
    bytes.append(reinterpret_cast<const char*>(&value), sizeof value);
  }
  template <class Plain>
  void put_list(const std::vector<Plain>& list) {
    put(static_cast<std::uint64_t>(list.size()));
    for (const Plain& one : list) put(one);
  }

  std::string bytes;
};

class PlainReader {
 public:
  explicit PlainReader(std::string_view bytes) : rest_(bytes) {}

  template <class Plain>
  void get(Plain& value) {
    static_assert(std::is_trivially_copyable_v<Plain>);
    if (rest_.size() < sizeof value) throw Damaged{};
    std::memcpy(&value, rest_.data(), sizeof value);
    rest_.remove_prefix(sizeof value);
  }
  template <class Plain>
  void get_list(std::vector<Plain>& list) {
    list.resize(length_of(sizeof(Plain)));
    for (Plain& one : list) get(one);
  }
  /// The length of a list whose elements take at least `least_bytes` each.
  std::size_t length_of(std::size_t least_bytes) {
    std::uint64_t length = 0;
    get(length);
    if (length > rest_.size() / least_bytes) throw Damaged{};
    return static_cast<std::size_t>(length);
  }
  /// Nothing may be left.
  void end() const {
    if (!rest_.empty()) throw Damaged{};
  }

 private:
  std::string_view rest_;
};

}  // namespace sim::output
