// Who may include whom: the arrows of the house, and the libraries that each folder may know.
//
//   shared <- model, shared <- controller, sim uses all but the controller, which it knows only by
//     shared/controller_abi.h
//   inside sim:  command, page -> output -> study -> bench -> measure -> scenario
//                scenario reads the names of metrics in measure's catalog: a requirement names one
//
// Checked  tests/arch/rules_test.cc
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "tests/arch/code_text.h"
#include "tests/arch/tree.h"

namespace arch {

struct Include {
  int line = 0;
  std::string what;
  bool ours = false;  // written with quotes
};

inline std::vector<Include> includes_of(const SourceFile& file) {
  std::vector<Include> found;
  const std::vector<std::string> lines = lines_of(bare_code(file.text, false));
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const std::size_t hash = lines[i].find_first_not_of(" \t");
    if (hash == std::string::npos || lines[i][hash] != '#') continue;
    const std::size_t word = lines[i].find("include", hash);
    const std::size_t open = lines[i].find_first_of("<\"", hash);
    if (word == std::string::npos || open == std::string::npos || open < word) continue;
    const std::size_t close = lines[i].find_first_of(">\"", open + 1);
    found.push_back({static_cast<int>(i) + 1, lines[i].substr(open + 1, close - open - 1),
                     lines[i][open] == '"'});
  }
  return found;
}

inline std::string folder_of(std::string_view path, int depth) {
  std::size_t end = 0;
  for (int i = 0; i < depth; ++i) {
    const std::size_t slash = path.find('/', end);
    if (slash == std::string_view::npos) return std::string(path.substr(0, end == 0 ? 0 : end - 1));
    end = slash + 1;
  }
  return std::string(path.substr(0, end - 1));
}

/// Our own folders that a file may include from; empty for folders that may include all.
inline std::optional<std::set<std::string>> reachable_folders(std::string_view path) {
  static const std::map<std::string, std::set<std::string>> kArrows = {
      {"shared", {"shared"}},
      {"model", {"shared", "model"}},
      {"controller", {"shared", "controller"}},
      {"sim/scenario", {"shared", "model", "sim/scenario", "sim/measure/catalog.h"}},
      {"sim/measure", {"shared", "model", "sim/measure", "sim/scenario"}},
      {"sim/bench", {"shared", "model", "sim/bench", "sim/measure", "sim/scenario"}},
      {"sim/study", {"shared", "model", "sim/study", "sim/bench", "sim/measure", "sim/scenario"}},
      {"sim/output",
       {"shared", "model", "sim/output", "sim/study", "sim/bench", "sim/measure", "sim/scenario"}},
      {"sim/page", {"shared", "model", "sim"}},
      {"sim/command", {"shared", "model", "sim"}},
      {"tests/shared", {"shared", "tests"}},
      {"tests/model", {"shared", "model", "tests"}},
      {"tests/controller", {"shared", "controller", "tests"}},
      {"tests/arch", {"tests", "shared"}},
  };
  for (int depth = 2; depth >= 1; --depth) {
    const auto row = kArrows.find(folder_of(path, depth));
    if (row != kArrows.end()) return row->second;
  }
  return std::nullopt;
}

inline bool reaches(const std::set<std::string>& folders, std::string_view include) {
  for (int depth = 2; depth >= 1; --depth) {
    if (folders.count(folder_of(include, depth)) > 0) return true;
  }
  return folders.count(std::string(include)) > 0;
}

inline std::vector<Finding> arrow_findings(const SourceFile& file) {
  static const std::set<std::string> kHouse = {"shared", "model", "controller",
                                               "sim",    "tests", "bench"};
  std::vector<Finding> findings;
  if (!is_code(file.path)) return findings;
  const auto folders = reachable_folders(file.path);
  for (const Include& include : includes_of(file)) {
    if (!include.ours) continue;
    if (include.what == "source_hash.h" && starts_with(file.path, "sim/output/"))
      continue;  // made by the build
    const auto say = [&](const std::string& what) {
      findings.push_back({file.path, include.line, "\"" + include.what + "\" " + what});
    };
    if (kHouse.count(folder_of(include.what, 1)) == 0) {
      say("is not written from the repository's top");
    } else if (starts_with(file.path, "sim/") && starts_with(include.what, "controller/")) {
      say("is the controller's inside; sim knows it only by shared/controller_abi.h");
    } else if (folders && !reaches(*folders, include.what)) {
      say("is no arrow of the house from here");
    }
  }
  return findings;
}

/// Libraries that a folder may know, by the start of the include; the C++ library's own headers
/// have no slash or dot.
inline std::vector<Finding> library_findings(const SourceFile& file) {
  static const std::set<std::string> kFirmware = {"array",     "cstdint",     "cstddef",
                                                  "algorithm", "limits",      "stdint.h",
                                                  "stddef.h",  "type_traits", "new"};
  static const std::set<std::string> kNotInModel = {
      "iostream",      "fstream",       "chrono", "thread",  "mutex", "random",    "regex",
      "unordered_map", "unordered_set", "locale", "cstdlib", "ctime", "filesystem"};
  std::vector<Finding> findings;
  if (!is_code(file.path)) return findings;
  for (const Include& include : includes_of(file)) {
    if (include.ours) continue;
    const std::string& what = include.what;
    const auto say = [&](const std::string& why) {
      findings.push_back({file.path, include.line, "<" + what + "> " + why});
    };
    const bool library = what.find('/') != std::string::npos || what == "sleef.h";
    const bool odeint = starts_with(what, "boost/numeric/odeint");
    if (starts_with(file.path, "controller/") && !starts_with(file.path, "controller/port/") &&
        kFirmware.count(what) == 0) {
      say("is not among the headers that firmware may use");
    } else if (starts_with(file.path, "shared/") && library) {
      say("is a library; shared depends on nothing");
    } else if (starts_with(file.path, "model/") && kNotInModel.count(what) > 0) {
      say("brings input, output, clocks or host state into the model");
    } else if (starts_with(file.path, "model/") && odeint && file.path != "model/integrate.h") {
      say("has one includer in the model: model/integrate.h");
    } else if (what == "sleef.h" && file.path != "model/reproducible_math.h") {
      say("has one includer: model/reproducible_math.h");
    } else if (starts_with(file.path, "model/") && library && !odeint && what != "sleef.h" &&
               !starts_with(what, "Eigen/")) {
      say("is a library that the model does not use");
    } else if (starts_with(what, "boost/math") && !starts_with(file.path, "tests/")) {
      say("calls the C library's exp and log, whose bits change with the processor");
    }
  }
  return findings;
}

/// Headers that take seconds to compile are included by one .cc, never by a header.
inline std::vector<Finding> single_includer_findings(const std::vector<SourceFile>& tree) {
  std::map<std::string, std::string> first;
  std::vector<Finding> findings;
  for (const SourceFile& file : tree) {
    if (!is_code(file.path) || starts_with(file.path, "tests/")) continue;
    for (const Include& include : includes_of(file)) {
      const std::string library = folder_of(include.what, 1);
      if (library != "CLI" && library != "toml++") continue;
      const auto [row, fresh] = first.emplace(library, file.path);
      if (is_header(file.path)) {
        findings.push_back({file.path, include.line, "<" + include.what + "> belongs in a .cc"});
      } else if (!fresh && row->second != file.path) {
        findings.push_back({file.path, include.line,
                            "<" + include.what + "> is already included by " + row->second});
      }
    }
  }
  return findings;
}

}  // namespace arch
