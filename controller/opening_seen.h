// When the valve opened, read from the dip of its coil's current, and the trim of the lead by it.
//
//   dip       a plunger that moves induces a voltage against the drive: the current falls, or its
//             rise stops, and rises again once the plunger stands at its stop. That corner is
//             looked for: the sample with the largest change of slope, a rise over two samples
//             after it and at most a quarter of that rise per sample over three before it.
//             Straight lines on both sides meet at the instant
//   no dip    no corner of at least 8 counts per sample: nothing was seen, nothing changes
//   pulse     only a burst that began with the row's newest pulse, and over which the row drove
//             its valve all the time
//   late      seen - expected. Expected is what the table states at this flow, and 4/3 of what its
//             voltage correction adds to the lead today: that much is covered and not late, and the
//             two do not add up twice
//   trim      3/4 of what the mean of late exceeds 50 us by, either way, within 2 ms, added to the
//             lead alone. 50 us (0.2 mm at 16 km/h) is what table and row differ by in order. The
//             mean is plain over the first 16 openings, then each new one counts 1/16; 8 are
//             waited for. The liquid
//             starts with the lift and not at the stop: at 16 km/h it moves by 0.76 to 1.16 of what
//             the stop moves by (supply, hot coil, friction), by less with a weak spring
//   slow      later by 0.5 ms in the mean (2.2 mm at 16 km/h): event and alarm, until it is below
//             half of that
//
// In       counts of the burst, us          Out   us
// Errors   a table without opening_us: nothing is seen and nothing trimmed
// Source   detection of solenoid plungers by the change of the current's slope: common practice,
//          as in M. Balakrishnan, N. Kumar, "Detection of plunger movement in DC solenoids", white
//          paper SSIY001, 2015. Sizes are ours
// Checked  tests/controller/opening_seen_test.cc, tests/sim/bench/opening_trim_test.cc
#pragma once

#include <cstdint>

#include "controller/pulse_planner.h"
#include "controller/report.h"
#include "shared/controller_abi.h"

namespace controller {

inline constexpr std::uint32_t kBurstSamples = 64;
inline constexpr std::uint32_t kBurstPeriodTicks = 75;  // 4.8 ms: 1 ms beyond the slowest opening

struct OpeningSeen {
  std::int32_t late_q4_us = 0;  // 16 times the mean
  std::uint8_t openings = 0;    // in the mean, at most 16
};

/// Time from the burst's beginning to the plunger's stop; negative: the dip does not show.
std::int32_t opening_in_us(const std::uint16_t* counts, std::uint32_t count,
                           std::int32_t period_us);
/// The instant that belongs to lead and corrections in use. `opening_us`: the table's, 0: not
/// stated.
std::int32_t expected_opening_us(std::int32_t opening_us, std::int32_t voltage_lead_us);
/// Takes the burst that `in` may hold. `expected_us`: 0 where the table states none.
void take_burst(OpeningSeen& opening, const PulsePlanner& planner, const sillion_input& in,
                std::int32_t expected_us);
/// What is added to the lead.
std::int32_t opening_trim_us(const OpeningSeen& opening);
/// The mean, or 0 while too few openings are in it.
std::int32_t opening_late_us(const OpeningSeen& opening);
/// Whether the valve is slow, which it also was before or not.
bool is_slow(const OpeningSeen& opening, bool was);

}  // namespace controller
