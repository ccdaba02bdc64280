#!/usr/bin/env bash
# Builds everything and runs every test; the same command runs in CI.
#
#   bash tests/all.sh          all but the tests under the label slow: 5 minutes on 2 cores after the build (README.md)
#   bash tests/all.sh --slow   the slow tests as well: same bytes under other compilers, lint, format
#
# The last line reads `N passed, N failed`; the exit code is 0 only when something ran and nothing failed.
# A build that fails counts as one failure.
set -euo pipefail
cd "$(dirname "$0")/.."

group=tests
labels=(-LE slow)
case "${1:-}" in
  "") ;;
  --slow) group=slow; labels=() ;;
  *) echo "usage: bash tests/all.sh [--slow]" >&2; exit 2 ;;
esac

not_built() {
  echo "all.sh: $1 failed; no test ran" >&2
  echo "0 passed, 1 failed"
  exit 1
}

jobs=$(nproc)
bash tests/support/setup.sh "$group" || not_built "setup"
cmake -G Ninja -S . -B build/release -DCMAKE_BUILD_TYPE=Release -DSILLION_TESTS=ON || not_built "configuring"
cmake --build build/release -j "$jobs" || not_built "the build"

log=build/release/all_tests.log
status=0
# One test more than there are processors: some wait for a program that they have started.
ctest --test-dir build/release "${labels[@]}" -j "$((jobs + 1))" --output-on-failure --no-tests=error 2>&1 | tee "$log" || status=$?

# ctest prints one numbered line per test; a test that neither passed nor was skipped has failed, whatever ctest calls it.
read -r passed failed skipped < <(awk '
  /^ *[0-9]+\/[0-9]+ Test +#[0-9]+: / {
    if ($0 ~ / Passed +[0-9.]+ sec *$/) passed++
    else if ($0 ~ /\*\*\*Skipped/) skipped++
    else if ($0 ~ /\*\*\*Not Run \(Disabled\)/) disabled++  # tables that run only on request
    else failed++
  }
  END { print passed + 0, failed + 0, skipped + 0 }' "$log")
if [ "$skipped" -gt 0 ]; then
  echo "$skipped skipped: they need something that this machine lacks and count neither way"
fi
if [ "$status" -ne 0 ] && [ "$failed" -eq 0 ]; then
  echo "all.sh: ctest ended with code $status" >&2
  failed=1
fi
echo "$passed passed, $failed failed"
[ "$passed" -gt 0 ] && [ "$failed" -eq 0 ]
