// The server of the page against right and wrong requests, over a socket of this machine.
#include "sim/command/page_server.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/support/hostile_requests.h"
#include "tests/support/raw_http.h"
#include "tests/support/served_page.h"

namespace {

using support::exchanged;
using support::http_request;
using support::status_of;
using ::testing::HasSubstr;
using ::testing::Not;

struct Asked {
  support::ServedPage page;
  std::string host = "Host: 127.0.0.1:" + std::to_string(page.door().port) + "\r\n";
  std::string in = "/" + page.door().token + "/";
};

TEST(PageServer, ServesTheAddressThatItPrints) {
  Asked asked;
  const std::string got =
      exchanged(asked.page.door().port, http_request("GET", asked.in, asked.host));
  EXPECT_EQ(status_of(got), 200);
  EXPECT_THAT(got, HasSubstr(support::kServedWord));
  const std::string posted = exchanged(
      asked.page.door().port, http_request("POST", asked.in + "row", asked.host, "{\"a\":1}"));
  EXPECT_THAT(posted, HasSubstr(std::string(support::kServedWord) + "{\"a\":1}"));
}

// What OWASP's list of secure headers asks of such a page (from memory).
TEST(PageServer, EveryResponseForbidsCachingFramingAndOtherOrigins) {
  Asked asked;
  for (const std::string& target : {asked.in, std::string("/")}) {
    const std::string got =
        exchanged(asked.page.door().port, http_request("GET", target, asked.host));
    for (const char* header :
         {"Cache-Control: no-store", "X-Content-Type-Options: nosniff", "X-Frame-Options: DENY",
          "Referrer-Policy: no-referrer", "Content-Security-Policy: default-src 'none'",
          "Cross-Origin-Resource-Policy: same-origin", "frame-ancestors 'none'"})
      EXPECT_THAT(got, HasSubstr(header)) << target;
    // 'wasm-unsafe-eval' lets the row's module be compiled, and no script from text.
    EXPECT_THAT(got, Not(HasSubstr("'unsafe"))) << target;
    EXPECT_THAT(got, Not(HasSubstr("Access-Control"))) << target;
  }
}

TEST(PageServer, SaysWhatKindOfRefusalItIs) {
  Asked asked;
  const auto status = [&](const std::string& bytes) {
    return status_of(exchanged(asked.page.door().port, bytes));
  };
  EXPECT_EQ(status(http_request("PUT", asked.in, asked.host)), 405);
  EXPECT_EQ(status(http_request("GET", asked.in, "Host: evil.example\r\n")), 421);
  EXPECT_EQ(status(http_request("GET", "/keys", asked.host)), 404);
  EXPECT_EQ(
      status(http_request("GET", asked.in, asked.host + "X: " + std::string(9000, 'x') + "\r\n")),
      431);
  EXPECT_EQ(status(http_request("POST", asked.in + "row", asked.host, std::string(70'000, ' '))),
            413);
  EXPECT_EQ(status("\x01\x02\x03\r\n\r\n"), 400);
  EXPECT_EQ(asked.page.handled(), 0);
}

TEST(PageServer, HundredsOfHostileRequestsReachNothing) {
  Asked asked;
  for (std::size_t i = 0; i < 300; ++i) {
    const std::string request = support::hostile_request(i, asked.page.door());
    const std::string got = exchanged(asked.page.door().port, request);
    EXPECT_THAT(got, Not(HasSubstr(support::kServedWord))) << i << ": " << request.substr(0, 200);
    EXPECT_NE(status_of(got), 200) << i;
  }
  EXPECT_EQ(asked.page.handled(), 0);
  EXPECT_EQ(status_of(exchanged(asked.page.door().port, http_request("GET", asked.in, asked.host))),
            200);
}

TEST(PageServer, APortInUseIsToldByItsNumber) {
  support::ServedPage first;
  try {
    sim::command::PageServer second(first.door().port, support::kTestToken, {});
    FAIL() << "two servers on one port";
  } catch (const sim::command::PageServerError& error) {
    EXPECT_THAT(error.what(), HasSubstr(std::to_string(first.door().port)));
  }
}

}  // namespace
