// `outlet`: outlet, tube and hose for an attachment. 0 where a part does the job, 1 where none
// does.
#include <fmt/format.h>

#include <cstdio>
#include <memory>

#include "sim/command/attachment_input.h"
#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/kept_findings.h"
#include "sim/command/machine_pace.h"
#include "sim/command/out_lock.h"
#include "sim/command/outlet_command.h"
#include "sim/command/outside_world.h"
#include "sim/command/progress.h"
#include "sim/command/study_ledger.h"
#include "sim/study/outlet/outlet_report.h"
#include "sim/study/outlet/outlet_tables.h"
#include "sim/study/outlet/pulse_record.h"
#include "sim/study/run/tables.h"

namespace sim::command {
namespace {

struct OutletCommandOptions : AttachmentOptions {
  bool resume = false;
  bool dry_run = false;
  OutletWords parts;
};

void define_outlet(CommandWords& words, OutletCommandOptions& options) {
  add_attachment_options(words, options);
  add_resume_option(words, options.resume, "pulses");
  add_dry_run_option(words, options.dry_run);
  OutletWords& parts = options.parts;
  words.text("--bores", parts.bores,
             "outlet bores, such as \"1.2 mm, 1.4 mm\" (else a grid around the attachment's own)");
  words.text("--tube-bores", parts.tube_bores, "bores of the tube");
  words.text("--tube-lengths", parts.tube_lengths, "lengths of the tube");
  words.text("--hose-bores", parts.hose_bores, "bores of the hose");
  words.text("--hose-lengths", parts.hose_lengths,
             "lengths of the hose (else the attachment's own)");
  words.text("--walls", parts.walls, "walls of the tube, such as \"as stated, polyamide 12\"");
  words.text("--hose-walls", parts.hose_walls, "walls of the hose (else the attachment's own)");
  words.text("--strainer", parts.strainer, "mesh of the strainer ahead of the outlet (else 50)");
  words.text("--stop", parts.stop, "how long the machine stands still (else \"300 s\")");
  words.text("--pause", parts.pause, "time without pulses at the end of a pass (else \"20 s\")");
  words.examples({"sillion outlet \"short rake\" --scenario scenarios/demo.toml",
                  "sillion outlet \"swan neck\" --set rate.in_band=\"6 gal/ac\" --bores "
                  "\"1.4 mm, 1.6 mm\" --walls \"polyamide 12\""});
}

/// Row-seconds of one part's pulses and trains (five hertz a step), as the progress line counts.
constexpr double kRowTimeOfPart_s = 6.0;
/// What one part usually takes; short trains start and fit anew each time.
constexpr double kUsualPart_s = kRowTimeOfPart_s / 40.0;
constexpr double kBytesOfPart_ratio = 700.0;

/// Measured by the first part, which is judged as the study judges it.
void print_size(const scenario::Scenario& scenario, const outlet::OutletOptions& study,
                const std::filesystem::path& out) {
  const std::vector<outlet::OutletPart> parts = outlet::outlet_parts(scenario, study.axes);
  const auto count = static_cast<double>(parts.size());
  const ProcessorTime judging;
  if (!parts.empty()) outlet::judge_part(scenario, parts[parts.size() / 2], study);
  const double all_s = judging.spent_s() * count;
  std::fputs(
      fmt::format("would judge {} parts: {:.0f} row-seconds, {}, {:.1f} MB into {}\n", parts.size(),
                  kRowTimeOfPart_s * count, time_words(all_s, all_s / cores_in_use()),
                  count * kBytesOfPart_ratio * 1e-6 + 0.1, out.string())
          .c_str(),
      stdout);
}

int execute_outlet(const OutletCommandOptions& options, const std::atomic<bool>& stop) {
  const scenario::Scenario scenario =
      attachment_input(options.input, options.scenario, options.sets);
  const std::filesystem::path out = options.out.empty()
                                        ? std::filesystem::path("out") / ("outlet_" + scenario.name)
                                        : options.out;
  if (options.dry_run) {
    print_size(scenario, outlet_options(options.parts), out);
    return kHeld;
  }
  const OutLock lock(out, options.typed);
  const auto ledger = opened_ledger(out, outlet::outlet_owner(scenario), options.resume);
  tell_how_to_go_on(options);
  const outlet::OutletResult result =
      outlet_of(scenario, options.parts, options.hides_progress(), stop, ledger.get());
  ledger->close();
  outlet::write_outlet(result, out, options.units);
  if (options.json) {
    std::fputs(outlet::outlet_json(result).c_str(), stdout);
  } else {
    std::fputs((outlet::outlet_sentence(result, options.units) + "\n").c_str(), stdout);
    for (const std::string& reason : outlet::outlet_reasons(result, options.units))
      std::fputs(("  " + reason + "\n").c_str(), stdout);
    std::fputs(fmt::format("report: {}\n", (out / "report.html").string()).c_str(), stdout);
  }
  return result.recommended >= 0 ? kHeld : kViolated;
}

}  // namespace

outlet::OutletResult outlet_of(const scenario::Scenario& scenario, const OutletWords& words,
                               bool quiet, const std::atomic<bool>& stop, output::Ledger* ledger) {
  outlet::OutletOptions study = outlet_options(words);
  const auto parts = static_cast<double>(outlet::outlet_parts(scenario, study.axes).size());
  Progress progress(
      scenario.attachment.name,
      {.row_s = kRowTimeOfPart_s * parts, .wall_s = kUsualPart_s * parts / cores_in_use()}, quiet);
  study.stop = &stop;
  study.ledger = ledger;
  study.on_progress = [&](double done_ratio) { progress.at(done_ratio); };
  outlet::OutletResult result = outlet::run_outlet_study(scenario, study);
  seal(result);
  return result;
}

Command outlet_command() {
  const auto options = std::make_shared<OutletCommandOptions>();
  return {
      .name = "outlet",
      .description =
          "outlet, tube and pressure for bands with sharp ends and a tube that holds its liquid",
      .define = [options](CommandWords& words) { define_outlet(words, *options); },
      .execute =
          [options](const std::atomic<bool>& stop) { return execute_outlet(*options, stop); },
      .common = options.get(),
      .keeps = [options] { return kept_folder_of(options->out, options->dry_run); },
      .complete = [options] { complete_with_resume(*options, options->resume); }};
}

}  // namespace sim::command
