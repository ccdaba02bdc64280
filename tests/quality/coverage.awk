# Judges the facts that coverage.sh collects, sorted by kind, file and place: writes the table into the file `table`,
# prints what is left out, and ends with 1 where `exceptions` and what is left out differ.
#
# A finding is named by its text, so that its line may move: by the line's, or by the condition's.
BEGIN { FS = "\t"; read_exceptions() }

{ read_source($2) }
$1 == "line" { key = $2 FS $3; add(lines, ran_lines, key, $4); next }
$1 == "arc" { key = $2 FS $3 FS $4; add(arcs, ran_arcs, key, $5); next }
$1 == "condition" {
  key = $2 FS $3 FS $4 FS $5 FS $6
  if (!(key in conditions)) ordered[++count] = key
  conditions[key] = 1; true_of[key] += $7; false_of[key] += $8
  next
}
$1 == "shown" { key = $2 FS $3 FS $4 FS $5 FS $6 FS $7; add(decided, shown, key, $8) }

END {
  for (key in lines) tally("lines", key, ran_lines[key], "line", line_of(key))
  for (key in arcs) {
    split(key, part, FS)
    at = part[1] FS part[2]
    all["arcs", part[1]]++; all["arcs", ""]++
    got["arcs", part[1]] += ran_arcs[key]; got["arcs", ""] += ran_arcs[key]
    if (!ran_arcs[key]) missing_arcs[at]++
  }
  for (at in missing_arcs) found("arcs " missing_arcs[at], at, line_of(at))
  for (key in conditions) {
    tally("branches", key, true_of[key] > 0, "never true", text_of(key))
    tally("branches", key, false_of[key] > 0, "never false", text_of(key))
  }
  for (key in decided) tally("mcdc", key, shown[key], "never alone", condition_in(key))
  write_table()
  for (kind in excepted) if (excepted[kind] > 0) {
    printf "reached, but %s calls it out of reach: %s\n", exceptions, kind; bad = 1
  }
  printf "left out: %d lines and %d branches by g++, %d branches and the MC/DC of %d conditions by clang; " \
         "%d of these stand listed with a reason\n",
         left("lines"), left("arcs"), left("branches"), left("mcdc"), listed
  exit bad
}

function add(set, ran, key, by) { set[key] = 1; if (by > 0) ran[key] = 1; else ran[key] += 0 }
function left(what) { return all[what, ""] - got[what, ""] }

function tally(what, key, reached, kind, text,    part) {
  split(key, part, FS)
  all[what, part[1]]++; all[what, ""]++
  if (reached) { got[what, part[1]]++; got[what, ""]++ } else found(kind, key, text)
}

function found(kind, key, text,    part, name) {
  split(key, part, FS)
  name = kind " | " part[1] " | " text
  if (excepted[name] > 0) { excepted[name]--; listed++; return }
  printf "without a reason: %s:%d: %s: %s\n", part[1], part[2], kind, text
  bad = 1
}

# Lines of the file, read once.
function read_source(file,    text, n) {
  if (file in read_files) return
  read_files[file] = 1
  while ((getline text < file) > 0) { source[file, ++n] = text }
  close(file)
}
function trimmed(text) { gsub(/^[ \t]+|[ \t]+$/, "", text); return text }
function line_of(key,    part) { split(key, part, FS); return trimmed(source[part[1], part[2]]) }
function text_of(key,    part, text, n) {
  split(key, part, FS)
  if (part[2] == part[4]) return substr(source[part[1], part[2]], part[3], part[5] - part[3])
  text = trimmed(substr(source[part[1], part[2]], part[3]))
  for (n = part[2] + 1; n < part[4]; ++n) text = text " " trimmed(source[part[1], n])
  return text " " trimmed(substr(source[part[1], part[4]], 1, part[5] - 1))
}

# The condition with this number, from 0, of the decision: conditions stand in the order of the source.
function condition_in(key,    part, one, n, which) {
  split(key, part, FS)
  which = part[6]
  for (n = 1; n <= count; ++n) {
    split(ordered[n], one, FS)
    if (one[1] != part[1] || before(one[2], one[3], part[2], part[3]) ||
        before(part[4], part[5], one[4], one[5])) continue
    if (which-- == 0) return text_of(ordered[n])
  }
  return text_of(key)
}
function before(line, column, other, other_column) {
  return line + 0 < other + 0 || (line + 0 == other + 0 && column + 0 < other_column + 0)
}

# Each row stands for one finding: KIND | FILE | TEXT | reason
function read_exceptions(    row, at, name, k) {
  while ((getline row < exceptions) > 0) {
    if (row ~ /^#/ || row ~ /^[ ]*$/) continue
    name = row
    if (!match(name, / \| [^|]*$/)) { printf "%s: no reason in: %s\n", exceptions, row; bad = 1; continue }
    excepted[substr(name, 1, RSTART - 1)]++
  }
  close(exceptions)
}

function share(what, file) { return all[what, file] ? got[what, file] + 0 "/" all[what, file] : "-" }
function row_of(name, file) {
  return sprintf("%-34s %11s %11s %11s %11s", name, share("lines", file), share("arcs", file), share("branches", file),
                 share("mcdc", file))
}
function write_table(    key, part, files, sorted, file) {
  printf "%-34s %11s %11s %11s %11s\n", "", "lines", "branches", "branches", "MC/DC" > table
  printf "%-34s %11s %11s %11s %11s\n", "file", "g++", "g++", "clang", "clang" > table
  close(table)
  sorted = "LC_ALL=C sort >> " table
  for (key in lines) { split(key, part, FS); files[part[1]] = 1 }
  for (file in files) print row_of(file, file) | sorted
  close(sorted)
  print row_of("all of controller/", "") >> table
  close(table)
}
