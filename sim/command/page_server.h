// An HTTP server on 127.0.0.1 that hands requests which pass the guard to one function. The library
// (Boost.Beast) is included by its .cc alone.
//
//   Heads up to 8 kB, bodies up to 64 kB, 10 s for a request to arrive, at most 256 connections at
//   a time: what exceeds these is refused before it is kept. The head is judged before the body is
//   read. Every response forbids caching, framing, other origins and guessing of types.
//
// Errors   PageServerError: the port is in use, or may not be used
// Checked  tests/sim/command/page_server_test.cc, tests/sim/command/page_server_slow_test.cc
#pragma once

#include <atomic>
#include <functional>
#include <memory>
#include <stdexcept>
#include <string>

#include "sim/command/page_guard.h"

namespace sim::command {

struct PageServerError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

struct PageResponse {
  unsigned status = 200;
  std::string type = "application/json";
  std::string body;
  /// Content-Security-Policy; empty: nothing but the page's own style, script and requests.
  std::string policy;
};

/// Called from several threads at a time.
using PageHandler = std::function<PageResponse(const std::string& method, const std::string& path,
                                               const std::string& body)>;

class PageServer {
 public:
  /// port 0: any that is free.
  PageServer(int port, std::string token, PageHandler handler);
  ~PageServer();
  PageServer(const PageServer&) = delete;
  PageServer& operator=(const PageServer&) = delete;

  const PageDoor& door() const;
  /// "http://127.0.0.1:PORT/TOKEN/"
  std::string address() const;
  /// Serves until `stop`, at which it looks ten times per second.
  void run(const std::atomic<bool>& stop);

 private:
  struct Works;
  std::unique_ptr<Works> works_;
};

}  // namespace sim::command
