#!/usr/bin/env bash
# Builds the program and runs the demo: a sweep over ground speed and spacing with three invented attachments, then one
# pass with the best of them. Ends with the code of the program: 0 when the demo's requirements hold.
set -euo pipefail
cd "$(dirname "$0")/.."

bash tests/support/setup.sh program
cmake -G Ninja -S . -B build/demo -DCMAKE_BUILD_TYPE=Release -DSILLION_TESTS=OFF
cmake --build build/demo -j "$(nproc)" --target sillion

status=0
worst() { if [ "$1" -gt "$status" ]; then status=$1; fi; }
echo
build/demo/sillion sweep scenarios/demo_sweep.toml --out out/demo_sweep || worst $?
echo
build/demo/sillion run scenarios/demo.toml --out out/demo || worst $?
echo
for report in out/demo_sweep/report.html out/demo/report.html; do
  if [ -f "$report" ]; then echo "Report: $report (open it in a browser)"; fi
done
exit "$status"
