/* The seam between a controller and the world, drawn like the hardware that real firmware has.
 *
 * The controller is a library that exports the three functions at the end. It owns no memory: the
 * caller gives it a block. The bench calls sillion_step at an interrupt: an edge was captured, a
 * compare matched, a frame came, or the tick ran out. The controller reads `in`, fills `out` and
 * returns; nothing calls back. Time is the controller's own counter: it wraps at counter_bits,
 * counts tick_ns nominal nanoseconds and drifts against the world.
 *
 * Order inside one call: the outputs act at in->now_ticks, in the order bridge, compare requests,
 * frames, storage. A compare request whose instant is already past is not fired: it comes back as
 * SILLION_COMPARE_PAST at once. A firing instant never crosses the radio: frames carry set points,
 * the row's own compare fires its own valve.
 *
 * Frames between controllers are handed over every 10 ms, where a scenario states a radio after
 * queue, air time and latency. Faults lose, delay, repeat, swap or damage frames. Whether a frame
 * went well is known when it has been handed over, so its count comes with the first call after
 * that. A radio's frame fails where the queue of its station is full; what the air loses counts as
 * sent. Without a radio, where the link acknowledges (network.acknowledged of a scenario, as a bus
 * does), a frame that no receiver got counts as failed.
 *
 * A burst of the coil's current begins when the bridge goes over to DRIVE from another state, and
 * goes on to its last sample whatever the bridge does then; an instant of DRIVE within it begins no
 * other. Sample k = 0, 1, ... is taken k + 1 periods of the controller's own clock after that
 * instant. At each 10 ms hand-over of frames the newest burst that is whole goes along with the
 * first call after it, once; an older one is lost. It causes no call of its own. A burst that began
 * before a start of the controller is never handed to it.
 *
 * Storage is made of pages of SILLION_PAGE_BYTES, as a serial flash or EEPROM part has them. It
 * outlives every reset. sillion_init sees all pages as they stand; later a page is read, erased or
 * programmed by a command in `out`, one at a time.
 *   read     the page comes with the next call
 *   erase    all bytes become 0xFF. Each erase of a page is counted: each one beyond the part's
 *            endurance leaves one more bit of that page at 0 for good
 *   program  new = old & data: bits go from 1 to 0 only, so a page that was not erased holds the
 *            AND of both
 * Erase and program take their time (keys of the scenario). Meanwhile storage_busy is 1 and every
 * other command is refused, which storage_refused of the next call reports. The end of a command
 * comes with the first call at or after it; it causes no call of its own. A page or a command that
 * the part does not have ends the pass. When the power fails during a write (reset causes POWER and
 * BROWN_OUT), bytes are done from the first one on as far as time went: those of a program are
 * programmed, those of an erase are 0xFF, all others are as before. After another reset the part
 * ends its write by itself, and nobody hears of it.
 *
 * A controller is written from this file and shared/row_frames.h alone: there every frame stands
 * byte by byte with an example, the converter channels with their scale, the digital inputs, what a
 * receiver must do, and what happens at the start.
 *
 * Layout is part of the contract: fixed-width members, no bit fields, no pointers inside frames.
 * C11, prefix sillion_.
 */
#ifndef SILLION_CONTROLLER_ABI_H
#define SILLION_CONTROLLER_ABI_H
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#define SILLION_ABI_VERSION 4u
enum sillion_role { SILLION_ROLE_ROW = 1, SILLION_ROLE_MACHINE = 2 };
enum {
  SILLION_EDGES_MAX = 16, /* capture FIFO as handed over in one call; overflow is flagged */
  SILLION_FRAMES_MAX = 8,
  SILLION_ANALOG_MAX = 4,
  SILLION_BURST_MAX = 64,
  SILLION_COMPARE_MAX = 4,
  SILLION_EVENTS_MAX = 8,
  SILLION_FRAME_BYTES = 16,
  SILLION_PAGE_BYTES = 64,
  SILLION_PAGES_MAX = 256,
  SILLION_TABLE_POINTS = 8,
  SILLION_CORRECTION_POINTS = 4
};

