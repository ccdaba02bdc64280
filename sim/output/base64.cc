#include "sim/output/base64.h"

#include <sodium/utils.h>

namespace sim::output {

std::string base64_of(std::string_view bytes) {
  constexpr int kForm = sodium_base64_VARIANT_ORIGINAL;
  std::string text(sodium_base64_encoded_len(bytes.size(), kForm), '\0');  // with a zero behind it
  sodium_bin2base64(text.data(), text.size(), reinterpret_cast<const unsigned char*>(bytes.data()),
                    bytes.size(), kForm);
  text.pop_back();
  return text;
}

}  // namespace sim::output
