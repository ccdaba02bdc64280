#!/usr/bin/env bash
# Lets the fuzzers look for bytes that break a reader, and prints a line per target: executions, seconds, what was found.
#
#   bash tests/fuzz/fuzz.sh                    all targets, 600 s each, two at a time
#   bash tests/fuzz/fuzz.sh 60                 all targets, 60 s each
#   bash tests/fuzz/fuzz.sh 60 study capture   two targets
#
# Builds into build/fuzz by clang 19 with the address and undefined-behaviour sanitizers (bash tests/support/setup.sh slow
# installs it). Each fuzzer begins with its folder in tests/fuzz/corpus and keeps what is new in build/fuzz/grown. What
# breaks a reader lies in build/fuzz/found; put a small copy of it into the corpus, so that every test run replays it.
# Exit 1 when anything was found, 2 for a wrong command line.
set -euo pipefail
cd "$(dirname "$0")/../.."

all=(scenario study suite baseline trace nmea capture row machine delay_table ledger)
seconds=600
case "${1:-}" in
  "") ;;
  *[!0-9]* | 0*) echo "usage: bash tests/fuzz/fuzz.sh [SECONDS] [TARGET ...]" >&2; exit 2 ;;
  *) seconds=$1; shift ;;
esac
targets=("$@")
[ "${#targets[@]}" -gt 0 ] || targets=("${all[@]}")
for target in "${targets[@]}"; do
  [[ " ${all[*]} " == *" $target "* ]] || { echo "fuzz: there is no target $target; there are: ${all[*]}" >&2; exit 2; }
done

build=build/fuzz
mkdir -p build
cmake --preset fuzz >"$build.log" 2>&1 || { tail -n 20 "$build.log" >&2; exit 1; }
cmake --build "$build" -j "$(nproc)" --target "${targets[@]/#/fuzz_}" >"$build.log" 2>&1 ||
  { tail -n 20 "$build.log" >&2; exit 1; }

export ASAN_OPTIONS=detect_leaks=1:allocator_may_return_null=1 UBSAN_OPTIONS=print_stacktrace=1
mkdir -p "$build/found"
fuzz() {
  local grown="$build/grown/$1" log="$build/found/$1.log" status=0
  mkdir -p "$grown"
  "$build/tests/fuzz_$1" -max_total_time="$seconds" -timeout=25 -rss_limit_mb=3000 -max_len=65536 -print_final_stats=1 \
    -artifact_prefix="$build/found/$1-" "$grown" "tests/fuzz/corpus/$1" >"$log" 2>&1 || status=$?
  awk -v target="$1" -v status="$status" '
    /^stat::number_of_executed_units/ { runs = $2 }
    /^#[0-9]+/ { if (match($0, /cov: [0-9]+/)) reached = substr($0, RSTART + 5, RLENGTH - 5) }
    /^SUMMARY: / { found = $0 }
    END { printf "%-12s %12d executions  %7d edges reached  %s\n", target, runs, reached,
                 status == 0 ? "nothing found" : (found == "" ? "ended with code " status : found) }' "$log"
  return "$status"
}
status=0
running=0
for target in "${targets[@]}"; do
  if [ "$running" -ge 2 ]; then wait -n || status=1; running=$((running - 1)); fi
  fuzz "$target" &
  running=$((running + 1))
done
while [ "$running" -gt 0 ]; do wait -n || status=1; running=$((running - 1)); done
exit "$status"
