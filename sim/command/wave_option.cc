#include "sim/command/wave_option.h"

#include <fmt/format.h>

#include "sim/output/vcd.h"
#include "sim/output/write_folder.h"
#include "sim/study/run/wave_marks.h"

namespace sim::command {

void add_wave_option(CommandWords& words, std::filesystem::path& wave) {
  words.path("--wave", wave,
             "also write the waveform of one seed: FILE.vcd (IEEE 1364) and FILE.csv");
}

std::string write_wave(const run::RunResult& result, const std::filesystem::path& wave) {
  const measure::Waveform form = run::waveform_of(result);
  std::filesystem::path csv = wave;
  csv.replace_extension(".csv");
  output::write_whole_file(wave, output::vcd_text(form));
  output::write_whole_file(csv, output::wave_csv(form));
  return fmt::format("waveform of row {}, seed {}: {}, {}\n", result.record.watched.row,
                     result.record.watched.seed, wave.string(), csv.string());
}

}  // namespace sim::command
