// Who may include whom: the arrows of the house, and the libraries that each folder may know.
//
//   shared <- model, shared <- controller, sim uses all but the controller, which it knows only by
//     shared/controller_abi.h
//   inside sim:  command -> study -> {bench, output} -> measure -> {statistics, scenario} -> text
//   inside study:  each question -> run -> tune, and valve -> rig; nothing else sideways
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

/// The rooms of sim with those that each may include beside itself, shared and model. command may
/// include all of them.
inline const std::map<std::string, std::set<std::string>>& rooms_of_sim() {
  static const std::map<std::string, std::set<std::string>> kRooms = [] {
    const std::set<std::string> floor = {"sim/text", "sim/statistics", "sim/scenario",
                                         "sim/measure"};
    std::set<std::string> tune = floor;
    tune.insert({"sim/bench", "sim/output"});
    std::set<std::string> run = tune;
    run.insert("sim/study/tune");
    std::set<std::string> question = run;
    question.insert("sim/study/run");
    std::set<std::string> valve = question;
    valve.insert("sim/study/rig");
    return std::map<std::string, std::set<std::string>>{
        {"sim/text", {}},
        {"sim/statistics", {}},
        {"sim/scenario", {"sim/text"}},
        {"sim/measure", {"sim/text", "sim/scenario", "sim/statistics"}},
        {"sim/bench", floor},
        {"sim/output", floor},
        {"sim/study/tune", tune},
        {"sim/study/run", run},
        {"sim/study/sweep", question},
        {"sim/study/budget", question},
        {"sim/study/delay", question},
        {"sim/study/outlet", question},
        {"sim/study/rate", question},
        {"sim/study/rig", question},
        {"sim/study/check", question},
        {"sim/study/faults", question},
        {"sim/study/search", question},
        {"sim/study/score", question},
        {"sim/study/page", question},
        {"sim/study/map", question},
        {"sim/study/unit", question},
        {"sim/study/valve", valve},
    };
  }();
  return kRooms;
}

/// Our own folders that a file may include from; none for folders that may include all.
inline std::optional<std::set<std::string>> reachable_folders(std::string_view path) {
  static const std::map<std::string, std::set<std::string>> kArrows = {
      {"shared", {"shared"}},
      {"model", {"shared", "model"}},
      {"controller", {"shared", "controller"}},
      {"sim/command", {"shared", "model", "sim"}},
      {"tests/shared", {"shared", "tests"}},
      {"tests/model", {"shared", "model", "tests"}},
      {"tests/controller", {"shared", "controller", "tests"}},
      {"tests/arch", {"tests", "shared"}},
  };
  for (int depth = 3; depth >= 1; --depth) {
    const std::string folder = folder_of(path, depth);
    if (const auto room = rooms_of_sim().find(folder); room != rooms_of_sim().end()) {
      std::set<std::string> folders = room->second;
      folders.insert({"shared", "model", folder});
      return folders;
    }
    if (const auto row = kArrows.find(folder); row != kArrows.end()) return row->second;
  }
  // A folder of sim that is not listed above may include nothing.
  if (starts_with(path, "sim/")) return std::set<std::string>{};
  return std::nullopt;
}

inline bool reaches(const std::set<std::string>& folders, std::string_view include) {
  for (int depth = 3; depth >= 1; --depth) {
    if (folders.count(folder_of(include, depth)) > 0) return true;
  }
  return false;
}

inline std::vector<Finding> arrow_findings(const SourceFile& file) {
  static const std::set<std::string> kHouse = {"shared", "model", "controller",
                                               "sim",    "tests", "bench"};
  std::vector<Finding> findings;
  if (!is_code(file.path)) return findings;
  const auto folders = reachable_folders(file.path);
  for (const Include& include : includes_of(file)) {
    if (!include.ours) continue;
    if (include.what == "source_hash.h" && file.path == "sim/study/run/seal.cc")
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
    } else if (starts_with(what, "sodium") && !ends_with(file.path, "/output/hash.cc") &&
               !ends_with(file.path, "/output/base64.cc")) {
      say("has two includers: hash.cc and base64.cc of the output");
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
