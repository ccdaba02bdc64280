// The keys of [network]: radio, cab bus and what electronics draw.
#include "sim/scenario/sections.h"

namespace sim::scenario {
namespace {

constexpr text::Range kShare{0.0, 1.0};

void describe(RadioSection& radio, text::Fields& f) {
  f.quantity("period", radio.period_s, text::Kind::kTime, {0.0, 10.0},
             "period of the time slots; 0: no radio is simulated");
  f.quantity("slot", radio.slot_s, text::Kind::kTime, {0.0, 1.0, true},
             "length of a time slot: the machine's first, then one for each row");
  f.quantity("bit_rate", radio.rate_bitps, text::Kind::kBitRate, {100.0, 1e9},
             "bit rate on the air");
  f.whole("overhead", radio.overhead_bytes, 0, 1000,
          "bytes on the air that each frame has besides its own: preamble, address, check sum");
  f.whole("queue", radio.queue_frames, 1, 1000,
          "frames that may wait in a station for its time slot; one more fails");
  f.quantity("latency", radio.latency_s, text::Kind::kTime, {0.0, 10.0},
             "time from the end of a frame on the air to its receipt");
  f.quantity("latency_scatter", radio.scatter_s, text::Kind::kTime, {0.0, 10.0},
             "mean of an exponential part that is added to the latency of each frame");
  f.ratio("worsens", radio.worsens_ratio, kShare,
          "chance per frame that a good channel is bad at the next frame");
  f.ratio("recovers", radio.recovers_ratio, kShare,
          "chance per frame that a bad channel is good at the next frame");
  f.ratio("lost_good", radio.lost_good_ratio, kShare, "share of frames that a good channel loses");
  f.ratio("lost_bad", radio.lost_bad_ratio, kShare, "share of frames that a bad channel loses");
  f.ratio("repeated", radio.repeated_ratio, kShare, "share of frames that arrive twice");
}

void describe(CabSection& cab, text::Fields& f) {
  f.flag("simulated", cab.simulated,
         "true: speed and course reach the machine's controller over a CAN bus");
  f.ratio("load", cab.load_ratio, {0.0, 0.99},
          "share of the bus's time that frames of other nodes ask for");
  f.special("load_ids", "[0x0CF00400, 0x18FEF100]",
            "29-bit identifiers of those frames, one node for each");
  f.ratio("bit_errors", cab.bit_error_ratio, {0.0, 0.1},
          "chance per bit that a frame is destroyed there");
  f.quantity("own_period", cab.own_period_s, text::Kind::kTime, {0.001, 10.0},
             "period of the frame that the machine's own node sends on the bus");
}

void describe(PowerSection& power, text::Fields& f) {
  f.quantity("awake", power.awake_a, text::Kind::kCurrent, {0.0, 10.0},
             "current of a row's controller while it works on a call");
  f.quantity("asleep", power.asleep_a, text::Kind::kCurrent, {0.0, 10.0},
             "current of a row's controller between its calls");
  f.quantity("call", power.call_s, text::Kind::kTime, {0.0, 0.1},
             "time for which one call keeps the controller awake");
  f.quantity("transmit", power.transmit_a, text::Kind::kCurrent, {0.0, 10.0},
             "current of a row's radio while it sends");
  f.quantity("receive", power.receive_a, text::Kind::kCurrent, {0.0, 10.0},
             "current of a row's radio while it listens, in the machine's time slot");
}

}  // namespace

void describe(NetworkSection& network, text::Fields& f) {
  f.flag("acknowledged", network.acknowledged,
         "without a radio: true: a sender learns that its frame was lost, as on a bus; false: it "
         "does not");
  f.begin("radio", "time slots, air time and losses between machine and rows");
  describe(network.radio, f);
  f.end();
  f.begin("cab", "the bus on which speed and course come");
  describe(network.cab, f);
  f.end();
  f.begin("power", "what a row's electronics draw");
  describe(network.power, f);
  f.end();
}

}  // namespace sim::scenario
