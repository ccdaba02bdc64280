// 10,000 hostile requests and 200 clients at a time.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <atomic>
#include <thread>
#include <vector>

#include "tests/support/hostile_requests.h"
#include "tests/support/served_page.h"

namespace {

constexpr std::size_t kRequests = 10'000;
constexpr std::size_t kClients = 200;

std::string right_request(const support::ServedPage& page) {
  return support::http_request("GET", "/" + page.door().token + "/",
                               "Host: 127.0.0.1:" + std::to_string(page.door().port) + "\r\n");
}

TEST(PageServerLong, TenThousandHostileRequestsReachNothing) {
  support::ServedPage page;
  std::atomic<int> served = 0, answered = 0;
  std::vector<std::thread> clients;
  for (std::size_t client = 0; client < 8; ++client)
    clients.emplace_back([&, client] {
      for (std::size_t i = client; i < kRequests; i += 8) {
        const std::string got =
            support::exchanged(page.door().port, support::hostile_request(i, page.door()));
        served += got.find(support::kServedWord) != got.npos || support::status_of(got) == 200;
        answered += support::status_of(got) >= 400;
      }
    });
  for (std::thread& client : clients) client.join();
  EXPECT_EQ(served, 0);
  EXPECT_EQ(page.handled(), 0);
  EXPECT_GT(answered, 9'000);  // the others are cut, such as a head that never ends
  EXPECT_EQ(support::status_of(support::exchanged(page.door().port, right_request(page))), 200);
}

TEST(PageServerLong, TwoHundredClientsAtATimeAreAllServed) {
  support::ServedPage page;
  std::atomic<int> served = 0;
  std::atomic<bool> go = false;
  std::vector<std::thread> clients;
  for (std::size_t client = 0; client < kClients; ++client)
    clients.emplace_back([&] {
      while (!go) std::this_thread::yield();
      for (int i = 0; i < 5; ++i)
        served +=
            support::status_of(support::exchanged(page.door().port, right_request(page))) == 200;
    });
  go = true;
  for (std::thread& client : clients) client.join();
  EXPECT_EQ(served, static_cast<int>(kClients) * 5);
}

}  // namespace
