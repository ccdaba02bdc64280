#!/usr/bin/env python3
"""Tries every mutant of an instrumented build against the tests that meet it; mutants.sh builds and calls this.

usage: try_mutants.py BUILD [--sample N [--skip M]] [--again] [--dearest-test S] [--suite-seconds S] [--jobs N]

BUILD/copy/mutants.tsv lists the mutants, BUILD/results.tsv gets what became of each:
  number, file, line, column, operator, before, after, state (killed, alive, not met), by whom, seconds
A mutant is killed when a test fails, when the process is ended by a signal or when it uses up ten times the processor
time of the tests that it was given, and 0.2 s besides (2 s in the suite). In the order of cost: controller_tests, the
tests of sim/measure, and the cases of the pull-request suite with --strict, cheapest first, until S seconds of
processor time are spent on that mutant. Tests and cases that by themselves take longer than is allowed
(--dearest-test, --suite-seconds) are left out.

A kill counts only where the same runs through without the mutant: for a test that failed it is tried once, alone, and
for all else (a signal, a limit, an exit code of no test, a case of the suite) after every kill. Otherwise the machine
or the tests are at fault and not the mutant: a full disk, a process that was ended from outside, a test that leans on
another one. That is told, the mutant stays alive, and the exit code is 1.
"""

import argparse
import collections
import concurrent.futures
import hashlib
import os
import re
import signal
import subprocess
import sys
import tempfile
import threading
import time

SUITE = "scenarios/pull_request.toml"
STEPS_S = (-1.0, 0.002, 0.02, 1e9)  # tests run cheap ones first, in groups between these costs
AGAIN = "Then tests were added, and what was left alive was tried again against"  # mutants_table.py looks for it
Mutant = collections.namedtuple("Mutant", "number file line column operator before after")


def read_mutants(build):
    with open(f"{build}/copy/mutants.tsv") as file:
        rows = [line.rstrip("\n").split("\t") for line in file]
    return [Mutant(int(row[0]), row[1], int(row[2]), int(row[3]), *row[4:]) for row in rows]


def run(command, limit_ms, **environment):
    """(exit code, output, processor seconds); a code below 0 is the signal that ended it."""
    environment = {**os.environ, "GTEST_FAIL_FAST": "1", "MUTANT_CPU_MS": str(int(limit_ms)), **environment}
    with tempfile.TemporaryFile() as out:
        child = subprocess.Popen(command, stdout=out, stderr=subprocess.STDOUT, env=environment, start_new_session=True)
        # For one that sleeps: no processor time runs out.
        patience = threading.Timer(600 + limit_ms / 1000 * 100, os.killpg, (child.pid, signal.SIGKILL))
        patience.start()
        _, status, usage = os.wait4(child.pid, 0)
        patience.cancel()
        child.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        return child.returncode, out.read().decode(errors="replace"), usage.ru_utime + usage.ru_stime


def newer(path, than):
    return os.path.exists(path) and os.path.getmtime(path) > os.path.getmtime(than)


def record(command, seen):
    """Runs without a mutant and writes down which mutants are met: whole, or not at all. (exit code, output)"""
    partial = seen + ".partial"
    if os.path.exists(partial):
        os.remove(partial)
    code, output, _ = run(command, 0, MUTANT="0", MUTANT_SEEN=os.path.abspath(partial))
    if code == 0:
        os.replace(partial, seen)
    return code, output


class Killer:
    """Something that can kill: per unit (a test, a case) what it costs and which mutants it meets."""

    def __init__(self, name):
        self.name = name
        self.cost_s = {}
        self.doubted = 0  # kills that were not counted
        self.meets = collections.defaultdict(list)  # mutant -> units

    def runs_through(self, what, command, limit_ms):
        """Whether the command runs through without a mutant, with the same limit; tells where it does not."""
        code, output, _ = run(command, limit_ms, MUTANT="0")
        if code != 0:
            self.doubted += 1
            print(f"{self.name}: {what} does not run through without a mutant, and kills none: {words_of(code, output)}",
                  file=sys.stderr, flush=True)
        return code == 0

    def read(self, path, unit=None):
        everywhere = []
        with open(path) as file:
            for line in file:
                name, spent_ms, numbers = line.rstrip("\n").split("\t")
                numbers = [int(one) for one in numbers.split(",") if one]
                name = unit or name
                if name == "(start)":
                    everywhere += numbers
                    continue
                self.cost_s[name] = max(self.cost_s.get(name, 0.0), float(spent_ms) / 1000)
                for number in numbers:
                    if not self.meets[number] or self.meets[number][-1] != name:
                        self.meets[number].append(name)
        for number in everywhere:
            self.meets[number] = [one for one in self.cost_s if one != "(process)"]


