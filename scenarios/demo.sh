#!/usr/bin/env bash
# Builds the program and runs the demo: a sweep over ground speed and spacing, three invented attachments, the goal over
# 20 800 seeds, one pass with its budget and outlet study, and a delay table. A ramp and a curve are shown beside them;
# they need not hold the demo's requirements. Ends with 0 when the pass of the best attachment holds them.
set -euo pipefail
cd "$(dirname "$0")/.."

bash tests/support/setup.sh program
cmake -G Ninja -S . -B build/demo -DCMAKE_BUILD_TYPE=Release -DSILLION_TESTS=OFF
cmake --build build/demo -j "$(nproc)" --target sillion

sillion=build/demo/sillion
status=0
worst() {
  if [ "$1" -ge 128 ]; then exit "$1"; fi  # interrupted: whoever stops one part means the whole
  if [ "$1" -gt "$status" ]; then status=$1; fi
}
# What only has to be shown: a violated requirement there is an answer, not a failure of the demo.
show() {
  local code=0
  echo
  "$sillion" "$@" || code=$?
  if [ "$code" -gt 1 ]; then worst "$code"; fi
}
for study in demo_sweep demo_attachments demo_response; do
  show sweep "scenarios/$study.toml" --out "out/$study"
done
echo
"$sillion" sweep scenarios/demo_goal.toml --out out/demo_goal || worst $?
for shown in demo_ramp demo_curve; do
  show run "scenarios/$shown.toml" --out "out/$shown"
done
echo
"$sillion" run scenarios/demo.toml --budget --outlet --out out/demo || worst $?
echo
"$sillion" rig scenarios/demo_rig.toml --plot --out out/demo_rig || worst $?
"$sillion" valve scenarios/demo_valve.toml --out out/demo_valve || worst $?
"$sillion" rig scenarios/demo_valve_good.toml --trace out/good.csv || worst $?
"$sillion" valve scenarios/demo_valve.toml --trace out/good.csv --out out/valve_good || worst $?
echo
"$sillion" delay "short rake" --scenario scenarios/demo.toml --out out/demo_delay || worst $?
echo
"$sillion" today "short rake" --scenario scenarios/demo.toml --temperature 6C --out out/demo_today || worst $?
echo
echo "Open in a browser:"
for report in demo_sweep/report demo_attachments/report demo_goal/report demo_response/report demo/report \
  demo_ramp/report demo_curve/report demo_rig/rig demo_valve/sheet valve_good/sheet demo_delay/sheet; do
  if [ -f "out/$report.html" ]; then echo "  out/$report.html"; fi
done
exit "$status"
