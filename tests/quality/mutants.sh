#!/usr/bin/env bash
# Attacks our own tests: changes controller/ and sim/measure/ in thousands of small ways and counts which of them the
# quick tests and the pull-request suite notice.
#
#   bash tests/quality/mutants.sh              every mutant: builds into build/mutants, tries them, writes the table
#   bash tests/quality/mutants.sh --sample 500 as many of them, chosen by hash, without a table of the repository
#   bash tests/quality/mutants.sh --sample 500 --skip 2500   others than those: tests that were written for the survivors
#                                                            of a sample say nothing new about that sample
#   bash tests/quality/mutants.sh --again      only those that were left alive by the last run, after tests were added; after
#                                              an edit of controller/ or sim/measure/ the run begins anew, without it
#   bash tests/quality/mutants.sh --table      tries nothing and prints the table of the last run again
#
#   --suite-seconds S   processor time that the suite's cases get per mutant that the tests left alive (default 4; 0: none)
#   --dearest-test S    tests that take longer in this build are left out (default 1)
#   --jobs N            tries run side by side (default: as many as there are processors)
#
# clang-19 and python3 are needed. Sources are instrumented by mutate.py, so that one build holds all mutants and an
# environment variable chooses one (mutants.h says how); try_mutants.py runs each against the tests that meet it.
# The table is tests/quality/mutants.md. A mutant that is left alive must stand in tests/quality/mutants_left.txt with its
# reason. Exit 1 when one does not, and after a run of all mutants also when less than 95 % of those that are not listed as
# equivalent are killed, or when a reason names a mutant that is killed.
set -euo pipefail
cd "$(dirname "$0")/../.."

build=build/mutants
table=tests/quality/mutants.md
options=()
run=yes
while [ $# -gt 0 ]; do
  case "$1" in
    --sample) options+=("$1" "${2:?}"); table=$build/sample.md; shift ;;
    --suite-seconds | --dearest-test | --jobs | --skip) options+=("$1" "${2:?}"); shift ;;
    --again) options+=("$1") ;;
    --table) run=no ;;
    *) sed -n '2,/^set/{/^set/!s/^# \{0,1\}//p}' "$0" >&2; exit 2 ;;
  esac
  shift
done

if [ "$run" = yes ]; then
  mkdir -p "$build"
  python3 tests/quality/mutate.py . "$build/copy"
  cmake -G Ninja -S . -B "$build" -DCMAKE_BUILD_TYPE=Release -DSILLION_MUTANTS="$PWD/$build/copy" >"$build/log" 2>&1 ||
    { tail -n 20 "$build/log" >&2; exit 1; }
  cmake --build "$build" -j "$(nproc)" --target mutants_controller mutants_measure sillion >"$build/log" 2>&1 ||
    { tail -n 20 "$build/log" >&2; exit 1; }
  nice -n 10 python3 tests/quality/try_mutants.py "$build" "${options[@]}"
fi
python3 tests/quality/mutants_table.py "$build/results.tsv" tests/quality/mutants_left.txt "$table"