def words_of(code, output):
    if code == -signal.SIGPROF or code == -signal.SIGKILL:
        return "takes too long"
    if code < 0:
        return "crashes"
    found = re.search(r"\[  FAILED  \] (\S+)", output)
    return found.group(1).rstrip(",") if found else f"exit code {code}"


class Tests(Killer):
    def __init__(self, name, binary, build, dearest_s):
        super().__init__(name)
        self.dearest_s = dearest_s
        self.binary = binary
        self.sound = {}  # test -> whether it passes alone, without a mutant
        seen = f"{binary}.seen"
        if not newer(seen, binary):
            code, output = record([binary, "--gtest_brief=1"], seen)
            if code != 0:
                sys.exit(f"{name} fails without a mutant:\n{output[-3000:]}")
        self.read(seen)

    def is_sound(self, command, limit_ms, code, output):
        """Whether what killed a mutant runs through without one."""
        test = words_of(code, output)
        if code != 1 or test not in self.cost_s:
            return self.runs_through(command[-1], command, limit_ms)
        if test not in self.sound:
            self.sound[test] = self.runs_through(test, [*command[:-1], "--gtest_filter=" + test], limit_ms)
        return self.sound[test]

    def kill(self, mutant, _):
        """In groups, because a process runs its tests in the order of the files."""
        units = [one for one in self.meets.get(mutant.number, []) if one != "(process)"]
        all_s = 0.0
        for least_s, most_s in zip(STEPS_S, STEPS_S[1:]):
            some = [one for one in units if least_s < self.cost_s[one] <= min(most_s, self.dearest_s)]
            if not some:
                continue
            limit_ms = 200 + 10_000 * sum(self.cost_s[one] for one in some)
            command = [self.binary, "--gtest_brief=1", "--gtest_filter=" + ":".join(some)]
            code, output, spent_s = run(command, limit_ms, MUTANT=str(mutant.number))
            all_s += spent_s
            if code != 0 and self.is_sound(command, limit_ms, code, output):
                return words_of(code, output), all_s
        return None, all_s


class Suite(Killer):
    def __init__(self, name, program, build, jobs, dearest_s):
        super().__init__(name)
        self.program = program
        self.build = build
        _, plan, _ = run([program, "check", SUITE, "--dry-run"], 0)
        planned = re.findall(r"^ *(?:mandatory|optional) +\d+ row-seconds +([0-9.]+) s  (.*)$", plan, re.M)
        if not planned:
            sys.exit(f"{name}: its plan names no case:\n{plan[-3000:]}")
        cases = [case for cost_s, case in planned if float(cost_s) <= dearest_s]
        print(f"{len(cases)} of {len(planned)} cases take at most {dearest_s} s by the plan", flush=True)
        os.makedirs(f"{build}/suite", exist_ok=True)
        with concurrent.futures.ThreadPoolExecutor(jobs) as pool:
            list(pool.map(self.write_down, cases))
        for case in cases:
            self.read(self.seen_file(case), case)

    def seen_file(self, case):
        return f"{self.build}/suite/{hashlib.sha256(case.encode()).hexdigest()[:16]}.seen"

    def command(self, case, folder):
        return [self.program, "check", SUITE, "--only", case, "--strict", "--quiet", "--threads", "1", "--out", folder]

    def write_down(self, case):
        seen = self.seen_file(case)
        if newer(seen, self.program):
            return
        with tempfile.TemporaryDirectory(dir=self.build) as folder:
            code, output = record(self.command(case, folder), seen)
        if code != 0:
            sys.exit(f"{case} is red without a mutant:\n{output[-3000:]}")

    def kill(self, mutant, allowed_s):
        all_s = 0.0
        with tempfile.TemporaryDirectory(dir=self.build) as folder:
            for case in sorted(self.meets.get(mutant.number, []), key=lambda one: self.cost_s[one]):
                if all_s + self.cost_s[case] > allowed_s:
                    break
                command, limit_ms = self.command(case, folder), 2000 + 10_000 * self.cost_s[case]
                code, output, spent_s = run(command, limit_ms, MUTANT=str(mutant.number))
                all_s += spent_s
                if code != 0 and self.runs_through(case, command, limit_ms):
                    kind = "waits for acceptance: " if code == 6 else ""
                    how = words_of(code, output)
                    return kind + case + ("" if code > 0 else " " + how), all_s
        return None, all_s


def sampled(mutants, count, skipped):
    """As many, chosen by the hash of what they are, so that an edit elsewhere leaves the choice alone."""
    def key(mutant):
        return hashlib.sha256("\t".join((mutant.file, mutant.before, mutant.after, str(mutant.column))).encode()).digest()
    return sorted(sorted(mutants, key=key)[skipped:skipped + count], key=lambda mutant: mutant.number)


