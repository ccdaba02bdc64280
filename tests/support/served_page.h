// A page server whose every answer is one word, so that a test sees whether anything was served.
//
// Errors   PageServerError: no free port
// Checked  tests/sim/command/page_server_test.cc
#pragma once

#include <atomic>
#include <string>
#include <thread>

#include "sim/command/page_server.h"

namespace support {

inline constexpr char kServedWord[] = "THE SERVED WORD";
inline constexpr char kTestToken[] = "00112233445566778899aabbccddeeff";

class ServedPage {
 public:
  ServedPage()
      : server_(0, kTestToken,
                [this](const std::string&, const std::string&, const std::string& body) {
                  ++handled_;
                  return sim::command::PageResponse{.body = kServedWord + body};
                }),
        thread_([this] { server_.run(stop_); }) {}
  ~ServedPage() {
    stop_ = true;
    thread_.join();
  }
  ServedPage(const ServedPage&) = delete;
  ServedPage& operator=(const ServedPage&) = delete;

  const sim::command::PageDoor& door() const { return server_.door(); }
  int handled() const { return handled_; }

 private:
  std::atomic<bool> stop_ = false;
  std::atomic<int> handled_ = 0;
  sim::command::PageServer server_;
  std::thread thread_;
};

}  // namespace support
