#include "sim/output/hash.h"

#include <sodium/crypto_hash_sha256.h>
#include <sodium/utils.h>

#include <array>
#include <cstring>

#include "sim/output/hash_base64.h"
#include "sim/output/hash_of_parts.h"

namespace sim::output {
namespace {

using Digest = std::array<unsigned char, crypto_hash_sha256_BYTES>;

std::string hex_of(const Digest& digest) {
  std::string hex;
  for (const unsigned char byte : digest) {
    hex.push_back("0123456789abcdef"[byte >> 4]);
    hex.push_back("0123456789abcdef"[byte & 0xf]);
  }
  return hex;
}

const unsigned char* bytes_in(std::string_view bytes) {
  return reinterpret_cast<const unsigned char*>(bytes.data());
}

/// libsodium's state as it lies in the room of a HashOfParts, which is plain bytes.
template <class Change>
void with_state(std::array<std::uint64_t, 16>& room, const Change& change) {
  crypto_hash_sha256_state state;
  static_assert(sizeof state <= sizeof room);
  std::memcpy(&state, room.data(), sizeof state);
  change(state);
  std::memcpy(room.data(), &state, sizeof state);
}

}  // namespace

std::string sha256_hex(std::string_view bytes) {
  Digest digest{};
  crypto_hash_sha256(digest.data(), bytes_in(bytes), bytes.size());
  return hex_of(digest);
}

std::string sha256_base64(std::string_view bytes) {
  constexpr int kForm = sodium_base64_VARIANT_ORIGINAL;
  Digest digest{};
  crypto_hash_sha256(digest.data(), bytes_in(bytes), bytes.size());
  std::array<char, sodium_base64_ENCODED_LEN(crypto_hash_sha256_BYTES, kForm)> text{};
  sodium_bin2base64(text.data(), text.size(), digest.data(), digest.size(), kForm);
  return text.data();
}

std::string short_hash_hex(std::string_view bytes) { return sha256_hex(bytes).substr(0, 16); }

HashOfParts::HashOfParts() {
  with_state(state_, [](auto& state) { crypto_hash_sha256_init(&state); });
}

void HashOfParts::add(std::string_view bytes) {
  with_state(state_, [&](auto& state) {
    crypto_hash_sha256_update(&state, bytes_in(bytes), bytes.size());
  });
}

std::string HashOfParts::short_hex() {
  Digest digest{};
  with_state(state_, [&](auto& state) { crypto_hash_sha256_final(&state, digest.data()); });
  return hex_of(digest).substr(0, 16);
}

}  // namespace sim::output
