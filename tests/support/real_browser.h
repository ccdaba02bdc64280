// A real browser for a test: what it needs, and a script of node that drives it.
//
// Errors   none: where a tool is missing, browser_lacks() says which, and the test skips
// Checked  tests/sim/command/page_browser_test.cc
#pragma once

#include <cstdlib>
#include <iostream>

#include "tests/support/run_program.h"

namespace support {

/// What this machine lacks to drive a browser, for GTEST_SKIP; empty where it lacks nothing.
inline std::string browser_lacks() {
  for (const char* tool : {"chromium", "chromedriver", "node"})
    if (run_program({tool, "--version"}).code != 0)
      return std::string("no ") + tool + " on this machine (tests/support/setup.sh tests)";
  return {};
}

/// axe-core of Deque, which finds what hinders people who cannot see well or use a mouse; empty
/// where npm could not bring it: the scripts then look at widths and pictures alone.
inline std::string axe_core() {
  const std::string path = SILLION_SOURCE_DIR "/build/browser/node_modules/axe-core/axe.min.js";
  return std::filesystem::exists(path) ? path : std::string();
}

/// Runs tests/support/`script` with `subject`, an address or a file, as its first argument, and
/// repeats its lines, `ok`, `bad` or `measured`. Pictures go into `scratch`, or where
/// SILLION_PAGE_PICTURES=FOLDER says, for a person to look at.
inline Ended drive_browser(const std::string& script, const std::string& subject,
                           const ScratchFolder& scratch) {
  const char* kept = std::getenv("SILLION_PAGE_PICTURES");
  const std::filesystem::path pictures =
      kept != nullptr ? std::filesystem::path(kept) : scratch.path() / "pictures";
  std::filesystem::create_directories(pictures);
  const Ended driven = run_program({"node", SILLION_SOURCE_DIR "/tests/support/" + script, subject,
                                    pictures.string(), axe_core()});
  std::cout << driven.out;
  return driven;
}

/// The address that the page prints when it serves; empty when it ends first or takes 30 s.
inline std::string address_of(Program& page) {
  for (int i = 0; i < 600 && page.running(); ++i) {
    const std::string out = page.out_so_far();
    const std::size_t start = out.find("http://127.0.0.1:");
    if (start != out.npos && out.find('\n', start) != out.npos)
      return out.substr(start, out.find('\n', start) - start);
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  }
  return {};
}

}  // namespace support
