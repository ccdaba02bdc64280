#!/usr/bin/env python3
"""Writes the table of a run of mutants, and fails where a mutant that is left alive has no reason.

usage: mutants_table.py RESULTS REASONS TABLE

REASONS has a line per mutant or group of mutants, with tabs between: file, text of the source line, before -> after, class,
reason. Each of the first three may hold wildcards * and ?; the text of a line is found wherever it stands. The classes are
  equivalent   no input that the interface admits makes a difference
  within       the difference is within what requirements and tests leave open by intention
  open         a test could be written, and is not
  untried      the dearer tests and the suite have not been tried on it
RESULTS has beside it run.txt, a sentence on what was tried; it goes into the table. A share of a sample that was tried again
after tests were added is no estimate for all mutants, so that no interval stands beside it.
"""

import collections
import fnmatch
import math
import os
import sys

CLASSES = ("equivalent", "within", "open", "untried")
WANTED = 0.95
AGAIN = "was tried again"  # in the sentence that try_mutants.py writes on a run with --again


def pattern(text):
    """[ is no wildcard here."""
    return text.replace("[", "[[]")


def read_reasons(path):
    reasons = []
    with open(path) as file:
        for number, line in enumerate(file, 1):
            if line.startswith("#") or not line.strip():
                continue
            parts = line.rstrip("\n").split("\t")
            if len(parts) != 5 or parts[3] not in CLASSES:
                sys.exit(f"{path}:{number}: error: wanted, with tabs: file, line, before -> after, {' or '.join(CLASSES)}, reason")
            reasons.append((number, *parts))
    return reasons


def wilson(killed, count):
    """95 % interval of a share (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927)."""
    z, p = 1.959964, killed / count
    middle = (p + z * z / (2 * count)) / (1 + z * z / count)
    half = z / (1 + z * z / count) * math.sqrt(p * (1 - p) / count + z * z / (4 * count * count))
    return middle - half, middle + half


def share(killed, count):
    return f"{100 * killed / count:.1f}" if count else "-"


def count_table(rows, key, title):
    counts = collections.defaultdict(collections.Counter)
    for row in rows:
        counts[key(row)][killer_of(row)] += 1
    lines = [f"| {title} | mutants | controller_tests | tests of sim/measure | suite: red | suite: waits | left | killed % |",
             "|---|---|---|---|---|---|---|---|"]
    total = collections.Counter()
    for name in sorted(counts):
        total.update(counts[name])
    for name, count in [(name, counts[name]) for name in sorted(counts)] + [("all", total)]:
        every = sum(count.values())
        lines.append(f"| {name} | {every} | {count['controller_tests']} | {count['tests of sim/measure']} | {count['red']} | "
                     f"{count['waits']} | {count['left']} | {share(every - count['left'], every)} |")
    return lines


def killer_of(row):
    if row["state"] != "killed":
        return "left"
    name, how = row["by"].split(": ", 1)
    if name != "pull-request suite":
        return name
    return "waits" if how.startswith("waits for acceptance") else "red"


def main():
    results, reasons_path, table = sys.argv[1:4]
    names = ("number", "file", "line", "column", "operator", "before", "after", "state", "by", "seconds")
    with open(results) as file:
        rows = [dict(zip(names, line.rstrip("\n").split("\t"))) for line in file]
    reasons = read_reasons(reasons_path)
    texts = {}
    used, bare, groups = set(), [], collections.defaultdict(list)
    for row in rows:
        if row["file"] not in texts:
            with open(row["file"]) as file:
                texts[row["file"]] = file.read().split("\n")
        row["text"] = texts[row["file"]][int(row["line"]) - 1].strip()
        row["change"] = f"{row['before']} -> {row['after']}"
        if row["state"] == "killed":
            continue
        for number, file, line, change, kind, reason in reasons:
            if (fnmatch.fnmatchcase(row["file"], pattern(file)) and fnmatch.fnmatchcase(row["text"], pattern(line))
                    and fnmatch.fnmatchcase(row["change"], pattern(change))):
                used.add(number)
                groups[(CLASSES.index(kind), reason)].append(row)
                break
        else:
            bare.append(row)

    killed = sum(row["state"] == "killed" for row in rows)
    same = sum(len(some) for (kind, _), some in groups.items() if CLASSES[kind] == "equivalent")
    words = [f"{killed} of {len(rows)} mutants are killed ({share(killed, len(rows))} %); of those that are not listed as "
             f"equivalent ({same}) it is {share(killed, len(rows) - same)} %. At least {100 * WANTED:.0f} % are asked for.", ""]
    with open(os.path.join(os.path.dirname(results), "run.txt")) as file:
        tried = file.read().strip()
    if AGAIN in tried and not tried.startswith("All "):
        words += ["Of all mutants this says nothing: tests were written for those of the sample that were left alive."]
    elif not tried.startswith("All "):
        least, most = wilson(killed, len(rows))
        words += [f"Taken as a sample of all mutants of this kind: {100 * least:.1f} to {100 * most:.1f} % (Wilson, 95 %)."]
    lines = ["# Mutants", "", "Written by `bash tests/quality/mutants.sh`; do not edit.", "", tried, ""] + words + [""]
    lines += ["`waits` counts mutants that change results of the suite inside its limits, which `--strict` does not let pass.",
              ""]
    lines += count_table(rows, lambda row: row["file"], "file") + [""]
    lines += count_table(rows, lambda row: row["operator"], "operator") + [""]
    lines += ["## Left alive", ""]
    if bare:
        groups[(len(CLASSES), "no reason is stated")] = bare
    for (kind, reason), some in sorted(groups.items(), key=lambda one: (one[0][0], -len(one[1]), one[0][1])):
        label = CLASSES[kind] if kind < len(CLASSES) else "without a reason"
        lines += [f"**{label}, {len(some)}:** {reason}", "", "```text"]
        lines += [f"{row['file']}:{row['line']}:{row['column']}: {row['change']}" +
                  ("" if row["state"] == "alive" else "  (no test meets it)") for row in some]
        lines += ["```", ""]
    with open(table, "w") as file:
        file.write("\n".join(lines).replace("[](", "[] ("))  # a lambda is no link

    # A sample is held against the reasons alone: its share scatters.
    whole = tried.startswith("All ")
    bad = 0
    for row in bare[:40]:
        print(f"without a reason: {row['file']}:{row['line']}:{row['column']}: {row['change']}   in: {row['text']}")
    if len(bare) > 40:
        print(f"and {len(bare) - 40} more, see {table}")
    if whole:
        for number, *parts in reasons:
            if number not in used:
                print(f"{reasons_path}:{number}: names no mutant that is left alive: {', '.join(parts[:3])}")
                bad = 1
    print("\n".join(words))
    sys.exit(1 if bare or bad or (whole and killed < WANTED * (len(rows) - same)) else 0)


main()
