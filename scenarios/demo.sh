#!/usr/bin/env bash
# Builds the program and runs the demo. The first table and the first report come from one pass of the best of three
# invented attachments; then come today's fastest speed, one pulse and a valve's sheet, the three attachments beside each
# other, speed by spacing, and the goal over 20 800 seeds.
#   bash scenarios/demo.sh          what everybody wants to see
#   bash scenarios/demo.sh --all    also what a specialist asks: whose error it is, which outlet, speed by pressure by
#                                   temperature, a ramp, a curve, a valve by its trace, a delay table
# Each step says what it does, how far it is, and where its report lies. Delay tables and strip trims that a step has found
# are kept in out/kept for the next one and for the next time; that folder may be deleted.
# Ends with 0 when the goal and the pass of the best attachment hold the requirements.
set -euo pipefail
cd "$(dirname "$0")/.."

all=no
case "${1:-}" in
  "") ;;
  --all) all=yes ;;
  *) echo "demo.sh: \"$1\" is not known; the one option is --all" >&2; exit 2 ;;
esac

bash tests/support/setup.sh program
cmake -G Ninja -S . -B build/demo -DCMAKE_BUILD_TYPE=Release -DSILLION_TESTS=OFF
cmake --build build/demo -j "$(nproc)" --target sillion

sillion=build/demo/sillion
status=0
steps=7
if [ "$all" = yes ]; then steps=14; fi
step=0
written=()
begun=$SECONDS

worst() {
  if [ "$1" -ge 128 ]; then exit "$1"; fi  # interrupted: a stop of one part means the whole demo
  if [ "$1" -gt "$status" ]; then status=$1; fi
}
# begin WORDS FILE: prints what the step does and which file it writes.
begin() {
  step=$((step + 1))
  since=$SECONDS
  echo
  echo "== $step of $steps: $1; writes $2"
  written+=("$2")
}
ended() { echo "== $step of $steps took $((SECONDS - since)) s"; }
# Runs a step whose verdict counts for the exit code.
counts() {
  local code=0
  "$sillion" "$@" || code=$?
  ended
  worst "$code"
}
# Runs a step that only has to be shown: a violated requirement there is an answer, not a failure of the demo.
shows() {
  local code=0
  "$sillion" "$@" || code=$?
  ended
  if [ "$code" -gt 1 ]; then worst "$code"; fi
}

begin "one pass at 16 km/h and 0.15 m, each band against its own seed" out/demo/report.html
counts run scenarios/demo.toml --out out/demo
begin "one pulse on the bench, without a planter" out/demo_rig/rig.html
counts rig scenarios/demo_rig.toml --plot --out out/demo_rig
begin "a valve's sheet by the model" out/demo_valve/sheet.html
counts valve scenarios/demo_valve.toml --out out/demo_valve
begin "how fast the attachment may go with the liquid at 6 C" out/demo_today/summary.json
counts today "short rake" --scenario scenarios/demo.toml --temperature 6C --out out/demo_today
begin "the goal over 20 800 seeds" out/demo_goal/report.html
counts sweep scenarios/demo_goal.toml --out out/demo_goal
begin "three attachments at 8, 12 and 16 km/h" out/demo_attachments/report.html
shows sweep scenarios/demo_attachments.toml --out out/demo_attachments
begin "6 to 16 km/h by spacings of 0.10 to 0.25 m" out/demo_sweep/report.html
shows sweep scenarios/demo_sweep.toml --out out/demo_sweep

if [ "$all" = yes ]; then
  begin "speed by pressure by temperature" out/demo_response/report.html
  shows sweep scenarios/demo_response.toml --out out/demo_response
  begin "a ramp from 8 to 16 km/h" out/demo_ramp/report.html
  shows run scenarios/demo_ramp.toml --out out/demo_ramp
  begin "a curve of 60 m radius" out/demo_curve/report.html
  shows run scenarios/demo_curve.toml --out out/demo_curve
  begin "an invented bench trace of a valve" out/good.csv
  counts rig scenarios/demo_valve_good.toml --trace out/good.csv
  begin "the valve's sheet by that trace" out/valve_good/sheet.html
  counts valve scenarios/demo_valve.toml --trace out/good.csv --out out/valve_good
  begin "the pass again: whose error it is, and which outlet would do better" out/demo_budget/report.html
  counts run scenarios/demo.toml --budget --outlet --out out/demo_budget
  begin "a delay table" out/demo_delay/sheet.html
  counts delay "short rake" --scenario scenarios/demo.toml --out out/demo_delay
fi

echo
echo "Written in $((SECONDS - begun)) s after the build; open the pages in a browser:"
for file in "${written[@]}"; do
  if [ -f "$file" ]; then echo "  $file"; else echo "  $file is missing"; fi
done
echo "out/kept holds what the next run need not compute again; it may be deleted."
exit "$status"
