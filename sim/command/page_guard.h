// Who may speak to the page: only a browser of this machine to which somebody gave the address that
// the program printed.
//
//   method   GET or POST; a POST brings JSON, which a page of another origin cannot send unasked
//   Host     127.0.0.1:PORT or localhost:PORT: a name that somebody has pointed to this machine is
//            refused (DNS rebinding)
//   Origin   absent, or http:// and that very Host; Sec-Fetch-Site absent, same-origin or none
//   path     /TOKEN/... of plain letters, digits and . _ - /; the token is compared in a time that
//            does not depend on how much of it is right
//   A refusal says what kind it is and nothing of what is served.
//
// Source   RFC 9110 (methods, Host), RFC 6454 (Origin), W3C Fetch Metadata Request Headers
// Errors   none
// Checked  tests/sim/command/page_guard_test.cc
#pragma once

#include <string>
#include <string_view>

namespace sim::command {

/// How the page can be reached.
struct PageDoor {
  std::string token;  // 32 hexadecimal digits
  int port = 0;
};

struct PageHead {
  std::string_view method, target, host, origin, fetch_site, content_type;
  int hosts = 1;  // Host headers of the request
};

struct PageEntry {
  unsigned status = 200;  // of HTTP; not 200: refused
  std::string path;       // behind the token, without a slash at its start
};

PageEntry entry_of(const PageHead& head, const PageDoor& door);
/// Takes the same time wherever the texts differ; texts of different lengths differ.
bool same_secret(std::string_view a, std::string_view b);

}  // namespace sim::command
