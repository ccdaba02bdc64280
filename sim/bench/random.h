// Random draws by key: every draw is a pure function of (rng_key, row, purpose, index), so that a
// new draw never shifts an old one, and any thread may ask in any order.
//
//   counter = (index low, index high, row, purpose), key = rng_key, Philox4x32-10
//   uniform in [0, 1) from 53 bits; normal by Box and Muller with reproducible log and cosine
//
// Source   J. K. Salmon et al., Parallel random numbers: as easy as 1, 2, 3, SC11 (Random123
//          library)
// Checked  tests/sim/bench/random_test.cc
#pragma once

#include <cstdint>

namespace sim::bench {

/// One name per stream. Numbers are part of every result: append, never reorder.
enum class Purpose : std::uint32_t {
  kMeterKind = 1,
  kMeterScatter = 2,
  kMeterGap = 3,
  kDeliveryTime = 4,
  kRestPlace = 5,
  kSensorMissed = 6,
  kSensorDoubled = 7,
  kSensorJitter = 8,
  kOutletMount = 9,
  kSensorHeight = 10,
  kOutletBore = 11,
  kTubeLength = 12,
  kCoilResistance = 13,
  kSpringPreload = 14,
  kRide = 15,
  kSpeedNoise = 16,
  kClockDrift = 17,
  kStripReading = 18,
  kRipplePhase = 19,
  kFaultEdge = 20,
  kBudgetOrder = 21,
  kSampleShare = 22,
  kNetShift = 23,
  kBenchPulse = 24,
  kBenchCurrent = 25,
  kBenchVoltage = 26,
  kEdgeDoubled = 27,
  kEdgeBurst = 28,
  kFrameLost = 29,
  kFrameLate = 30,
  kFrameRepeated = 31,
  kFrameReordered = 32,
  kFrameCorrupted = 33,
  kFrameFlippedBit = 34,
  kFrameShort = 35,
  kFrameCutTo = 36,
  kEdgeJitter = 37,
  kStorageStuck = 38,
  kStorageDamage = 39,
  kRadioState = 50,
  kRadioLost = 51,
  kRadioLatency = 52,
  kRadioRepeated = 53,
  kRadioRepeatedLatency = 54,
  kBusGap = 55,
  kBusData = 56,
  kBusError = 57,
};

/// The stream of one row of one run. The pass number keeps a strip test apart from the pass it
/// prepares.
struct RandomStream {
  std::uint64_t rng_key = 1;
  std::uint32_t row = 0;
  std::uint32_t pass = 0;

  double uniform_ratio(Purpose purpose, std::uint64_t index) const;  // [0, 1)
  double normal_ratio(Purpose purpose, std::uint64_t index) const;   // mean 0, sd 1
};

/// A new key for replica `index` of a study with key `rng_key`.
std::uint64_t replica_key(std::uint64_t rng_key, std::uint64_t index);

}  // namespace sim::bench
