#include "tests/support/lines_events.h"

#include <algorithm>
#include <cmath>

namespace support {

double margin(const RowEquations& row, const State& y, const model::Plunger& plunger) {
  const double travel = plunger.travel_m / kLiftUnit_m;
  const double friction_n = plunger.coulomb_friction_n;
  double least = 1.0;
  if (row.bridge == Bridge::kDecay) least = std::min(least, row.winding_a(y));
  if (row.contact == Contact::kSeat) least = std::min(least, friction_n - row.net_force_n(y));
  if (row.contact == Contact::kStop) least = std::min(least, friction_n + row.net_force_n(y));
  if (row.contact == Contact::kStuck)
    least = std::min(least, friction_n - std::abs(row.net_force_n(y)));
  if (row.contact == Contact::kFree) {
    least = std::min({least, y[RowEquations::kLift], travel - y[RowEquations::kLift]});
    if (friction_n > 0.0) least = std::min(least, row.sense * y[RowEquations::kSpeed]);
  }
  return least;
}

namespace {

// A plunger at rest starts where the net force exceeds what holds it.
void start_plunger(RowEquations& row, const State& y, double friction_n, double now_s,
                   std::vector<LinesEvent>& events) {
  const double force_n = row.net_force_n(y);
  const bool up = force_n >= friction_n && row.contact != Contact::kStop;
  const bool down = force_n <= -friction_n && row.contact != Contact::kSeat;
  if (!up && !down) return;
  if (row.contact == Contact::kSeat) events.push_back({now_s, PlungerEvent::kLeftSeat});
  if (row.contact == Contact::kStop) events.push_back({now_s, PlungerEvent::kLeftStop});
  row.contact = Contact::kFree;
  row.sense = up ? 1.0 : -1.0;
}

}  // namespace

void apply_event(RowEquations& row, State& y, const model::Plunger& plunger, double rest_speed_mps,
                 double now_s, std::vector<LinesEvent>& events) {
  const double travel = plunger.travel_m / kLiftUnit_m;
  if (row.bridge == Bridge::kDecay && row.winding_a(y) <= 0.0) {
    if (!row.magnet()) y[RowEquations::kCurrent] = 0.0;
    row.bridge = Bridge::kOff;
  }
  const double friction_n = plunger.coulomb_friction_n;
  if (row.contact != Contact::kFree) {
    start_plunger(row, y, friction_n, now_s, events);
    return;
  }
  double& speed = y[RowEquations::kSpeed];
  const bool at_seat = y[RowEquations::kLift] <= 0.0;
  if (at_seat || y[RowEquations::kLift] >= travel) {
    y[RowEquations::kLift] = at_seat ? 0.0 : travel;
    if (at_seat ? speed < 0.0 : speed > 0.0) {
      events.push_back({now_s, at_seat ? PlungerEvent::kHitSeat : PlungerEvent::kHitStop});
      speed *= -plunger.restitution_ratio;
    }
    row.sense = at_seat ? 1.0 : -1.0;
    if (std::abs(speed) >= rest_speed_mps) return;
    speed = 0.0;
    row.contact = at_seat ? Contact::kSeat : Contact::kStop;
  } else if (friction_n > 0.0 && row.sense * speed <= 0.0) {
    speed = 0.0;
    row.contact = Contact::kStuck;
    start_plunger(row, y, friction_n, now_s, events);
  }
}

std::vector<Switch> switches_of(std::span<const OnOff> pulses, double end_s, bool slow_decay) {
  std::vector<Switch> switches;
  for (const OnOff& pulse : pulses) {
    switches.push_back({pulse.on_s, Bridge::kDrive});
    switches.push_back({pulse.off_s, slow_decay ? Bridge::kFreewheel : Bridge::kDecay});
  }
  switches.push_back({end_s, Bridge::kOff});
  return switches;
}

}  // namespace support
