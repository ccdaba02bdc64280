#include "sim/study/valve/valve_limits.h"

#include "sim/text/nearest.h"
#include "sim/text/reader.h"

namespace sim::valve {
namespace {

// The verdict follows this order: supply and coil first, then the pulse, then what wears.
constexpr ValveLimitKind kKinds[] = {
    {"supply_at_least",
     ValveFigureKind::kSupply,
     false,
     text::Kind::kVoltage,
     {0.0, 60.0},
     "supply",
     "supply too low",
     "measure the voltage at the valve's plug while it fires, then its harness",
     false},
    {"resistance_at_least",
     ValveFigureKind::kResistance,
     false,
     text::Kind::kResistance,
     {0.0, 1e3},
     "coil resistance",
     "coil short between turns",
     "measure the coil unplugged and cold; replace it if the meter agrees",
     false},
    {"resistance_at_most",
     ValveFigureKind::kResistance,
     true,
     text::Kind::kResistance,
     {0.0, 1e3},
     "coil resistance",
     "coil open, hot, or a bad contact",
     "measure the coil unplugged and cold, then plug and harness",
     false},
    {"opening_at_most",
     ValveFigureKind::kOpening,
     true,
     text::Kind::kTime,
     {0.0, 1.0},
     "opening",
     "slow to open",
     "check voltage and coil first, then clean the plunger's bore and repeat",
     true},
    {"closing_at_most",
     ValveFigureKind::kClosing,
     true,
     text::Kind::kTime,
     {0.0, 1.0},
     "closing",
     "slow to close",
     "replace plunger and seat, then repeat",
     true},
    {"odd_pulses_at_most",
     ValveFigureKind::kOddPulses,
     true,
     text::Kind::kRatio,
     {0.0, 1.0},
     "missing, late and sticking pulses",
     "sticking",
     "take the plunger out, look for salt and wear, clean or replace, then repeat",
     false},
    {"stop_bounce_at_most",
     ValveFigureKind::kStopBounce,
     true,
     text::Kind::kTime,
     {0.0, 1.0},
     "bounce at the stop",
     "bouncing",
     "check the supply's voltage and the stop's pad",
     false},
    {"seat_bounce_at_most",
     ValveFigureKind::kSeatBounce,
     true,
     text::Kind::kTime,
     {0.0, 1.0},
     "bounce at the seat",
     "bouncing",
     "check spring and seat",
     false},
    {"leak_at_most",
     ValveFigureKind::kLeak,
     true,
     text::Kind::kFlow,
     {0.0, 1.0},
     "leak when shut",
     "leaking",
     "flush and repeat; if it still drips, replace plunger and seat",
     false},
    {"smallest_dose_at_most",
     ValveFigureKind::kSmallestDose,
     true,
     text::Kind::kVolume,
     {0.0, 1e-3},
     "smallest dose that repeats",
     "smallest dose too large",
     "plunger and seat are due: replace them, then repeat",
     false},
    {"repetition_at_least",
     ValveFigureKind::kRepetition,
     false,
     text::Kind::kFrequency,
     {0.0, 1e3},
     "highest repetition",
     "too slow for the repetition",
     "see opening and closing; a higher pressure or a smaller outlet shortens the pulse",
     false},
    {"repeatability_at_most",
     ValveFigureKind::kRepeatability,
     true,
     text::Kind::kRatio,
     {0.0, 1.0},
     "scatter of the dose",
     "doses scatter",
     "check the pressure's hold and air in the line",
     false},
    {"life_used_at_most",
     ValveFigureKind::kLifeUsed,
     true,
     text::Kind::kRatio,
     {0.0, 10.0},
     "share of its life",
     "plunger and seat due",
     "replace plunger and seat, set the count to zero",
     false}};

const ValveLimitKind& kind_of(const text::Entry& entry) {
  if (entry.key == "lowest_rate_at_most")
    text::fail(
        entry.node.place, "limits." + entry.key,
        "is now called `smallest_dose_at_most` and takes the volume that one pulse lays down: the "
        "flow divided by the drive's repetition, such as smallest_dose_at_most = \"84 mm3\"");
  std::vector<std::string> names;
  for (const ValveLimitKind& kind : kKinds) {
    if (kind.key == entry.key) return kind;
    names.emplace_back(kind.key);
  }
  text::fail(entry.node.place, "limits." + entry.key,
             "is no limit; nearest valid name: `" + text::nearest_name(entry.key, names) + "`");
}

double limit_of(const text::Entry& entry, const ValveLimitKind& kind) {
  const std::string key = "limits." + entry.key;
  return text::read_quantity_si(entry.node, key, kind.kind, kind.range);
}

}  // namespace

std::span<const ValveLimitKind> valve_limit_kinds() { return kKinds; }

ValveLimits read_valve_limits(const std::filesystem::path& file) {
  const text::Node document = text::read_document(file);
  static const std::string kKnown[] = {"note", "limits"};
  text::refuse_other_keys(document, "", kKnown);
  ValveLimits limits{.file = file.filename().string()};
  if (const text::Node* note = document.find("note"))
    limits.note = text::read_text_value(*note, "note");
  const text::Node* table = document.find("limits");
  if (table == nullptr || table->kind != text::NodeKind::kTable || table->entries.empty())
    text::fail({file.string(), 0, {}}, "limits",
               "is missing: state at least one, such as opening_at_most = \"2.5 ms\"");
  for (const text::Entry& entry : table->entries) kind_of(entry);
  for (const ValveLimitKind& kind : kKinds)
    for (const text::Entry& entry : table->entries)
      if (entry.key == kind.key)
        limits.limits.push_back({&kind, limit_of(entry, kind), entry.node.place});
  return limits;
}

}  // namespace sim::valve
