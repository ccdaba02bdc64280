// A delay table as a file: `delay` writes it, the controller is loaded with it, and the catalog
// shows an attachment's evidence from it.
//
//   [law] [points] [voltage] [viscosity] [rest] [trims]   integers with their scale in the name, as
//        sillion_attachment_table holds them; check_sum is that of the table
//   [header]     in words: attachment, delivery, sensor, lines, valve, liquid, reference state
//   [[speed]]    per row speed, for people and lists; the controller does not read them
//   [evidence]   grade, what was measured and when; checksum of the attachment that was tuned
//   outside a correction's range: "hold and flag"; beyond the last rest: "hold"
//
// Errors   InputError with file, line, key: not a delay table, other schema, wrong check sum, list
//          of another length, values out of range
// Checked  tests/sim/scenario/delay_file_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include "shared/controller_abi.h"
#include "sim/scenario/scenario.h"

namespace sim::scenario {

inline constexpr const char* kDelaySchema = "sillion.delay_table.1";
inline constexpr const char* kSimulatedCaution =
    "Simulated timing is a design aid: confirm it on a bench and in the field before use.";

/// One row speed of the table, SI.
struct DelayFileSpeed {
  double speed_mps = 0.0;
  double delay_s = 0.0;
  double on_s = 0.0;
  double residual_mean_m = 0.0;
  double residual_half_m = 0.0;    // half of the 95 % interval, rows as clusters
  double residual_sd_m = 0.0;      // with trims
  double floor_sd_m = 0.0;         // the part that no delay removes
  double within_10mm_ratio = 0.0;  // share of sensed seeds, with trims
  double smallest_spacing_m = 0.0;
};

struct DelayEvidence {
  std::string grade = "simulated";  // "bench", "field"
  std::string date;                 // of the measurement; empty in simulated tables
  int measured_points = 0;
  int measured_speeds = 0;
  double scatter_m = 0.0;      // sd of the measured points about the law
  std::string attachment_sum;  // check sum of the attachment's keys, 8 hexadecimal digits
  double holds_from_mps = 0.0, holds_to_mps = 0.0;  // 10 mm with trims; 0: nowhere
  std::string valid_box;
  std::string program;
};

struct DelayFile {
  std::vector<std::pair<std::string, std::string>> header;  // key and words, in file order
  sillion_attachment_table table{};
  std::vector<int> trims_um;
  std::vector<DelayFileSpeed> speeds;  // by rising speed
  DelayEvidence evidence;

  const std::string* word(const std::string& key) const;  // of the header; null: no such key
};

/// The keys that every header has to state.
const std::vector<std::string>& delay_header_keys();
std::string delay_file_text(const DelayFile& file);
DelayFile read_delay_file(const std::filesystem::path& path);
/// Check sum of the attachment's keys without its name and note: it shows whether a table still
/// belongs to the attachment.
std::string attachment_sum(const AttachmentSection& attachment);

/// The grade that the evidence supports, or the reason why it supports none.
struct Grade {
  std::string grade = "none";
  std::string why_not;  // empty: the grade is granted
};
Grade grade_of(const DelayFile& file, const AttachmentSection& attachment);

}  // namespace sim::scenario
