// The command `page` itself: what it prints, what it refuses, how it ends.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>
#include <nlohmann/json.hpp>
#include <thread>

#include "tests/support/raw_http.h"
#include "tests/support/run_program.h"

namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

struct Started {
  support::ScratchFolder scratch;
  support::Program page{{support::sillion_path(), "page", "scenarios/demo.toml", "--json", "--out",
                         (scratch.path() / "page").string()}};
  std::string address;
  int port = 0;
  Started() {
    for (int i = 0; i < 1000 && page.running() && address.empty(); ++i) {
      const auto said = nlohmann::json::parse(page.out_so_far(), nullptr, false);
      if (said.is_object()) address = said["address"];
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    const std::size_t colon = address.find_last_of(':');
    if (colon != address.npos) port = std::stoi(address.substr(colon + 1));
  }
};

TEST(PageCommand, ServesThePageAtTheAddressItPrintsAndLeavesNothingBehind) {
  Started started;
  ASSERT_TRUE(started.address.starts_with("http://127.0.0.1:")) << started.page.err_so_far();
  const std::string path = started.address.substr(started.address.find('/', 10));
  EXPECT_EQ(path.size(), 34u) << "128 bits as 32 hexadecimal digits between two slashes";
  const std::string host = "Host: 127.0.0.1:" + std::to_string(started.port) + "\r\n";
  EXPECT_THAT(support::exchanged(started.port, support::http_request("GET", path, host)),
              HasSubstr("<title>sillion page</title>"));
  EXPECT_EQ(
      support::status_of(support::exchanged(started.port, support::http_request("GET", "/", host))),
      404);
  started.page.send(SIGINT);
  ASSERT_TRUE(started.page.ends_within(std::chrono::seconds(3)));
  EXPECT_EQ(started.page.wait().code, 130);
  EXPECT_TRUE(fs::is_empty(started.scratch.path()));
}

TEST(PageCommand, EveryStartHasAnotherSecret) {
  Started one, two;
  EXPECT_NE(one.address.substr(one.address.size() - 33),
            two.address.substr(two.address.size() - 33));
}

TEST(PageCommand, WhatCannotBeServedIsToldWithoutAnAddress) {
  Started first;
  ASSERT_NE(first.port, 0);
  const std::string port = std::to_string(first.port);
  const support::Ended taken =
      support::sillion({"page", "scenarios/demo.toml", "--port", port, "--out",
                        (first.scratch.path() / "other").string()});
  EXPECT_EQ(taken.code, 2);
  EXPECT_THAT(taken.err, HasSubstr("--port " + port));
  const support::Ended none = support::sillion({"page", "scenarios/nowhere.toml"});
  EXPECT_EQ(none.code, 2);
  EXPECT_THAT(none.err, HasSubstr("scenarios/nowhere.toml"));
  const support::Ended rowless =
      support::sillion({"page", "scenarios/demo.toml", "--set", "row.count=0"});
  EXPECT_EQ(rowless.code, 2);
  EXPECT_THAT(rowless.err, HasSubstr("row.count"));
  const support::Ended same = support::sillion(
      {"page", "scenarios/demo.toml", "--out", (first.scratch.path() / "page").string()});
  EXPECT_EQ(same.code, 2) << "two pages would write into one folder";
  for (const support::Ended& ended : {taken, none, rowless, same}) EXPECT_EQ(ended.out, "");
}

}  // namespace
