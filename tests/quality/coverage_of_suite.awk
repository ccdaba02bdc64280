# Prints, from the facts of g++ after the pull-request suite: how many lines of each file of controller/ it runs, and
# the lines that it leaves out.
BEGIN { FS = "\t" }
$1 == "line" {
  key = $2 FS $3
  if (!(key in ran)) { all[$2]++; total++; ran[key] = 0 }
  if ($4 > 0 && !ran[key]) { ran[key] = 1; got[$2]++; total_got++ }
}
END {
  if (total == 0) { print "coverage: nothing was counted"; exit 1 }
  printf "%-34s %6s %14s\n", "file", "lines", "suite alone"
  for (file in all) printf "%-34s %6d %5d  %5.1f %%\n", file, all[file], got[file], 100 * got[file] / all[file] | "sort"
  close("sort")
  printf "%-34s %6d %5d  %5.1f %%\n\n", "all of controller/", total, total_got, 100 * total_got / total
  print "Lines that the suite alone leaves out:"
  for (key in ran) if (!ran[key]) { split(key, part, FS); print part[1] ":" part[2] | "sort -t : -k1,1 -k2,2n" }
  close("sort -t : -k1,1 -k2,2n")
}
