#!/usr/bin/env bash
# How thoroughly controller_tests exercise controller/, counted by two compilers.
#
#   bash tests/quality/coverage.sh            builds below build/coverage, runs the tests twice, judges
#   bash tests/quality/coverage.sh --keep     and keeps the table as tests/quality/coverage_table.txt
#   bash tests/quality/coverage.sh --fast     builds and runs nothing: judges the counts of the last run that passed
#   bash tests/quality/coverage.sh --suite    counts instead the lines that the pull-request suite alone runs, and
#                                             prints those that it leaves out; takes ten minutes of processor time
#
# g++ (gcov) counts lines and branches of the machine's code, unoptimized. clang counts branches of the source (each
# condition true and false) and MC/DC: for each condition of a decision, two calls in which it alone turns the result.
# It warns of a decision that it cannot count (one inside a condition of another), and that counts as left out.
#
# All of it is asked for. What cannot be reached stands in tests/quality/coverage_exceptions.txt with its reason. Exit 1
# when something else is left out, when what stands there is reached after all, or when a test fails; exit 77 when a
# tool is missing.
set -euo pipefail
cd "$(dirname "$0")/../.."

keep=no
suite=no
run=yes
for word in "$@"; do
  case "$word" in
    --keep) keep=yes ;;
    --suite) suite=yes ;;
    --fast) run=no ;;
    *) echo "usage: bash tests/quality/coverage.sh [--keep] [--fast] [--suite]" >&2; exit 2 ;;
  esac
done
for tool in g++ gcov clang++-19 llvm-profdata-19 llvm-cov-19 jq; do
  command -v "$tool" >/dev/null || { echo "coverage: $tool is missing; bash tests/support/setup.sh slow" >&2; exit 77; }
done

build=build/coverage
table=tests/quality/coverage_table.txt
exceptions=tests/quality/coverage_exceptions.txt
status=0
mkdir -p "$build"

# Builds these targets below $build/$1 with the compiler $2.
build_with() {
  local folder=$build/$1 log=$build/$1.log compiler=$2
  shift 2
  { cmake -G Ninja -S . -B "$folder" -DCMAKE_BUILD_TYPE=Release -DSILLION_COVERAGE=ON -DCMAKE_CXX_COMPILER="$compiler" &&
      cmake --build "$folder" -j "$(nproc)" --target "$@"; } >"$log" 2>&1 || { tail -n 20 "$log" >&2; exit 1; }
}

# The tests Library.* look for counters and the like in the built library, which has some in these builds. Those that cut
# the power at any byte take most of the time and reach nothing that others do not.
run_tests() {
  "$build/$1/tests/controller_tests" --gtest_brief=1 --gtest_filter="-Library.*:*.APowerLossAtAnyByte*" \
    >"$build/$1.tests.log" 2>&1 ||
    { tail -n 20 "$build/$1.tests.log" >&2; status=1; }
}

# Facts of g++, a line each, tabs between: `line FILE LINE RAN` and `arc FILE LINE WHICH RAN`. Inline code stands in
# several objects and so comes several times. An arc is a branch's way out; those of exceptions are none of the source's.
facts_of_gcc() {
  find "$build/gcc" -name '*.gcda' -print0 | xargs -0 -r gcov --json-format --stdout --branch-probabilities |
    jq -r '.files[] | select(.file | startswith("controller/")) | .file as $file | .lines[] |
      .line_number as $line | .function_name as $function |
      ["line", $file, $line, (if .count > 0 then 1 else 0 end)],
      (.branches | to_entries[] | select(.value.throw | not) |
        ["arc", $file, $line, "\($function) \(.key)", (if .value.count > 0 then 1 else 0 end)]) | @tsv'
}

# Facts of clang: `condition FILE FROM TO TIMES_TRUE TIMES_FALSE` and `shown FILE FROM TO WHICH SHOWN`, where FROM and TO
# are a line and a column each.
facts_of_clang() {
  llvm-profdata-19 merge -sparse "$build/clang.profraw" -o "$build/clang.profdata"
  llvm-cov-19 export "$build/clang/tests/controller_tests" -instr-profile="$build/clang.profdata" |
    jq -r --arg root "$PWD/" '.data[].functions[] | .filenames as $files |
      ($files[0] | ltrimstr($root) | sub("^build/coverage/clang/"; "")) as $file |
      select($file | startswith("controller/")) |
      (.branches[] | select(.[6] == 0) | ["condition", $file, .[0:6][]]),
      (.mcdc_records[] | .[0:4] as $span | .[-1] | to_entries[] |
        ["shown", $file, $span[], .key, (if .value then 1 else 0 end)]) | @tsv'
}

if [ "$suite" = yes ]; then
  if [ "$run" = yes ]; then
    build_with gcc g++ sillion
    find "$build/gcc" -name '*.gcda' -delete
    "$build/gcc/sillion" check scenarios/pull_request.toml --quiet --out "$build/suite" || status=1
    facts_of_gcc >"$build/suite.facts"
  fi
  awk -f tests/quality/coverage_of_suite.awk "$build/suite.facts"
  exit "$status"
fi

if [ "$run" = yes ]; then
  rm -f "$build/tests.facts"  # so that a run that ends early leaves none of the run before
  build_with gcc g++ controller_tests
  find "$build/gcc" -name '*.gcda' -delete
  run_tests gcc
  # All is compiled anew (the compiler cache makes that cheap), so that every warning stands in the log.
  [ ! -e "$build/clang/build.ninja" ] || cmake --build "$build/clang" --target clean >/dev/null
  build_with clang clang++-19 controller_tests
  if grep -A 2 'unsupported MC/DC' "$build/clang.log"; then status=1; fi
  LLVM_PROFILE_FILE="$build/clang.profraw" run_tests clang
  { facts_of_gcc; facts_of_clang; } | sort -t '	' -k1,1 -k2,2 -k3,3n -k4,4n >"$build/tests.facts"
fi
[ -s "$build/tests.facts" ] || { echo "coverage: nothing was counted" >&2; exit 1; }

counted=$status
awk -v exceptions="$exceptions" -v table="$build/table.txt" -f tests/quality/coverage.awk "$build/tests.facts" || status=1
{
  echo "# What controller_tests reach of controller/ (reached/all); bash tests/quality/coverage.sh --keep writes this"
  echo "# with $(g++ --version | head -n 1) and $(clang++-19 --version | head -n 1)"
  cat "$build/table.txt"
} >"$build/coverage_table.txt"
if [ "$keep" = yes ]; then
  cp "$build/coverage_table.txt" "$table"
elif ! cmp -s "$build/coverage_table.txt" "$table"; then
  echo "$table is from other sources or other compilers; --keep renews it"
fi
# Counts of a run that failed are not there for --fast, which would take them for those of one that passed.
[ "$counted" = 0 ] || rm -f "$build/tests.facts"
exit "$status"
