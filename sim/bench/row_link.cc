#include "sim/bench/row_link.h"

namespace sim::bench {
namespace {

std::vector<sillion_frame> over(std::optional<RadioChannel>& air,
                                const std::vector<SentFrame>& sent, shared::Instant at) {
  if (air) return air->carry(sent, at);
  std::vector<sillion_frame> frames;
  frames.reserve(sent.size());
  for (const SentFrame& one : sent) frames.push_back(one.frame);
  return frames;
}

}  // namespace

RowLink::RowLink(const scenario::Scenario& scenario, int row, const RandomStream& stream)
    : faults_(scenario, row, stream) {
  const scenario::RadioSection& radio = scenario.network.radio;
  if (radio.period_s == 0.0) return;
  down_.emplace(radio, stream, 0);
  up_.emplace(radio, stream, 1);
}

std::vector<sillion_frame> RowLink::to_row(const std::vector<SentFrame>& sent, shared::Instant at) {
  return faults_.to_row(over(down_, sent, at), at);
}

std::vector<sillion_frame> RowLink::to_machine(const std::vector<SentFrame>& sent,
                                               shared::Instant at) {
  return faults_.to_machine(over(up_, sent, at), at);
}

}  // namespace sim::bench