/* What the controller's hardware is: declared by the controller, read once by the bench. */
typedef struct {
  uint32_t abi_version;
  uint32_t tick_ns;          /* nominal */
  uint32_t counter_bits;     /* 16, 24 or 32 */
  uint32_t compare_channels; /* at most SILLION_COMPARE_MAX */
  /* at most SILLION_EDGES_MAX; deeper traffic is lost and flagged */
  uint32_t capture_fifo_depth;
  uint32_t analog_channels; /* 0 pressure, 1 supply voltage, 2 coil current: row_frames.h */
  uint32_t analog_bits;
  /* the converter samples all channels at once, at each multiple of 1/rate of the controller's own
   * clock since its start, and a call sees the last sample; 0: sampled at the call */
  uint32_t analog_rate_hz;
  /* a burst of the coil's current by direct memory access: so many samples, at most
   * SILLION_BURST_MAX, one per period; 0: none. Where and when: see the top */
  uint32_t burst_samples;
  uint32_t burst_period_ticks;
  /* a duty is on for its share of each period, beginning with its on part at the instant at which
   * its command acts; in between the bridge decays slowly. 0: a duty acts as its mean */
  uint32_t pwm_period_ticks;
  uint32_t period_ticks; /* of the periodic call */
  /* 1: the pin acts at the match; 0: after interrupt_latency_ticks */
  uint32_t compare_in_hardware;
  uint32_t interrupt_latency_ticks;
  uint32_t memory_bytes;  /* block that sillion_init wants, 8-byte aligned */
  uint32_t storage_pages; /* at most SILLION_PAGES_MAX; 0: no storage */
} sillion_hardware;

enum sillion_reset {
  SILLION_RESET_POWER = 1,
  SILLION_RESET_WATCHDOG = 2,
  SILLION_RESET_REQUEST = 3,
  SILLION_RESET_BROWN_OUT = 4 /* the supply fell below what the part needs, and came back */
};

enum sillion_storage_command {
  SILLION_STORAGE_NONE = 0,
  SILLION_STORAGE_READ = 1,
  SILLION_STORAGE_ERASE = 2,
  SILLION_STORAGE_PROGRAM = 3
};

/* Bridge over the valve coil. FAST_DECAY puts -supply on the coil until its current is zero;
 * REVERSE does the same without that stop. */
enum sillion_bridge {
  SILLION_BRIDGE_SLOW_DECAY = 0,
  SILLION_BRIDGE_DRIVE = 1,
  SILLION_BRIDGE_FAST_DECAY = 2,
  SILLION_BRIDGE_REVERSE = 3
};

typedef struct {
  uint16_t state;      /* enum sillion_bridge */
  uint16_t duty_q15;   /* of DRIVE; 32768 = full. With a current limit the limit wins */
  uint32_t current_ma; /* limit held by the bridge while driving; 0 = none */
} sillion_bridge_command;

typedef struct {
  uint32_t at_ticks; /* counter value, wraps; at most half a counter range ahead */
  uint8_t channel;
  uint8_t armed; /* 1: arm or move, 0: cancel */
  uint16_t reserved;
  sillion_bridge_command then; /* what the bridge does at the match */
} sillion_compare_request;
enum { SILLION_COMPARE_MATCHED = 1, SILLION_COMPARE_PAST = 2 };

typedef struct {
  uint32_t at_ticks; /* hardware time stamp, wraps */
  uint8_t rising;    /* 1: beam covered, 0: beam free */
  uint8_t reserved[3];
} sillion_edge;

typedef struct {
  /* 29-bit as in ISO 11783-3 on the bus, SILLION_FRAME_* on the row network */
  uint32_t id;
  uint32_t received_ticks; /* in: receive stamp */
  uint8_t length;
  uint8_t sender; /* row number, 255 = machine controller, 254 = bus */
  uint16_t reserved;
  uint8_t bytes[SILLION_FRAME_BYTES];
} sillion_frame;

/* Digital inputs, one bit each. */
enum { SILLION_INPUT_LOWERED = 1, SILLION_INPUT_ROW_ENABLED = 2, SILLION_INPUT_RUN = 4 };

/* Why the controller is called: one or more bits. */
enum { SILLION_WHY_TICK = 1, SILLION_WHY_EDGE = 2, SILLION_WHY_COMPARE = 4, SILLION_WHY_FRAME = 8 };

