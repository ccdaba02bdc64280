/* Frames between machine controller, rows and the tractor's bus: ids and layouts, fixed.
 * Numbers are little endian.
 *
 * Bus in    0x0CFE49F0: ground-based speed and distance, ISO 11783-7 (PGN 65097):
 *             bytes 0-1 speed 0.001 m/s (above 0xFAFF: not a speed), 2-5 distance 0.001 m,
 *             byte 7 bits 0-1 direction (0 reverse, 1 forward, 2 error, 3 not available)
 *           0x09F80200: course and speed over ground, PGN 129026:
 *             byte 1 bits 0-1 reference, 2-3 course 1e-4 rad, 4-5 speed 0.01 m/s
 * Rows      our own, below. Each carries a sequence number and how long it holds; a row drops a
 *           frame out of sequence.
 */
#ifndef SILLION_ROW_FRAMES_H
#define SILLION_ROW_FRAMES_H

#include <stdint.h>

enum {
  SILLION_BUS_GROUND_SPEED = 0x0CFE49F0,
  SILLION_BUS_COURSE_SPEED = 0x09F80200,
  SILLION_FRAME_MOTION = 0x101,    /* machine -> rows */
  SILLION_FRAME_SETPOINT = 0x102,  /* machine -> rows */
  SILLION_FRAME_ROW_REPORT = 0x201 /* row -> machine */
};

/* SILLION_FRAME_MOTION, 16 bytes
 *  0-1  sequence          2-3  valid for, ms        4-5  age of the measurement at sending, ms
 *  6    work state bits   7    acceleration, 0.02 m/s2 a step, signed (-128: not known, 0 is meant)
 *  8-11 speed of the machine's middle, um/s, signed (negative: backwards)
 * 12-15 yaw rate, urad/s, signed, positive in a right-hand turn
 * The speed is that of sending less age; the row carries it on with the acceleration.
 *
 * SILLION_FRAME_SETPOINT, 12 bytes
 *  0-1  sequence          2-3  valid for, ms
 *  4-7  in-band rate, nm  8-11 pressure set point, Pa
 *
 * SILLION_FRAME_ROW_REPORT, 12 bytes
 *  0-1  sequence          2    row                  3    state bits
 *  4-7  flow in the band by the meter, mm3/s
 *  8-11 flow that it should be, mm3/s: the wanted one where the row sets its own lift, else the
 *       table's at the pressure set point; mean over the window of the measurement
 * State bits: 1 the measured flow is valid, 2 safe closed, 4 continuous stream, 8 the row sets its
 * own lift.
 */

#endif
