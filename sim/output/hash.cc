#include "sim/output/hash.h"

#include <sodium/crypto_hash_sha256.h>

#include <array>

namespace sim::output {

std::string sha256_hex(std::string_view bytes) {
  std::array<unsigned char, crypto_hash_sha256_BYTES> digest{};
  crypto_hash_sha256(digest.data(), reinterpret_cast<const unsigned char*>(bytes.data()),
                     bytes.size());
  std::string hex;
  for (const unsigned char byte : digest) {
    hex.push_back("0123456789abcdef"[byte >> 4]);
    hex.push_back("0123456789abcdef"[byte & 0xf]);
  }
  return hex;
}

std::string short_hash_hex(std::string_view bytes) { return sha256_hex(bytes).substr(0, 16); }

}  // namespace sim::output
