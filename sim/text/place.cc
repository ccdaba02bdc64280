// Where a value was written, in words, and what is wrong with it. Apart from document.cc, so that
// what reads no TOML (sim/command/browser) has these without its parser.
#include "sim/text/document.h"

namespace sim::text {

std::string Place::text() const {
  if (!set_key.empty()) return "--set " + set_key;
  return line > 0 ? file + ":" + std::to_string(line) : file;
}

void fail(const Place& place, std::string_view key, std::string_view message,
          std::string_view nearest) {
  std::string what = place.text();
  // For a command-line option that stands for a key, the message names the option alone.
  const bool option = place.set_key.empty() && place.file.starts_with("--");
  if (!key.empty() && key != place.set_key && !option) what += ": " + std::string(key);
  what += ": " + std::string(message);
  if (!nearest.empty()) what += "; nearest valid name: `" + std::string(nearest) + "`";
  throw InputError(what);
}

}  // namespace sim::text