typedef struct {
  uint32_t now_ticks;
  uint32_t why;
  uint32_t edge_count;
  uint32_t edge_overflow; /* 1: edges were lost since the last call */
  sillion_edge edges[SILLION_EDGES_MAX];
  /* 0, SILLION_COMPARE_MATCHED or SILLION_COMPARE_PAST, by channel */
  uint8_t compare[SILLION_COMPARE_MAX];
  /* 0 .. 2^bits-1 over 0 .. analog_full_scale of the configuration */
  uint16_t analog_counts[SILLION_ANALOG_MAX];
  uint32_t burst_count;       /* 0: no burst in this call, else burst_samples */
  uint32_t burst_start_ticks; /* when the bridge went over to DRIVE */
  /* scale as analog channel 2 (coil current), whether or not that channel is declared */
  uint16_t burst_counts[SILLION_BURST_MAX];
  /* free-running 32-bit count of the flow meter's pulses */
  uint32_t meter_pulses;
  uint32_t meter_last_ticks; /* stamp of the newest of them */
  uint32_t digital;
  uint32_t frame_count;
  sillion_frame frames[SILLION_FRAMES_MAX];
  uint32_t frames_sent_ok;     /* whose fate became known since the last call */
  uint32_t frames_sent_failed; /* likewise: no receiver got them, and the link knows it */
  uint32_t storage_busy;       /* 1: an erase or a program is under way */
  uint32_t storage_done;       /* command that ended since the last call; 0: none */
  uint32_t storage_refused;    /* command of the last call that found the part busy; 0: none */
  uint32_t storage_page;       /* of storage_done */
  uint8_t storage[SILLION_PAGE_BYTES]; /* what a READ that is done has read, else 0 */
} sillion_input;

/* Event codes of out->events: facts for the log, not control. */
enum sillion_event {
  SILLION_EVENT_NONE = 0,
  SILLION_EVENT_QUEUE_OVERFLOW = 1,
  SILLION_EVENT_SPEED_STALE = 2,
  SILLION_EVENT_SPEED_BACK = 3,
  SILLION_EVENT_LATE_FIRING = 4,       /* a: seed number since reset, b: ticks late */
  SILLION_EVENT_EDGE_REJECTED = 5,     /* a: ticks since the last accepted edge */
  SILLION_EVENT_MERGED = 6,            /* a: seed number */
  SILLION_EVENT_NOT_RESOLVABLE = 7,    /* went to the continuous stream */
  SILLION_EVENT_TABLE_SIMULATED = 8,   /* the delay table rests on simulation only */
  SILLION_EVENT_RATE_OUT_OF_RANGE = 9, /* a: wanted, b: reachable, both in 0.1 mm3/s */
  SILLION_EVENT_BAD_FRAME = 10,
  SILLION_EVENT_NEGATIVE_DELAY = 11,
  SILLION_EVENT_SAFE_CLOSED = 12, /* a: cause bits, see enum sillion_safe_cause */
  SILLION_EVENT_SAFE_OVER = 13,   /* a: cause bits that held until now */
  /* outside a correction's range, its end is held. a: enum sillion_correction_kind, b: the value */
  SILLION_EVENT_CORRECTION_HELD = 14,
  SILLION_EVENT_CONFIG_BAD_COPY = 15, /* a: the copy of the stored configuration, 0 or 1 */
  SILLION_EVENT_CONFIG_LOST = 16,     /* both copies are bad */
  SILLION_EVENT_CONFIG_REPLACED = 17, /* by the one given at the start. a: its sequence */
  SILLION_EVENT_STORAGE_FAILED = 18,  /* a page does not hold what was written. a: the page */
  /* a: bits of enum sillion_alarm that came or went, b: the row. The row says it when it sees it,
   * the machine when a row's report says so */
  SILLION_EVENT_ALARM = 19,
  SILLION_EVENT_ALARM_OVER = 20,
  SILLION_EVENT_OPENING_LATE = 21, /* the valve has become slow. a: mean of seen - expected, us */
  /* at a start that finds counted openings of the valve. a: their number, 2147483647 at most */
  SILLION_EVENT_CYCLES_KEPT = 23,
  /* at a start of the machine that finds totals of its rows. a: seconds in which something was
   * counted, b: rows that have totals */
  SILLION_EVENT_TOTALS_KEPT = 24,
  /* with SILLION_ALARM_WORN. a: lowest in-band rate that the row can lay at its present speed, b:
   * the same by the table, both in nm */
  SILLION_EVENT_LOWEST_RATE = 25,
  /* the measured pressure does not follow its set point, for a cause that cannot be told. a: the
   * measured pressure, b: the set point, Pa */
  SILLION_EVENT_PRESSURE_ASTRAY = 26,
  /* the rows have been given a new rate. a: in band, nm, b: ms since the bus brought it */
  SILLION_EVENT_NEW_RATE = 27
};

