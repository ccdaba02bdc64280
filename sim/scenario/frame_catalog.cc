#include "sim/scenario/frame_catalog.h"

#include "shared/controller_abi.h"
#include "shared/row_frames.h"

namespace sim::scenario {
namespace {

constexpr FrameField kGroundSpeed[] = {
    {"0-1", "speed", "0.001 m/s, unsigned",
     "without sign; 0xFB00 and above is no speed (0xFE00 to 0xFEFF error, 0xFF00 and above not "
     "available)"},
    {"2-5", "distance", "0.001 m, unsigned",
     "distance travelled; the bench sends 0xFFFFFFFF (not available)"},
    {"6", "reserved", "-", "0xFF"},
    {"7 bits 0-1", "direction", "-", "0 reverse, 1 forward, 2 error, 3 not available"},
    {"7 bits 2-7", "reserved", "-", "all 1"},
};

constexpr FrameField kCourseSpeed[] = {
    {"0", "sequence id", "-",
     "ties frames of one instant together; the bench sends 0xFF (not available)"},
    {"1 bits 0-1", "course reference", "-", "0 true north, 1 magnetic, 2 error, 3 not available"},
    {"1 bits 2-7", "reserved", "-", "all 1"},
    {"2-3", "course", "1e-4 rad, unsigned",
     "over ground, clockwise from north, 0 to 62831; above 62832 is no course"},
    {"4-5", "speed", "0.01 m/s, unsigned",
     "over ground, without sign; 0xFB00 and above is no speed"},
    {"6-7", "reserved", "-", "0xFFFF"},
};

constexpr FrameField kRate[] = {
    {"0 bits 0-3", "command", "-", "3 value; a frame with another command is none of these"},
    {"0 bits 4-7", "element", "unsigned", "its lowest 4 bits; the bench sends element 1"},
    {"1", "element, rest", "unsigned", "its upper 8 bits"},
    {"2-3", "identifier", "unsigned",
     "of the data dictionary: 1, set point volume per area application rate; a frame with another "
     "identifier is none of these"},
    {"4-7", "rate", "0.01 mm3/m2, signed",
     "volume per area of the field; 1 l/ha is 10000. The rate in the band is this times spacing "
     "over band length, or this where bands touch and in the continuous stream; 0: nothing is "
     "laid"},
};

constexpr FrameField kMotion[] = {
    {"0-1", "sequence", "unsigned", "one higher with each frame; 65535 is followed by 0"},
    {"2-3", "valid for", "ms, unsigned",
     "the speed is unknown once this time has passed without another frame"},
    {"4-5", "age", "ms, unsigned", "age of the measurement when the frame is sent"},
    {"6", "inputs", "bits", "the machine's digital inputs, SILLION_INPUT_*"},
    {"7", "acceleration", "0.02 m/s2, signed",
     "limited to -127 and 127; -128 is not known: take 0"},
    {"8-11", "speed", "um/s, signed",
     "of the machine's middle, negative backwards, at the time of sending less the age; the row "
     "extrapolates it with the acceleration"},
    {"12-15", "yaw rate", "urad/s, signed",
     "positive in a right-hand turn: a row's speed is speed - yaw rate * row_y"},
};

constexpr FrameField kSetPoint[] = {
    {"0-1", "sequence", "unsigned", "one higher with each frame; 65535 is followed by 0"},
    {"2-3", "valid for", "ms, unsigned",
     "the row's own configuration applies once this time has passed without another frame"},
    {"4-7", "in-band rate", "nm, unsigned",
     "volume per area of the band; 1 l/ha is 100 nm; 0: keep the valve closed"},
    {"8-11", "pressure", "Pa, unsigned",
     "set point of the regulator, gauge; after a change of the rate what the machine measures, "
     "until that has come to the set point"},
    {"12-15", "machine's clock", "us, unsigned",
     "at the time of sending, wraps; a row compares its own clock with it"},
};

constexpr FrameField kRowReport[] = {
    {"0-1", "sequence", "unsigned", "one higher with each frame; 65535 is followed by 0"},
    {"2", "row", "unsigned", "number of the row, from 0; the same as the sender of the frame"},
    {"3", "state", "bits",
     "1 the measured flow is valid, 2 safe closed, 4 continuous stream, 8 the row sets its own "
     "lift; the upper four are the row's resets, modulo 16"},
    {"4-5", "alarms", "bits", "enum sillion_alarm"},
    {"6-7", "seeds", "unsigned", "accepted edges since the row's start; 65535 is followed by 0"},
    {"8-9", "bands", "unsigned",
     "openings of the valve since the row's start; 65535 is followed by 0"},
    {"10-12", "flow", "mm3/s, unsigned", "flow in the band, by the row's meter"},
    {"13-15", "expected flow", "mm3/s, unsigned",
     "the wanted flow where the row sets its own lift, else the table's flow at the pressure set "
     "point; mean over the window of the measurement"},
};

constexpr FrameKind kFrames[] = {
    {"ground speed", SILLION_BUS_GROUND_SPEED, 8,
     "tractor's bus to the machine controller, every 100 ms (the scenario's noise.speed_period)",
     kGroundSpeed},
    {"course and speed", SILLION_BUS_COURSE_SPEED, 8,
     "tractor's bus to the machine controller, right after each ground speed", kCourseSpeed},
    {"rate", SILLION_BUS_RATE, 8,
     "task controller in the cab to the machine controller, at each change of the rate and every "
     "second; only where the scenario states [[rate.zone]]",
     kRate},
    {"motion", SILLION_FRAME_MOTION, 16,
     "machine controller to all rows, at each new speed and at the latest 100 ms after the last",
     kMotion},
    {"set point", SILLION_FRAME_SETPOINT, 16, "machine controller to all rows, every 100 ms",
     kSetPoint},
    {"row report", SILLION_FRAME_ROW_REPORT, 16, "row to the machine controller, every 200 ms",
     kRowReport},
};

constexpr InterfaceInput kAnalog[] = {
    {"pressure", 0, "Pa",
     "gauge pressure of the supply at the row's hose; for the machine's role, behind the "
     "regulator"},
    {"supply voltage", 1, "mV",
     "voltage at the row's driver; for the machine's role, of the battery"},
    {"coil current", 2, "mA", "current through the valve's coil; 0 for the machine's role"},
};

constexpr InterfaceInput kDigital[] = {
    {"lowered", SILLION_INPUT_LOWERED, "bit", "the planter is in work position"},
    {"row enabled", SILLION_INPUT_ROW_ENABLED, "bit", "this row is switched on"},
    {"run", SILLION_INPUT_RUN, "bit", "the machine is in run, not in hold"},
};

}  // namespace

std::span<const FrameKind> frame_kinds() { return kFrames; }
std::span<const InterfaceInput> analog_channels() { return kAnalog; }
std::span<const InterfaceInput> digital_inputs() { return kDigital; }

}  // namespace sim::scenario
