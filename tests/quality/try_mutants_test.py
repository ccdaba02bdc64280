#!/usr/bin/env python3
"""What try_mutants.py counts as a kill, with a shell script in place of the instrumented tests. ctest runs it."""

import os
import pathlib
import subprocess
import sys
import tempfile
import unittest

TRY_MUTANTS = pathlib.Path(__file__).with_name("try_mutants.py")

# Each test meets the mutant of its number. 1 and 4 fail because of their mutants, by an answer and by a signal; 2, 3 and 5
# fail without it too: a test that leans on one before it, a disk that is full, a process that was ended from outside.
TESTS = r"""#!/bin/sh
if [ -n "$MUTANT_SEEN" ]; then
  for n in 1 2 3 4 5 6; do printf 'Try.Test%s\t1.0\t%s,\n' $n $n; done >"$MUTANT_SEEN"
  exit "${BROKEN:-0}"
fi
case "$*" in
  *Test1) [ "$MUTANT" != 1 ] || { echo '[  FAILED  ] Try.Test1 (0 ms)'; exit 1; } ;;
  *Test2) echo '[  FAILED  ] Try.Test2 (0 ms)'; exit 1 ;;
  *Test3) echo 'No space left on device'; exit 2 ;;
  *Test4) [ "$MUTANT" != 4 ] || kill -PROF $$ ;;
  *Test5) kill -KILL $$ ;;
esac
"""


class TryMutants(unittest.TestCase):
    def setUp(self):
        self.scratch = tempfile.TemporaryDirectory()
        self.build = pathlib.Path(self.scratch.name)
        (self.build / "copy").mkdir()
        (self.build / "tests").mkdir()
        self.name_mutants(10)
        tests = self.build / "tests" / "mutants_controller"
        tests.write_text(TESTS)
        tests.chmod(0o755)

    def tearDown(self):
        self.scratch.cleanup()

    def name_mutants(self, first_line):
        rows = [f"{n}\tcontroller/a.cc\t{first_line + n}\t1\trelation\t<\t<=\n" for n in range(1, 7)]
        (self.build / "copy" / "mutants.tsv").write_text("".join(rows))

    def run_it(self, *words, **environment):
        return subprocess.run([sys.executable, TRY_MUTANTS, self.build, "--only", "controller_tests", *words],
                              env={**os.environ, **environment}, capture_output=True, text=True, check=False)

    def states(self):
        rows = [line.split("\t") for line in (self.build / "results.tsv").read_text().splitlines()]
        return {int(row[0]): row[7] for row in rows}

    def test_only_what_runs_through_without_the_mutant_kills_it(self):
        ended = self.run_it()
        self.assertEqual(self.states(), {1: "killed", 2: "alive", 3: "alive", 4: "killed", 5: "alive", 6: "alive"},
                         ended.stderr)
        self.assertIn("Try.Test2 does not run through without a mutant", ended.stderr)
        self.assertIn("3 kills were not counted", ended.stderr)
        self.assertEqual(ended.returncode, 1)

    def test_again_takes_no_outcome_for_that_of_another_mutant(self):
        self.run_it()
        self.name_mutants(11)  # a line was put in above them
        ended = self.run_it("--again")
        self.assertEqual(ended.returncode, 1)
        self.assertIn("no longer the same change", ended.stderr)

    def test_a_sample_that_was_tried_again_is_no_estimate_for_all(self):
        (self.build / "controller").mkdir()
        (self.build / "controller" / "a.cc").write_text("x\n" * 20)
        (self.build / "left.txt").write_text("controller/a.cc\tx\t*\topen\ta test could be written\n")
        for words, estimates in ((["--sample", "6"], True), (["--again"], False)):
            self.run_it(*words)
            subprocess.run([sys.executable, TRY_MUTANTS.with_name("mutants_table.py"), "results.tsv", "left.txt", "table.md"],
                           cwd=self.build, capture_output=True, check=False)
            table = (self.build / "table.md").read_text()
            self.assertIn("2 of 6 mutants are killed", table)
            self.assertEqual("Wilson" in table, estimates)

    def test_a_recording_that_failed_is_not_taken_for_a_whole_one(self):
        ended = self.run_it(BROKEN="1")
        self.assertIn("fails without a mutant", ended.stderr)
        self.assertFalse((self.build / "tests" / "mutants_controller.seen").exists())
        self.run_it()
        self.assertEqual(self.states()[1], "killed")


if __name__ == "__main__":
    unittest.main()
