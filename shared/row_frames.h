/* Frames between the tractor's bus, the machine controller and the rows, byte by byte: with
 * shared/controller_abi.h all that a controller is written from. `sillion list frames` prints the
 * same.
 *
 * Common to all
 *   Numbers are little endian, signed ones in two's complement. Bytes count from 0, bits from the
 *   lowest. sillion_frame.length is the length given here, sillion_frame.sender the row's number,
 *   255 (machine controller) or 254 (bus); the bench fills in the sender of what a controller
 *   sends. Machine controller and rows meet every 10 ms: a frame that is sent between two of these
 *   instants arrives at the next one, at the rows in order of sending. A scenario may lose, repeat,
 *   delay or corrupt frames.
 *
 * What a receiver must do
 *   Take nothing of a frame with another length or sender than stated, or with a value that no
 *   planter has (speed beyond 20 m/s, yaw rate beyond 2 rad/s, rate beyond 1000 l/ha, pressure
 *   beyond 100 bar, flow beyond 0.5 l/s): count it in health.bad_frames, report
 *   SILLION_EVENT_BAD_FRAME, go on with what it had. Ignore ids that it does not know.
 *   Our own frames carry a sequence number. Take one that is 1 to 32767 ahead of the last, modulo
 *   65536; drop one that is the same or up to 64 behind (repeated, overtaken) and count it; take
 *   one that is further behind: its sender has started anew.
 *   A row closes its valve while its speed is unknown: none has come yet, it is older than
 *   speed_timeout_ms of the configuration (age at sending included), or its time of validity is
 *   over. A firing instant never crosses these links.
 *
 * The 29-bit id of a bus frame (ISO 11783-3): priority << 26 | parameter group << 8 | source. The
 * bench sends the ids below, with the source of a tractor's controller (0xF0) and of a receiver for
 * satellite navigation (0). On a real bus mask priority and source: (id & 0x03FFFF00).
 *
 * At the start
 *   1. sillion_describe(SILLION_ROLE_MACHINE), then sillion_init for the machine; the same for each
 *      row in order of its number. start_ticks of the configuration is the counter at that instant.
 *   2. The first tick comes period_ticks later; edges and frames may come before it.
 *   3. The first bus frames reach the machine at once, its answer the rows 10 ms later: until then
 *      a row knows no speed.
 *   4. The regulator begins at its lowest pressure and follows pressure_setpoint_pa from the first
 *      10 ms on that has one.
 *
 * Sources: ISO 11783-10, process data message (parameter group 0xCB00), and ISO 11783-11, data
 * dictionary identifier 1 with its unit; ISO 11783-7, ground-based speed and distance (parameter
 * group 65097, SPN 1859 to 1861); course and speed over ground, rapid update (parameter group
 * 129026, IEC 61162-3). All from memory, compared with open implementations, not with the
 * standards' own text: of the process data message the bytes as an open task controller sends
 * them (command value is 3, the element begins in the upper half of byte 0), of identifier 1 name
 * and resolution as its data dictionary has them. From memory alone: priority 3 and the addresses
 * 0x80 and 0xF7.
 * Checked: tests/controller/frame_examples_test.cc, tests/sim/scenario/frame_catalog_test.cc
 */
#ifndef SILLION_ROW_FRAMES_H
#define SILLION_ROW_FRAMES_H

#include <stdint.h>

enum {
  SILLION_BUS_GROUND_SPEED = 0x0CFE49F0, /* priority 3, parameter group 65097, source 240 */
  SILLION_BUS_COURSE_SPEED = 0x09F80200, /* priority 2, parameter group 129026, source 0 */
  SILLION_BUS_RATE = 0x0CCB80F7, /* priority 3, parameter group 0xCB00 to 0x80, source 0xF7 */
  SILLION_FRAME_MOTION = 0x101,
  SILLION_FRAME_SETPOINT = 0x102,
  SILLION_FRAME_ROW_REPORT = 0x201
};

/* GROUND SPEED, id 0x0CFE49F0, 8 bytes: tractor's bus to the machine controller, every 100 ms (the
 * scenario's noise.speed_period)
 *   0-1         speed             0.001 m/s, unsigned
 *               without sign; 0xFB00 and above is no speed (0xFE00 to 0xFEFF error, 0xFF00 and
 *               above not available)
 *   2-5         distance          0.001 m, unsigned
 *               distance travelled; the bench sends 0xFFFFFFFF (not available)
 *   6           reserved          -
 *               0xFF
 *   7 bits 0-1  direction         -
 *               0 reverse, 1 forward, 2 error, 3 not available
 *   7 bits 2-7  reserved          -
 *               all 1
 * A speed with direction 2 or 3 is none: it cannot be shown to be forward.
 * Example: 4.444 m/s forwards
 *   5c 11 ff ff ff ff ff fd
 */

/* COURSE AND SPEED, id 0x09F80200, 8 bytes: tractor's bus to the machine controller, right after
 * each ground speed
 *   0           sequence id       -
 *               ties frames of one instant together; the bench sends 0xFF (not available)
 *   1 bits 0-1  course reference  -
 *               0 true north, 1 magnetic, 2 error, 3 not available
 *   1 bits 2-7  reserved          -
 *               all 1
 *   2-3         course            1e-4 rad, unsigned
 *               over ground, clockwise from north, 0 to 62831; above 62832 is no course
 *   4-5         speed             0.01 m/s, unsigned
 *               over ground, without sign; 0xFB00 and above is no speed
 *   6-7         reserved          -
 *               0xFFFF
 * Its speed serves only where no ground speed has come for a second.
 * Example: due east (1.5708 rad), 4.44 m/s
 *   ff fc 5c 3d bc 01 ff ff
 */

