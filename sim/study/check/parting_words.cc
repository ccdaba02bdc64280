#include "sim/study/check/parting_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace sim::check {
namespace {

/// "out.frames[0].bytes[8]" as "frame 0 byte 8"; any other member keeps its name.
std::string member_words(const std::string& member) {
  const std::string frames = "out.frames[";
  if (!member.starts_with(frames)) return member;
  const std::size_t end = member.find(']');
  const std::string number = member.substr(frames.size(), end - frames.size());
  const std::string rest = member.substr(end + 2);
  const std::string bytes = "bytes[";
  if (!rest.starts_with(bytes)) return fmt::format("frame {} {}", number, rest);
  return fmt::format("frame {} byte {}", number,
                     rest.substr(bytes.size(), rest.size() - bytes.size() - 1));
}

std::string place_words(const Parting& parting) {
  const std::string who =
      parting.row < 0 ? "the machine's controller" : fmt::format("row {}", parting.row);
  const std::string call = fmt::format("{}, call {}", who, parting.call);
  return std::isfinite(parting.at_s) ? call + fmt::format(", {:.6f} s", parting.at_s) : call;
}

}  // namespace

std::string parting_line(const Parting& parting) {
  if (parting.run < 0) return "every call is the reference's too: the controller is not the cause";
  if (!parting.fault.empty())
    return fmt::format("does as the reference does up to {}, in which it fails",
                       place_words(parting));
  std::string line = "parts from the reference at " + place_words(parting);
  // A different input is named first: the controller may have answered it correctly.
  const auto first = parting.differences.begin();
  if (first == parting.differences.end()) return line;
  line += fmt::format(": {} {} instead of {}", member_words(first->member), first->new_value,
                      first->old_value);
  if (parting.differences.size() > 1)
    line += fmt::format(" (and {} more)", parting.differences.size() - 1);
  if (!parting.same_input) line += "; the difference came in from outside that controller";
  return line;
}

}  // namespace sim::check