/* What a row, or the machine, takes for broken. */
enum sillion_alarm {
  SILLION_ALARM_NO_SEEDS = 1, /* at work, and no edge on the way of 20 spacings */
  SILLION_ALARM_NO_FLOW = 2,  /* bands went out, and the meter gave no pulse */
  SILLION_ALARM_LOW_FLOW = 4,
  SILLION_ALARM_HIGH_FLOW = 8,
  SILLION_ALARM_SLOW_VALVE = 16, /* opens later than its table says, by the coil's current */
  SILLION_ALARM_EMPTY_LINE = 32, /* no pressure at the row's hose; then there is no NO_FLOW */
  SILLION_ALARM_WORN = 64,       /* the lowest rate that the row can lay has risen */
  /* the machine's own, b of the event is 255: another controller sets the same pump's pressure */
  SILLION_ALARM_SECOND_REGULATOR = 256
};

enum sillion_correction_kind { SILLION_CORRECTS_VOLTAGE = 1, SILLION_CORRECTS_VISCOSITY = 2 };

/* Why a row holds its valve closed; several causes may hold at once. A stale speed also has events
 * of its own. */
enum sillion_safe_cause {
  SILLION_SAFE_NO_SPEED = 1,    /* none yet, or older than the timeout */
  SILLION_SAFE_NOT_FORWARD = 2, /* standing or backwards */
  SILLION_SAFE_LIFTED = 4,
  SILLION_SAFE_ROW_DISABLED = 8,
  SILLION_SAFE_HOLD = 16,   /* not in run */
  SILLION_SAFE_CONFIG = 32, /* the stored configuration is lost */
  SILLION_SAFE_NO_RATE = 64 /* the rate is 0 */
};

typedef struct {
  uint32_t at_ticks;
  uint32_t code;
  int32_t a;
  int32_t b;
} sillion_event_record;

typedef struct {
  uint32_t edges_accepted;
  uint32_t edges_rejected;
  uint32_t queue_overflows;
  uint32_t late_compares;
  uint32_t bad_frames;
  uint32_t resets;
  uint32_t merged_seeds;
  uint32_t continuous_ms;
  uint32_t stale_speed_ms;
  uint32_t capture_overflows;
  /* too late to fire, or in the queue when a safe state emptied it */
  uint32_t skipped_seeds;
  uint32_t safe_closed_ms; /* in a safe state for any cause */
} sillion_health;

typedef struct {
  uint32_t bridge_valid; /* 1: set the bridge now */
  sillion_bridge_command bridge;
  uint32_t compare_count;
  sillion_compare_request compares[SILLION_COMPARE_MAX * 2];
  uint32_t frame_count;
  sillion_frame frames[SILLION_FRAMES_MAX];
  uint32_t pressure_setpoint_valid; /* machine role: drives the pressure regulator */
  uint32_t pressure_setpoint_pa;
  uint32_t storage_command;            /* enum sillion_storage_command */
  uint32_t storage_page;               /* of that command, from 0 */
  uint8_t storage[SILLION_PAGE_BYTES]; /* of PROGRAM */
  /* 1: kick. The watchdog runs from the first kick after a start; without another in its time (a
   * setting of the bench) the controller is reset, cause SILLION_RESET_WATCHDOG */
  uint32_t watchdog_kick;
  /* The next tick comes at the first multiple of period_ticks since the start that is this far or
   * further away; 0: at the next one. Each answer states it anew. Edges, compares and frames wake
   * the controller as ever, and the watchdog waits no longer */
  uint32_t sleep_ticks;
  uint32_t event_count;
  sillion_event_record events[SILLION_EVENTS_MAX];
  sillion_health health;
} sillion_output;

/* What is added to lead and lag over one variable: linear between points, the end points held
 * outside them. */
typedef struct {
  int32_t points;                        /* used entries; 0: no correction */
  int32_t at[SILLION_CORRECTION_POINTS]; /* rising, in the unit stated by its owner */
  int32_t lead_us[SILLION_CORRECTION_POINTS];
  int32_t lag_us[SILLION_CORRECTION_POINTS];
} sillion_correction;

/* Attachment table and set-up that a technician would load into the controller. Integers with
 * their scale in the name. */
