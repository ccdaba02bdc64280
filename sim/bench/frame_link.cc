#include "sim/bench/frame_link.h"

#include <algorithm>
#include <iterator>

#include "sim/scenario/faults/catalog.h"

namespace sim::bench {

FrameLink::FrameLink(const scenario::Scenario& scenario, int row, const RandomStream& stream)
    : scenario_(scenario), row_(row), stream_(stream), faulty_(!scenario.faults.empty()) {}

std::vector<sillion_frame> FrameLink::to_row(const std::vector<sillion_frame>& sent,
                                             shared::Instant at) {
  return carry(down_, sent, at);
}

std::vector<sillion_frame> FrameLink::to_machine(const std::vector<sillion_frame>& sent,
                                                 shared::Instant at) {
  return carry(up_, sent, at);
}

scenario::FrameSeam FrameLink::bend(std::uint64_t draw, shared::Instant at) const {
  const auto of = [&](Purpose purpose) { return stream_.uniform_ratio(purpose, draw); };
  return scenario::bend_frame(scenario_, row_, at.seconds(),
                              {.lost_uniform_ratio = of(Purpose::kFrameLost),
                               .late_uniform_ratio = of(Purpose::kFrameLate),
                               .repeated_uniform_ratio = of(Purpose::kFrameRepeated),
                               .reordered_uniform_ratio = of(Purpose::kFrameReordered),
                               .corrupted_uniform_ratio = of(Purpose::kFrameCorrupted),
                               .short_uniform_ratio = of(Purpose::kFrameShort)});
}

void FrameLink::damage(const scenario::FrameSeam& seam, std::uint64_t draw,
                       sillion_frame& frame) const {
  if (frame.length == 0) return;
  if (seam.corrupted) {
    const auto bit = static_cast<unsigned>(stream_.uniform_ratio(Purpose::kFrameFlippedBit, draw) *
                                           (8.0 * frame.length));
    frame.bytes[bit / 8] = static_cast<std::uint8_t>(frame.bytes[bit / 8] ^ (1u << (bit % 8)));
  }
  if (seam.cut)
    frame.length =
        static_cast<std::uint8_t>(stream_.uniform_ratio(Purpose::kFrameCutTo, draw) * frame.length);
}

std::vector<sillion_frame> FrameLink::carry(Direction& way, const std::vector<sillion_frame>& sent,
                                            shared::Instant at) {
  if (!faulty_) return sent;
  std::vector<sillion_frame> arrive;
  for (const UnderWay& one : way.late)
    if (one.due <= at) arrive.push_back(one.frame);
  std::erase_if(way.late, [&](const UnderWay& one) { return one.due <= at; });
  for (sillion_frame frame : sent) {
    const std::uint64_t draw = 2 * way.frames++ + way.first_draw;
    const scenario::FrameSeam seam = bend(draw, at);
    if (seam.lost) continue;
    damage(seam, draw, frame);
    if (seam.late_s > 0.0) {
      way.late.push_back({frame, at + shared::Duration{shared::nanoseconds_of(seam.late_s)}});
      continue;
    }
    const auto same_kind = [&](const sillion_frame& one) { return one.id == frame.id; };
    const auto waits = std::find_if(way.overtaken.begin(), way.overtaken.end(), same_kind);
    if (seam.reordered && waits == way.overtaken.end()) {
      way.overtaken.insert(way.overtaken.end(), seam.repeated ? 2 : 1, frame);
      continue;
    }
    arrive.insert(arrive.end(), seam.repeated ? 2 : 1, frame);
    std::copy_if(way.overtaken.begin(), way.overtaken.end(), std::back_inserter(arrive), same_kind);
    std::erase_if(way.overtaken, same_kind);
  }
  return arrive;
}

}  // namespace sim::bench
