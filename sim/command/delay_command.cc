// `delay`: the delay table of an attachment, its files and its first sentence.
#include <fmt/format.h>

#include <cstdio>

#include "sim/command/attachment_input.h"
#include "sim/command/exit_code.h"
#include "sim/command/options.h"
#include "sim/command/progress.h"
#include "sim/study/delay.h"

namespace sim {

int delay_command(const CommandOptions& options, const std::atomic<bool>& stop) {
  const DelayInputs inputs = delay_inputs(options.input, options.scenario, options.sets);
  Progress progress(inputs.scenario.name, 0.0, options.quiet || options.json);
  const DelayStudy study = run_delay_study(
      inputs, {.stop = &stop, .on_progress = [&](double done_ratio) { progress.at(done_ratio); }});
  std::fputs(
      fmt::format("whole: time {:.3f} +- {:.3f} ms, distance {:.2f} +- {:.2f} mm corr {:.2f}\n",
                  study.fit.whole.time.value_s * 1e3, study.fit.whole.time.half_s * 1e3,
                  study.fit.whole.distance.value_m * 1e3, study.fit.whole.distance.half_m * 1e3,
                  study.fit.whole.correlation_ratio)
          .c_str(),
      stdout);
  std::fputs(fmt::format("left: time {:.3f} +- {:.3f} ms, distance {:.2f} +- {:.2f} mm; rms {:.3f} "
                         "-> {:.3f} mm, rest gain {:.4f}; bands {} clusters {}\n",
                         study.left.time.value_s * 1e3, study.left.time.half_s * 1e3,
                         study.left.distance.value_m * 1e3, study.left.distance.half_m * 1e3,
                         study.fit.before_rms_m * 1e3, study.fit.after_rms_m * 1e3,
                         study.fit.rest_gain_ratio, study.fit.bands, study.fit.clusters)
                 .c_str(),
             stdout);
  const auto& t = study.table;
  std::fputs(
      fmt::format("a {} us b {} um lead0 {} on {} closed {} d {:.2f}+-{:.2f} mm\n", t.delay_time_us,
                  t.delay_distance_um, t.reference_lead_us, t.shortest_on_us, t.shortest_closed_us,
                  study.fit.distance.value_m * 1e3, study.fit.distance.half_m * 1e3)
          .c_str(),
      stdout);
  for (int k = 0; k < t.points; ++k)
    std::fputs(fmt::format("  Q {:6d} p {:7d} lead {:6d} ({:6d}) lag {:6d} ({:6d})\n",
                           t.flow_mm3ps[k], t.pressure_pa[k], t.lead_us[k],
                           study.start.table.lead_us[k], t.lag_us[k], study.start.table.lag_us[k])
                   .c_str(),
               stdout);
  for (const auto* c : {&t.voltage, &t.viscosity, &t.rest})
    for (int k = 0; k < c->points; ++k)
      std::fputs(fmt::format("  corr at {} lead {} lag {} q12 {}\n", c->at[k], c->lead_us[k],
                             c->lag_us[k], t.viscosity_pressure_q12[k])
                     .c_str(),
                 stdout);
  for (const DelaySpeed& s : study.speeds)
    std::fputs(
        fmt::format(
            "{:5.1f} km/h p {:.2f} D {:.2f} on {:.2f} mean {:+.2f}+-{:.2f} sd {:.2f} trimmed "
            "{:.2f} floor {:.2f} share {:.3f} trimmed {:.3f} ({:.3f}) 25: {:.3f} half {:.3f} flat "
            "-{:.2f} "
            "+{:.2f} spacing {:.1f} offset {:.1f} n {}\n",
            s.speed_mps * 3.6, s.pressure_pa * 1e-5, s.delay_s * 1e3, s.on_s * 1e3,
            s.mean.value_m * 1e3, s.mean.half_m * 1e3, s.sd_m * 1e3, s.trimmed_sd_m * 1e3,
            s.floor_sd_m * 1e3, s.plain[0].share_ratio, s.trimmed[0].share_ratio,
            s.trimmed[0].lower95_ratio, s.trimmed[1].share_ratio, s.trimmed[2].share_ratio,
            s.early_s * 1e3, s.late_s * 1e3, s.smallest_spacing_m * 1e3, s.smallest_offset_m * 1e3,
            s.sensed)
            .c_str(),
        stdout);
  const auto range = [](const char* name, const HeldRange& r, double scale, double shift) {
    std::fputs(fmt::format("{} {:.2f}{} .. {:.2f}{}\n", name, r.low_si * scale + shift,
                           r.low_open ? "(open)" : "", r.high_si * scale + shift,
                           r.high_open ? "(open)" : "")
                   .c_str(),
               stdout);
  };
  range("T", study.box.temperature_k, 1.0, -273.15);
  range("T unentered", study.box.temperature_unentered_k, 1.0, -273.15);
  range("p", study.box.pressure_si, 1e-5, 0.0);
  range("V", study.box.voltage_si, 1.0, 0.0);
  std::fputs(fmt::format("rows {:.2f} -> {:.2f} mm\n", study.rows_before_sd_m * 1e3,
                         study.rows_after_sd_m * 1e3)
                 .c_str(),
             stdout);
  for (const auto& note : study.notes) std::fputs((note + "\n").c_str(), stdout);
  return kHeld;
}

}  // namespace sim