typedef struct {
  int32_t delay_time_us;                     /* a of D = a + b/v at the reference band and lead */
  int32_t delay_distance_um;                 /* b */
  int32_t reference_band_um;                 /* B0 */
  int32_t reference_lead_us;                 /* T_lead0 */
  int32_t points;                            /* used entries of the table below */
  int32_t flow_mm3ps[SILLION_TABLE_POINTS];  /* in-band flow of one row, rising */
  int32_t pressure_pa[SILLION_TABLE_POINTS]; /* supply pressure that gives it */
  /* coil current set point; sets lift where lift can be set */
  int32_t current_ma[SILLION_TABLE_POINTS];
  int32_t lead_us[SILLION_TABLE_POINTS]; /* T_lead at that flow */
  int32_t lag_us[SILLION_TABLE_POINTS];  /* T_lag */
  int32_t shortest_on_us;
  int32_t shortest_closed_us;
  /* 1: the flow loop may trim the current; 0: pressure alone sets the rate */
  int32_t lift_settable;
  int32_t evidence_grade;       /* 0 simulated, 1 bench, 2 field */
  sillion_correction voltage;   /* at: supply, mV */
  sillion_correction viscosity; /* at: of the liquid, 1e-6 Pa s */
  /* factor of the table's pressures at those viscosities, in 1/4096 */
  int32_t viscosity_pressure_q12[SILLION_CORRECTION_POINTS];
  /* at: time from this row's last closing command to the opening, us: what earlier pulses left in
   * the column. Beyond the last point the pulse stands alone; no event is raised */
  sillion_correction rest;
  /* from the opening command to the instant at which the plunger reaches its stop, at that flow
   * and the voltage of the table; all 0: not stated */
  int32_t opening_us[SILLION_TABLE_POINTS];
  /* CRC-32 (ISO 3309, as in IEEE 802.3) of all members before, little endian, opening_us only where
   * it is stated; 0: not stated */
  uint32_t check_sum;
} sillion_attachment_table;

typedef struct {
  uint32_t role; /* enum sillion_role */
  uint32_t row;  /* this row, from 0 */
  uint32_t rows;
  uint32_t reset_cause; /* enum sillion_reset */
  uint32_t start_ticks; /* counter at init */
  int32_t row_y_mm;     /* right of the machine's middle positive */
  int32_t row_width_um;
  int32_t theoretical_spacing_um;
  int32_t band_length_um;    /* commanded B */
  int32_t in_band_rate_nm;   /* volume per area, 1e-9 m3/m2 = nm; 1 l/ha = 100 nm */
  int32_t trim_um;           /* of this row: band moves forward by this much */
  uint32_t continuous;       /* 1: unbroken stream at the controlled rate */
  uint32_t seed_dwell_us;    /* edges closer than half of this are contact noise */
  uint32_t speed_timeout_ms; /* older speed closes the valve */
  /* stated lag of the speed signal, compensated by the rate of change; 0 = none */
  int32_t speed_lag_ms;
  uint32_t meter_mm3_per_pulse; /* flow meter; 0 = none: no flow loop */
  int32_t pressure_max_pa;
  int32_t liquid_viscosity_upas; /* of today's liquid, as entered; 0: not known, no correction */
  int32_t analog_full_scale[SILLION_ANALOG_MAX]; /* Pa, mV, mA at full counts */
  sillion_attachment_table attachment;
} sillion_config;

typedef struct sillion_controller sillion_controller; /* lives inside the caller's block */

/* What hardware this build wants for a role; null for a role that it does not offer. */
const sillion_hardware* sillion_describe(uint32_t role);

/* Starts in the block of at least memory_bytes; `retained` is memory that survived the reset, or
 * null. On this bench that is the block itself: the watchdog keeps it, and the faults
 * `restarted_row` and `restarted_machine` keep, clear or damage it. `storage` shows all pages as
 * they stand, or null where there are none; it may be read during this call only. Null on
 * refusal. */
sillion_controller* sillion_init(void* memory, size_t size, const sillion_config* config,
                                 const void* retained, size_t retained_size, const void* storage,
                                 size_t storage_size);

/* One interrupt. `out` comes zeroed. */
void sillion_step(sillion_controller* controller, const sillion_input* in, sillion_output* out);

#ifdef __cplusplus
}
static_assert(sizeof(sillion_edge) == 8, "layout is part of the contract");
static_assert(sizeof(sillion_compare_request) == 16, "layout is part of the contract");
static_assert(sizeof(sillion_frame) == 28, "layout is part of the contract");
#endif

#endif
