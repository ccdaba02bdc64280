// The guard of the page: one right way in, and what else knocks.
#include "sim/command/page_guard.h"

#include <gtest/gtest.h>

namespace {

using sim::command::entry_of;
using sim::command::PageDoor;
using sim::command::PageHead;

const PageDoor kDoor{.token = "0123456789abcdef0123456789abcdef", .port = 8017};
const std::string kIn = "/" + kDoor.token + "/";

PageHead right() { return {.method = "GET", .target = kIn, .host = "127.0.0.1:8017"}; }

TEST(PageGuard, LetsInWhoHasTheAddress) {
  EXPECT_EQ(entry_of(right(), kDoor).status, 200u);
  PageHead head = right();
  const std::string target = kIn + "jobs/3/report.html";
  head.target = target;
  head.host = "localhost:8017";
  head.origin = "http://localhost:8017";
  head.fetch_site = "same-origin";
  EXPECT_EQ(entry_of(head, kDoor).status, 200u);
  EXPECT_EQ(entry_of(head, kDoor).path, "jobs/3/report.html");
  head.method = "POST";
  head.content_type = "application/json";
  EXPECT_EQ(entry_of(head, kDoor).status, 200u);
}

TEST(PageGuard, RefusesOtherHostsAndOrigins) {
  for (const char* host : {"127.0.0.1", "127.0.0.1:80", "evil.example:8017", "", "127.0.0.1:8017.",
                           "LOCALHOST:8017", "[::1]:8017", "127.0.0.1:8017@evil.example"}) {
    PageHead head = right();
    head.host = host;
    EXPECT_EQ(entry_of(head, kDoor).status, 421u) << host;
  }
  PageHead two = right();
  two.hosts = 2;
  EXPECT_EQ(entry_of(two, kDoor).status, 421u);
  for (const char* origin : {"null", "http://evil.example", "https://127.0.0.1:8017",
                             "http://127.0.0.1:8018", "http://localhost:8017"}) {
    PageHead head = right();
    head.origin = origin;
    EXPECT_EQ(entry_of(head, kDoor).status, 403u) << origin;
  }
  PageHead site = right();
  site.fetch_site = "cross-site";
  EXPECT_EQ(entry_of(site, kDoor).status, 403u);
}

TEST(PageGuard, RefusesWrongTokensAndPathsThatLeadOut) {
  for (const std::string& target :
       {std::string("/"), std::string(""), "/" + kDoor.token, "/" + kDoor.token.substr(1) + "/",
        "/" + kDoor.token + "0/", kDoor.token + "/", kIn + "..", kIn + "jobs/../keys", kIn + "a//b",
        kIn + "%2e%2e", kIn + "keys?x=1", kIn + "keys#x", kIn + "a b", kIn + "\\x"}) {
    PageHead head = right();
    head.target = target;
    EXPECT_EQ(entry_of(head, kDoor).status, 404u) << target;
  }
  PageHead head = right();
  const std::string many = kIn + std::string(400, 'a');
  head.target = many;
  EXPECT_EQ(entry_of(head, kDoor).status, 414u);
}

TEST(PageGuard, TakesGetAndPostOfJsonAlone) {
  for (const char* method : {"PUT", "HEAD", "OPTIONS", "get", "", "DELETE"}) {
    PageHead head = right();
    head.method = method;
    EXPECT_EQ(entry_of(head, kDoor).status, 405u) << method;
  }
  for (const char* type : {"", "text/plain", "application/x-www-form-urlencoded"}) {
    PageHead head = right();
    head.method = "POST";
    head.content_type = type;
    EXPECT_EQ(entry_of(head, kDoor).status, 415u) << type;
  }
}

TEST(PageGuard, SecretsDifferWhereverOneDigitDiffers) {
  EXPECT_TRUE(sim::command::same_secret(kDoor.token, kDoor.token));
  for (std::size_t i = 0; i < kDoor.token.size(); ++i) {
    std::string other = kDoor.token;
    other[i] = 'x';
    EXPECT_FALSE(sim::command::same_secret(kDoor.token, other)) << i;
  }
  EXPECT_FALSE(sim::command::same_secret(kDoor.token, ""));
}

}  // namespace
