#!/usr/bin/env bash
# Which lines of controller/ run in the pull-request suite, and in suite and controller_tests together.
#
#   bash tests/coverage.sh            builds into build/coverage, runs both, prints a line per file and the total
#   bash tests/coverage.sh --suite    and every line that the suite alone leaves out
#   bash tests/coverage.sh --fast     runs nothing and prints the counts of the last run again
#
# Built without optimization and with counters, the suite takes about ten minutes of processor time.
#
# Only controller/ and its tests are instrumented (gcov, which comes with g++). A line that nothing runs must stand in
# tests/support/uncovered_lines.txt with its reason. Exit 1 when a line is missing there, when a line that stands there
# runs after all, when less than 98 % of the lines run, or when suite or tests fail.
set -euo pipefail
cd "$(dirname "$0")/.."

least_percent=98
list_suite=no
run=yes
for word in "$@"; do
  case "$word" in
    --suite) list_suite=yes ;;
    --fast) run=no ;;
    *) echo "usage: bash tests/coverage.sh [--suite] [--fast]" >&2; exit 2 ;;
  esac
done

build=build/coverage
reasons=tests/support/uncovered_lines.txt
status=0

# Prints for each executable line of controller/: file, number, 1 when it ran, text. Inline code is in several objects.
lines_run() {
  find "$build" -name '*.gcda' -print0 | xargs -0 -r gcov -t -r -s "$PWD" 2>/dev/null | awk '
    {
      at = index($0, ":")
      count = substr($0, 1, at - 1); gsub(/ /, "", count)
      rest = substr($0, at + 1)
      at = index(rest, ":")
      number = substr(rest, 1, at - 1); gsub(/ /, "", number)
      text = substr(rest, at + 1)
      if (number == "0" && text ~ /^Source:/) { file = substr(text, 8); next }
      if (file !~ /^controller\// || number !~ /^[1-9][0-9]*$/ || count == "-") next
      ran = count ~ /^[0-9]/ && count !~ /^0/
      key = file "\t" sprintf("%05d", number)
      if (ran || !(key in seen)) seen[key] = ran
      gsub(/^[ \t]+|[ \t]+$/, "", text)
      texts[key] = text
    }
    END { for (key in seen) print key "\t" seen[key] "\t" texts[key] }' | sort
}

if [ "$run" = yes ]; then
  cmake -G Ninja -S . -B "$build" -DCMAKE_BUILD_TYPE=Release -DSILLION_COVERAGE=ON >"$build.log" 2>&1 ||
    { tail -n 20 "$build.log" >&2; exit 1; }
  cmake --build "$build" -j "$(nproc)" --target sillion controller_tests >"$build.log" 2>&1 ||
    { tail -n 20 "$build.log" >&2; exit 1; }
  find "$build" -name '*.gcda' -delete
  "$build/sillion" check scenarios/pull_request.toml --quiet --out "$build/suite" || status=1
  lines_run >"$build/suite.lines"
  # The tests Library.* look for counters and the like in the built library, which has some in this build.
  "$build/tests/controller_tests" --gtest_brief=1 --gtest_filter=-Library.* || status=1
  lines_run >"$build/together.lines"
fi
[ -s "$build/together.lines" ] || { echo "coverage: nothing was counted" >&2; exit 1; }

echo
awk -F '\t' '
  NR == FNR { suite[$1 FS $2] = $3; next }
  { lines[$1]++; all++; alone[$1] += suite[$1 FS $2]; alone_all += suite[$1 FS $2]; both[$1] += $3; both_all += $3 }
  END {
    printf "%-34s %6s %14s %20s\n", "file", "lines", "suite alone", "suite and tests"
    for (file in lines)
      printf "%-34s %6d %5d  %5.1f %% %10d  %5.1f %%\n", file, lines[file], alone[file], 100 * alone[file] / lines[file],
             both[file], 100 * both[file] / lines[file] | "sort"
    close("sort")
    printf "%-34s %6d %5d  %5.1f %% %10d  %5.1f %%\n", "all of controller/", all, alone_all, 100 * alone_all / all,
           both_all, 100 * both_all / all
  }' "$build/suite.lines" "$build/together.lines"

if [ "$list_suite" = yes ]; then
  echo
  echo "Lines that the suite alone leaves out:"
  awk -F '\t' '$3 == 0 { printf "  %s:%d: %s\n", $1, $2, $4 }' "$build/suite.lines"
fi

# A reason is found by the text of its line, so that the line may move.
echo
awk -F '\t' -v least="$least_percent" -v where="$reasons" '
  NR == FNR {
    if ($0 ~ /^#/ || $0 ~ /^[ ]*$/) next
    at = index($0, " | "); file = substr($0, 1, at - 1); rest = substr($0, at + 3)
    at = index(rest, " | "); reason[file FS substr(rest, 1, at - 1)] = substr(rest, at + 3)
    next
  }
  { all++; run += $3 }
  $3 == 0 {
    key = $1 FS $4
    if (!(key in reason)) { printf "without a reason: %s:%d: %s\n", $1, $2, $4; bad = 1; next }
    used[key] = 1
    printf "left out: %s:%d: %s (%s)\n", $1, $2, $4, reason[key]
  }
  END {
    for (key in reason) if (!(key in used)) {
      split(key, part, FS); printf "runs, but %s calls it left out: %s: %s\n", where, part[1], part[2]; bad = 1
    }
    printf "%d of %d lines run (%.1f %%); at least %d %% are asked for\n", run, all, 100 * run / all, least
    exit bad || 100 * run < least * all
  }' "$reasons" "$build/together.lines" || status=1
exit "$status"
