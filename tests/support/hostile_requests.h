// Requests that a page must refuse, in any number: wrong tokens, hosts and origins, paths that lead
// out of the page, methods, heads and bodies of every size, and bytes that are no HTTP.
//
// Errors   none
// Checked  tests/sim/command/page_server_test.cc, tests/sim/command/page_server_slow_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/command/page_guard.h"
#include "tests/support/raw_http.h"

namespace support {

/// The `index`-th request, none of which may be served. Kinds take turns; the index also varies
/// what is inside, so that no two of the first thousands are the same.
inline std::string hostile_request(std::size_t index, const sim::command::PageDoor& door) {
  const std::string host = "Host: 127.0.0.1:" + std::to_string(door.port) + "\r\n";
  const std::string in = "/" + door.token + "/";
  const std::size_t turn = index / 20;
  std::string wrong = door.token;  // one digit differs, at every place in turn
  char& digit = wrong[turn % wrong.size()];
  digit = digit == '0' ? '1' : '0';
  const std::string noise(1 + (turn * 37) % 700, static_cast<char>('!' + turn % 90));
  switch (index % 20) {
    case 0: return http_request("GET", "/", host);
    case 1: return http_request("GET", "/" + wrong + "/", host);
    case 2: return http_request("GET", "/" + door.token.substr(0, turn % 32) + "/keys", host);
    case 3: return http_request("GET", in + "../../etc/passwd" + std::to_string(turn), host);
    case 4: return http_request("GET", in + "%2e%2e/%2e%2e/etc/passwd", host);
    case 5: return http_request("GET", "/.." + in + "keys" + std::to_string(turn), host);
    case 6: return http_request("GET", in, "Host: evil" + std::to_string(turn) + ".example\r\n");
    case 7: return http_request("GET", in, "");  // no Host
    case 8: return http_request("GET", in, host + host);
    case 9: return http_request("GET", in, host + "Origin: http://evil.example\r\n");
    case 10: return http_request("GET", in, host + "Sec-Fetch-Site: cross-site\r\n");
    case 11: {
      constexpr const char* kMethods[] = {"PUT",     "DELETE", "OPTIONS", "HEAD",
                                          "CONNECT", "TRACE",  "PATCH",   "BREW"};
      return http_request(kMethods[turn % 8], in, host);
    }
    case 12: return http_request("GET", in + std::string(300 + turn, 'a'), host);
    case 13:
      return http_request("GET", in, host + "X-Noise: " + std::string(9000 + turn, 'n') + "\r\n");
    case 14:
      return "POST " + in + "row HTTP/1.1\r\n" + host +
             "Content-Type: application/json\r\nContent-Length: 99999999999\r\n\r\n{}";
    case 15:
      return "POST " + in + "row HTTP/1.1\r\n" + host +
             "Content-Type: text/plain\r\nContent-Length: 2\r\nConnection: close\r\n\r\n{}";
    case 16: return noise + "\r\n\r\n";
    case 17: return "GET " + in + " HTTP/9." + std::to_string(turn) + "\r\n" + host + "\r\n";
    case 18: return http_request("GET", "http://evil.example" + in, host);
    default: return "GET " + in + noise + "\x01\x02 HTTP/1.1\r\n" + host + "\r\n";
  }
}

}  // namespace support
