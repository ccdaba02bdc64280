// A map as the task data of ISO 11783-10: the folder TASKDATA with the task (TASKDATA.XML) and a
// binary time log of it (TLG00001.XML describes a record, TLG00001.BIN holds them).
//
//   A record stands at the start of every second and at the end, and its values hold until the next
//   one, so a row's volume is the sum of rate * width * (distance at the next - distance):
//     record  time of day (uint32, ms), days since 1980-01-01 (uint16), north, east (int32, 1e-7
//             degree), position status (uint8), number of values (uint8), then for each the number
//             of its DLV in the header (uint8) and its value (int32); little endian
//   Elements of a row (a section of the device):
//     DDI 1   set volume per area, DDI 2 actual volume per area, 0.01 mm3/m2: both are the field's
//             average. The rate in the band is in no data element, because whoever multiplies it by
//             a width and a way gets a multiple of what left the tank.
//     DDI 117 effective total distance, mm;  DDI 67 actual working width, mm, as a property
//     DDI 135 offset to the right, mm, as a property
//   Element of the whole: DDI 351 application total volume, ml, running; also with the task's time
//   That it is simulated stands in the position status of every record (8, simulate mode) and in
//   the names of task, field and device.
//
// Errors   InputError: a second's rate or a total does not fit into 32 bits. OutputError.
// Source   ISO 11783-10, annex D (elements and attributes) and E (time log), from memory; position
//          status, numbers and units of the data elements as open readers of the data dictionary
//          (ISO 11783-11) have them. Device class and name are inventions.
// Checked  tests/sim/study/map/task_file_test.cc, tests/sim/study/map/task_reader_slow_test.cc
#pragma once

#include <string>

#include "sim/output/streamed_folder.h"
#include "sim/study/map/field_place.h"
#include "sim/study/map/kept_run.h"

namespace sim::map {

inline constexpr int kSimulateMode = 8;  // position status

/// Writes TASKDATA/ into the folder.
void write_task_file(const KeptRun& run, const FieldPlace& place,
                     const output::StreamedFolder& folder);
/// An instant of the map's clock as XML and GeoPackage have it: 1980-01-01T00:00:00.000Z.
std::string instant_text(const MapClock& clock, double after_s);

}  // namespace sim::map