def read_outcome(results, mutants):
    """What became of each mutant of an earlier run. Its numbers stand for the same changes as long as no source of
    controller/ and sim/measure/ has changed; after that they would stand for others."""
    outcome = {}
    named = {mutant.number: [str(one) for one in mutant] for mutant in mutants}
    with open(results) as file:
        for row in (line.rstrip("\n").split("\t") for line in file):
            if named.get(int(row[0])) != row[:7]:
                sys.exit(f"{results}: mutant {row[0]} ({row[1]}:{row[2]}) is no longer the same change: "
                         "the sources have moved on since that run, so begin anew, without --again")
            outcome[int(row[0])] = row[7:]
    return outcome


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("build")
    parser.add_argument("--sample", type=int, default=0)
    parser.add_argument("--skip", type=int, default=0)
    parser.add_argument("--again", action="store_true")
    parser.add_argument("--suite-seconds", type=float, default=4.0)
    parser.add_argument("--dearest-test", type=float, default=1.0)
    parser.add_argument("--only", default="", help="only this one: controller_tests, measure or suite")
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    options = parser.parse_args()
    build = options.build
    results = f"{build}/results.tsv"
    mutants = read_mutants(build)
    outcome = {}
    if options.again:
        outcome = read_outcome(results, mutants)
        chosen = [one for one in mutants if outcome.get(one.number, ["killed"])[0] != "killed"]
    else:
        chosen = sampled(mutants, options.sample, options.skip) if options.sample else mutants
    everyone = [one for one in mutants if one.number in outcome] if options.again else chosen
    # What nothing has tried yet counts as not met.
    for mutant in chosen:
        outcome.setdefault(mutant.number, ["not met", "", "0.00"])

    if options.again:
        with open(f"{build}/run.txt", "a") as file:
            file.write(f"{AGAIN} tests of at most {options.dearest_test:g} s each and cases for "
                       f"{options.suite_seconds:g} s; {len(everyone) - len(chosen)} had been killed before.\n")
    else:
        with open(f"{build}/run.txt", "w") as file:
            behind = f" from the {options.skip + 1}th on" if options.skip else ""
            what = f"A sample of {len(chosen)} of {len(mutants)} mutants, chosen by hash{behind}" if options.sample else \
                f"All {len(mutants)} mutants"
            file.write(f"{what}, against tests of at most {options.dearest_test:g} s each and, where no test fails, cases of "
                       f"the suite for {options.suite_seconds:g} s of processor time per mutant.\n")
    start = time.monotonic()
    left, doubted = chosen, 0
    killers = {"controller_tests": lambda: Tests("controller_tests", f"{build}/tests/mutants_controller", build,
                                                 options.dearest_test),
               "measure": lambda: Tests("tests of sim/measure", f"{build}/tests/mutants_measure", build,
                                        options.dearest_test),
               "suite": lambda: Suite("pull-request suite", f"{build}/sillion", build, options.jobs,
                                       options.suite_seconds)}
    if options.suite_seconds == 0:
        del killers["suite"]
    for build_killer in [made for name, made in killers.items() if options.only in ("", name)]:
        killer = build_killer()
        print(f"{killer.name}: {len(left)} mutants, {len(killer.cost_s)} tests or cases, "
              f"{sum(killer.cost_s.values()):.0f} s of processor time without a mutant", flush=True)
        with concurrent.futures.ThreadPoolExecutor(options.jobs) as pool:
            done = pool.map(lambda one: (one, *killer.kill(one, options.suite_seconds)), left)
            spent_s, alive = 0.0, []
            for count, (mutant, by, cost_s) in enumerate(done, 1):
                spent_s += cost_s
                if by is not None:
                    outcome[mutant.number] = ["killed", killer.name + ": " + by, f"{cost_s:.2f}"]
                else:
                    alive.append(mutant)
                    met = killer.meets.get(mutant.number) or outcome.get(mutant.number, ["not met"])[0] == "alive"
                    outcome[mutant.number] = ["alive" if met else "not met", "", f"{cost_s:.2f}"]
                if count % 250 == 0:
                    print(f"  {count} of {len(left)} tried, {count - len(alive)} killed, "
                          f"{time.monotonic() - start:.0f} s", flush=True)
        left = alive
        doubted += killer.doubted
        with open(results, "w") as file:
            for mutant in everyone:
                file.write("\t".join([str(one) for one in mutant] + outcome[mutant.number]) + "\n")
        print(f"{killer.name}: {len(left)} are left; {spent_s:.0f} s of processor time", flush=True)
    print(f"{len(everyone) - len(left)} of {len(everyone)} mutants killed in {(time.monotonic() - start) / 60:.1f} min")
    if doubted > 0:
        sys.exit(f"{doubted} kills were not counted: see above")


if __name__ == "__main__":
    main()
