#include "sim/bench/cab_bus.h"

#include <algorithm>
#include <limits>
#include <utility>

#include "model/reproducible_math.h"
#include "shared/row_frames.h"
#include "sim/scenario/network_keys.h"

namespace sim::bench {
namespace {

constexpr shared::Duration kBit{kCanBit_ns};
constexpr shared::Instant kNever{std::numeric_limits<std::int64_t>::max()};
constexpr std::size_t kNone = SIZE_MAX;
constexpr int kErrorSignal = 20;      // flags of 6 and 6 bits, delimiter of 8
constexpr int kRecessiveBehind = 11;  // delimiter or end of frame, with the intermission
constexpr int kSuspend = 8;
constexpr int kTypicalBits = 140;  // before the first frame of a node
constexpr std::uint8_t kBusSender = 254;

CanFrame on_wire(const sillion_frame& frame) {
  CanFrame made{.id = frame.id, .length = std::min<std::uint8_t>(frame.length, 8), .bytes = {}};
  std::copy_n(frame.bytes, made.length, made.bytes.begin());
  return made;
}

sillion_frame from_wire(const CanFrame& frame) {
  sillion_frame made{};
  made.id = frame.id;
  made.length = frame.length;
  made.sender = kBusSender;
  std::copy_n(frame.bytes.begin(), frame.length, made.bytes);
  return made;
}

}  // namespace

CabBus::CabBus(const scenario::CabSection& cab, const RandomStream& stream)
    : cab_(cab),
      stream_(stream),
      nodes_(kFirstOther + cab.load_ids.size()),
      mailboxes_(nodes_.size()),
      may_send_(nodes_.size()),
      others_(cab.load_ids.size(), Other{.next = kNever}) {}

void CabBus::offer(const sillion_frame& frame, shared::Instant at) {
  const bool speed = frame.id == SILLION_BUS_GROUND_SPEED;
  const std::size_t other = frame.id == SILLION_BUS_RATE ? kRateNode : kCourseNode;
  offers_.push_back({speed ? kSpeedNode : other, on_wire(frame), at});
  if (speed) ++counts_.speed_frames;
}

/// The frames of another node: how long after `after` the next one is ready, where one takes so
/// many bits.
void CabBus::plan_other(std::size_t other, shared::Instant after, int bits) {
  Other& node = others_[other];
  if (load_ratio_ == 0.0) {
    node.next = kNever;
    return;
  }
  const double mean_s = 1e-9 * static_cast<double>((bits + kCanIntermission) * kCanBit_ns) *
                        static_cast<double>(others_.size()) / load_ratio_;
  const std::uint64_t draw = (static_cast<std::uint64_t>(other) << 32) | node.frames;
  const double gap_s = -mean_s * model::log1p_of(-stream_.uniform_ratio(Purpose::kBusGap, draw));
  node.next = after + shared::Duration{shared::nanoseconds_of(gap_s)};
}

CanFrame CabBus::other_frame(std::size_t other) const {
  CanFrame frame{.id = cab_.load_ids[other], .length = 8, .bytes = {}};
  const std::uint64_t draw = (static_cast<std::uint64_t>(other) << 32) | others_[other].frames;
  for (std::size_t half = 0; half < 2; ++half) {
    auto drawn = static_cast<std::uint32_t>(
        stream_.uniform_ratio(Purpose::kBusData, 2 * draw + half) * 4294967296.0);
    for (std::size_t k = 0; k < 4; ++k, drawn >>= 8)
      frame.bytes[4 * half + k] = static_cast<std::uint8_t>(drawn & 0xffu);
  }
  return frame;
}

void CabBus::take_seam(const scenario::CabSeam& seam) {
  const double load_ratio = 1.0 - (1.0 - cab_.load_ratio) * seam.free_ratio;
  seam_ = seam;
  if (load_ratio != load_ratio_) {
    load_ratio_ = load_ratio;
    for (std::size_t other = 0; other < others_.size(); ++other)
      plan_other(other, free_, kTypicalBits);
  }
  if (seam_.machine_off) {
    if (!nodes_[kMachineNode].off()) ++counts_.bus_offs;
    nodes_[kMachineNode].go_off();
    empty(kMachineNode);
  }
  if (seam_.cut)
    for (std::size_t node = 0; node < nodes_.size(); ++node) empty(node);
}

void CabBus::empty(std::size_t node) {
  if (mailboxes_[node].full && node == kSpeedNode) ++counts_.speed_lost;
  mailboxes_[node].full = false;
}

void CabBus::put(std::size_t node, const CanFrame& frame, shared::Instant at) {
  empty(node);  // what waited there is overwritten
  mailboxes_[node] = {frame, true, at};
  if (nodes_[node].off() || seam_.cut) empty(node);
}

/// Takes into the mailboxes what has become ready by now.
void CabBus::fill() {
  std::size_t taken = 0;
  for (; taken < offers_.size() && offers_[taken].at <= free_; ++taken)
    put(offers_[taken].node, offers_[taken].frame, offers_[taken].at);
  offers_.erase(offers_.begin(), offers_.begin() + static_cast<std::ptrdiff_t>(taken));
  const shared::Duration period{shared::nanoseconds_of(cab_.own_period_s)};
  for (; shared::Instant{} + period * own_frames_ <= free_; ++own_frames_) {
    CanFrame own{.id = scenario::kMachineBusId, .length = 8, .bytes = {}};
    own.bytes[0] = static_cast<std::uint8_t>(own_frames_ & 0xff);
    put(kMachineNode, own, shared::Instant{} + period * own_frames_);
  }
  for (std::size_t other = 0; other < others_.size(); ++other) {
    while (others_[other].next <= free_ && !mailboxes_[kFirstOther + other].full) {
      const CanFrame frame = other_frame(other);
      put(kFirstOther + other, frame, others_[other].next);
      ++others_[other].frames;
      plan_other(other, others_[other].next, can_length_bits(frame));
    }
  }
}

/// The node whose frame wins the arbitration now; kNone: nobody may send.
std::size_t CabBus::winner() const {
  std::size_t best = kNone;
  for (std::size_t node = 0; node < nodes_.size(); ++node) {
    if (!mailboxes_[node].full || nodes_[node].off() || free_ < may_send_[node]) continue;
    if (best == kNone || mailboxes_[node].frame.id < mailboxes_[best].frame.id) best = node;
  }
  return best;
}

/// When something can change while nobody sends.
shared::Instant CabBus::next_event() const {
  shared::Instant next = offers_.empty() ? kNever : offers_.front().at;
  next =
      std::min(next, shared::Instant{} +
                         shared::Duration{shared::nanoseconds_of(cab_.own_period_s)} * own_frames_);
  for (std::size_t other = 0; other < others_.size(); ++other)
    if (!mailboxes_[kFirstOther + other].full) next = std::min(next, others_[other].next);
  for (std::size_t node = 0; node < nodes_.size(); ++node) {
    const bool held = node == kMachineNode && seam_.machine_off;
    if (nodes_[node].off() && !held)
      next = std::min(next, free_ + kBit * nodes_[node].bits_to_recovery());
    else if (mailboxes_[node].full && free_ < may_send_[node])
      next = std::min(next, may_send_[node]);
  }
  return next;
}

void CabBus::hear_recessive(std::int64_t bits) {
  for (std::size_t node = 0; node < nodes_.size(); ++node) {
    const bool held = node == kMachineNode && seam_.machine_off;
    if (nodes_[node].off() && !held) nodes_[node].sees_recessive(bits);
  }
}

void CabBus::idle_to(shared::Instant then) {
  // A part of a bit is not counted: an idle stretch ends with another bit's start.
  hear_recessive((then - free_).ns / kCanBit_ns);
  free_ = then;
}

/// The bit of the frame that comes now at which an error strikes, from 0; a large number: none.
int CabBus::error_bit() {
  const std::uint64_t attempt = attempts_++;
  if (cab_.bit_error_ratio == 0.0) return std::numeric_limits<int>::max();
  const double bits = model::log1p_of(-stream_.uniform_ratio(Purpose::kBusError, attempt)) /
                      model::log1p_of(-cab_.bit_error_ratio);  // tidy: bits
  return bits < 1e6 ? static_cast<int>(bits) : std::numeric_limits<int>::max();
}

void CabBus::destroy(std::size_t node, int bits) {
  ++counts_.errors;
  const shared::Duration took = kBit * (bits + kErrorSignal);
  counts_.busy_ns += took.ns;
  free_ = free_ + took + kBit * kCanIntermission;
  nodes_[node].frame_destroyed();
  if (nodes_[node].off()) {
    ++counts_.bus_offs;
    empty(node);
  }
  for (std::size_t other = 0; other < nodes_.size(); ++other)
    if (other != node && !nodes_[other].off()) nodes_[other].frame_missed();
}

void CabBus::transmit(std::size_t node) {
  const int bits = can_length_bits(mailboxes_[node].frame);
  const int error = error_bit();
  if (error < bits) {
    destroy(node, error + 1);
  } else {
    const shared::Instant end = free_ + kBit * bits;
    counts_.busy_ns += (end - free_).ns;
    ++counts_.frames;
    nodes_[node].frame_sent();
    for (std::size_t other = 0; other < nodes_.size(); ++other)
      if (other != node && !nodes_[other].off()) nodes_[other].frame_received();
    const bool hears = !nodes_[kMachineNode].off();
    if (node == kSpeedNode && hears) counts_.delays.add(end - mailboxes_[node].since);
    if (node == kSpeedNode && !hears) ++counts_.speed_lost;
    if ((node == kSpeedNode || node == kCourseNode || node == kRateNode) && hears)
      received_.push_back({from_wire(mailboxes_[node].frame), mailboxes_[node].since, end});
    mailboxes_[node].full = false;
    free_ = end + kBit * kCanIntermission;
  }
  if (nodes_[node].passive()) may_send_[node] = free_ + kBit * kSuspend;
  hear_recessive(kRecessiveBehind);
}

std::vector<SentFrame> CabBus::run(const scenario::CabSeam& seam, shared::Instant until) {
  take_seam(seam);
  while (free_ < until) {
    fill();
    if (const std::size_t node = winner(); node != kNone)
      transmit(node);
    else
      idle_to(std::min(until, next_event()));
  }
  std::vector<SentFrame> whole;
  for (const SentFrame& one : received_)
    if (one.left < until) whole.push_back(one);
  received_.erase(received_.begin(), received_.begin() + static_cast<std::ptrdiff_t>(whole.size()));
  return whole;
}

}  // namespace sim::bench