/* RATE, id 0x0CCB80F7, 8 bytes: task controller in the cab to the machine controller, at each
 * change of the rate and every second; only where the scenario states [[rate.zone]]
 *   0 bits 0-3  command           -
 *               3 value; a frame with another command is none of these
 *   0 bits 4-7  element           unsigned
 *               its lowest 4 bits; the bench sends element 1
 *   1           element, rest     unsigned
 *               its upper 8 bits
 *   2-3         identifier        unsigned
 *               of the data dictionary: 1, set point volume per area application rate; a frame with
 *               another identifier is none of these
 *   4-7         rate              0.01 mm3/m2, signed
 *               volume per area of the field; 1 l/ha is 10000. The rate in the band is this times
 *               spacing over band length, or this where bands touch and in the continuous stream;
 *               0: nothing is laid
 * Example: element 1, 23.385 l/ha (46.77 l/ha in bands of 75 mm every 150 mm)
 *   13 00 01 00 7a 91 03 00
 */

/* MOTION, id 0x101, 16 bytes: machine controller to all rows, at each new speed and at the latest
 * 100 ms after the last
 *   0-1         sequence          unsigned
 *               one higher with each frame; 65535 is followed by 0
 *   2-3         valid for         ms, unsigned
 *               the speed is unknown once this time has passed without another frame
 *   4-5         age               ms, unsigned
 *               age of the measurement when the frame is sent
 *   6           inputs            bits
 *               the machine's digital inputs, SILLION_INPUT_*
 *   7           acceleration      0.02 m/s2, signed
 *               limited to -127 and 127; -128 is not known: take 0
 *   8-11        speed             um/s, signed
 *               of the machine's middle, negative backwards, at the time of sending less the age;
 *               the row extrapolates it with the acceleration
 *   12-15       yaw rate          urad/s, signed
 *               positive in a right-hand turn: a row's speed is speed - yaw rate * row_y
 * Example: sequence 4660, valid for 500 ms, 7 ms old, lowered and in run, -0.5 m/s2, backwards at
 * 1.234567 m/s, turning right by 0.074074 rad/s
 *   34 12 f4 01 07 00 05 e7 79 29 ed ff 5a 21 01 00
 */

/* SET POINT, id 0x102, 16 bytes: machine controller to all rows, every 100 ms
 *   0-1         sequence          unsigned
 *               one higher with each frame; 65535 is followed by 0
 *   2-3         valid for         ms, unsigned
 *               the row's own configuration applies once this time has passed without another frame
 *   4-7         in-band rate      nm, unsigned
 *               volume per area of the band; 1 l/ha is 100 nm; 0: keep the valve closed
 *   8-11        pressure          Pa, unsigned
 *               set point of the regulator, gauge; after a change of the rate what the machine
 *               measures, until that has come to the set point
 *   12-15       machine's clock   us, unsigned
 *               at the time of sending, wraps; a row compares its own clock with it
 * Example: sequence 7, valid for 1 s, 46.77 l/ha (5 gal/ac), 2.8 bar, sent at 1.234567 s
 *   07 00 e8 03 45 12 00 00 c0 45 04 00 87 d6 12 00
 */

/* ROW REPORT, id 0x201, 16 bytes: row to the machine controller, every 200 ms
 *   0-1         sequence          unsigned
 *               one higher with each frame; 65535 is followed by 0
 *   2           row               unsigned
 *               number of the row, from 0; the same as the sender of the frame
 *   3           state             bits
 *               1 the measured flow is valid, 2 safe closed, 4 continuous stream, 8 the row sets
 *               its own lift; the upper four are the row's resets, modulo 16
 *   4-5         alarms            bits
 *               enum sillion_alarm
 *   6-7         seeds             unsigned
 *               accepted edges since the row's start; 65535 is followed by 0
 *   8-9         bands             unsigned
 *               openings of the valve since the row's start; 65535 is followed by 0
 *   10-12       flow              mm3/s, unsigned
 *               flow in the band, by the row's meter
 *   13-15       expected flow     mm3/s, unsigned
 *               the wanted flow where the row sets its own lift, else the table's flow at the
 *               pressure set point; mean over the window of the measurement
 * Example: sequence 258, row 3, flow valid and own lift, low flow and worn, 70 000 seeds, 69 000
 * bands, 15800 of 16000 mm3/s
 *   02 01 03 09 44 00 70 11 88 0d b8 3d 00 80 3e 00
 */

/* CONVERTER CHANNELS of sillion_input.analog_counts: counts = value / full scale * (2^analog_bits -
 * 1), rounded, from 0 to its end; full scale of each channel in the configuration, in its unit
 *   0           pressure          Pa
 *               gauge pressure of the supply at the row's hose; for the machine's role, behind the
 *               regulator
 *   1           supply voltage    mV
 *               voltage at the row's driver; for the machine's role, of the battery
 *   2           coil current      mA
 *               current through the valve's coil; 0 for the machine's role
 * Example: 12.6 V at a full scale of 32000 mV and 10 bits is 403 counts.
 *
 * DIGITAL INPUTS of sillion_input.digital, and byte 6 of motion
 *   1           lowered           bit
 *               the planter is in work position
 *   2           row enabled       bit
 *               this row is switched on
 *   4           run               bit
 *               the machine is in run, not in hold
 */

#endif
