// A delay table as a file: what `delay` writes, what the controller is loaded with, what the
// catalog
// shows an attachment's evidence by.
//
//   [law] [points] [voltage] [viscosity] [rest] [trims]   integers with their scale in the name,
//   just
//        as sillion_attachment_table holds them; check_sum is that of the table
//   [header]     in words: attachment, delivery, sensor, lines, valve, liquid, reference state
//   [[speed]]    per row speed, for people and lists; the controller does not read them
//   [evidence]   grade, of what, since when; checksum of the attachment that was tuned
//   outside a correction's range: "hold and flag"; beyond the last rest: "hold"
//
// Errors   InputError with file, line, key: not a delay table, other schema, wrong check sum,
//          list of
//          another length, values out of range
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
  double residual_half_m = 0.0;    // of the 95 % interval, rows as clusters
  double residual_sd_m = 0.0;      // with trims
  double floor_sd_m = 0.0;         // that no delay removes
  double within_10mm_ratio = 0.0;  // of sensed seeds, with trims
  double smallest_spacing_m = 0.0;
};

struct DelayEvidence {
  std::string grade = "simulated";  // "bench", "field"
  std::string date;                 // of the measurement; simulated tables carry none
  int measured_points = 0;
  int measured_speeds = 0;
  double scatter_m = 0.0;      // sd of the measured points about the law
  std::string attachment_sum;  // of the attachment's keys, 8 hexadecimal digits
  double holds_from_mps = 0.0, holds_to_mps = 0.0;  // 10 mm with trims; 0: nowhere
  std::string valid_box;
  std::string program;
};

struct DelayFile {
  std::vector<std::pair<std::string, std::string>> header;  // key and words, in order
  sillion_attachment_table table{};
  std::vector<int> trims_um;
  std::vector<DelayFileSpeed> speeds;  // rising
  DelayEvidence evidence;

  const std::string* word(const std::string& key) const;  // of the header, or null
};

/// What every header has to state.
const std::vector<std::string>& delay_header_keys();
std::string delay_file_text(const DelayFile& file);
DelayFile read_delay_file(const std::filesystem::path& path);
/// Of all keys of an attachment but its words: whether a table still belongs to it.
std::string attachment_sum(const AttachmentSection& attachment);

/// Whether the evidence bears its grade, or why not.
struct Grade {
  std::string grade = "none";
  std::string why_not;  // empty: granted
};
Grade grade_of(const DelayFile& file, const AttachmentSection& attachment);

}  // namespace sim::scenario
