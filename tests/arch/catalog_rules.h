// Rules on the tree as a whole: a catalog lists every file of its folder, and the top folder holds
// only what belongs there.
//
// Checked  tests/arch/rules_test.cc
#pragma once

#include <algorithm>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "tests/arch/arrow_rules.h"
#include "tests/arch/code_text.h"
#include "tests/arch/tree.h"

namespace arch {

/// late_edges -> LateEdges
inline std::string type_name_of(const std::string& stem) {
  std::string name;
  bool capital = true;
  for (const char c : stem) {
    if (c != '_') name += capital && c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
    capital = c == '_';
  }
  return name;
}

/// Each fault is a header beside the catalog: it names its kind, the catalog includes it, and a row
/// of the catalog holds its type. seam.h is no fault but what faults bend.
inline std::vector<Finding> fault_catalog_findings(const std::vector<SourceFile>& tree) {
  const std::string folder = "sim/scenario/faults/";
  const std::string catalog = folder + "catalog.h";
  std::vector<Finding> findings;
  std::set<std::string> files;
  std::set<std::string> included;
  std::string rows;
  for (const SourceFile& file : tree) {
    if (file.path == catalog) {
      rows = bare_code(file.text, true);
      for (const Include& include : includes_of(file)) {
        if (starts_with(include.what, folder)) included.insert(include.what);
      }
    } else if (starts_with(file.path, folder) && is_header(file.path) &&
               file.path != folder + "seam.h") {
      files.insert(file.path);
      const std::string kind =
          file.path.substr(folder.size(), file.path.rfind('.') - folder.size());
      if (file.text.find("\"" + kind + "\"") == std::string::npos) {
        findings.push_back({file.path, 0, "does not say its kind \"" + kind + "\""});
      }
    }
  }
  if (rows.empty()) findings.push_back({catalog, 0, "is not there: a reader finds no faults"});
  for (const std::string& file : files) {
    const std::string type =
        type_name_of(file.substr(folder.size(), file.rfind('.') - folder.size()));
    if (included.count(file) == 0) findings.push_back({file, 0, "is not included by " + catalog});
    if (find_word(rows, type) == std::string::npos) {
      findings.push_back({file, 0, type + " is no row of " + catalog});
    }
  }
  for (const std::string& file : included) {
    if (files.count(file) == 0) {
      findings.push_back({catalog, 0, "includes " + file + ", which is not there"});
    }
  }
  return findings;
}

/// The top level holds our folders, two pages, the build file and its presets. Names that begin
/// with a dot belong to tools and are not judged.
inline std::vector<Finding> top_findings(const std::vector<std::string>& names) {
  static const std::set<std::string> kHouse = {
      "shared", "model",          "controller",        "sim",       "scenarios",    "tests",
      "bench",  "CMakeLists.txt", "CMakePresets.json", "README.md", "DEVELOPERS.md"};
  std::vector<Finding> findings;
  for (const std::string& name : names) {
    if (name.front() != '.' && kHouse.count(name) == 0)
      findings.push_back({name, 0, "does not belong at the top"});
  }
  for (const std::string& name : kHouse) {
    if (std::find(names.begin(), names.end(), name) == names.end())
      findings.push_back({name, 0, "is missing at the top"});
  }
  return findings;
}

}  // namespace arch
