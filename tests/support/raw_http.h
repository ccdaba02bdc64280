// A client that sends any bytes to a port of this machine, right or wrong as HTTP, and takes what
// comes back.
//
// Errors   none: a connection that fails or is cut gives what came until then
// Checked  tests/sim/command/page_server_test.cc
#pragma once

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

#include <string>
#include <string_view>

namespace support {

/// What the server sent until it closed the connection, or for 5 s.
inline std::string exchanged(int port, std::string_view bytes) {
  const int connection = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  const timeval patience{.tv_sec = 5, .tv_usec = 0};
  setsockopt(connection, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
  setsockopt(connection, SOL_SOCKET, SO_SNDTIMEO, &patience, sizeof patience);
  sockaddr_in to{};
  to.sin_family = AF_INET;
  to.sin_port = htons(static_cast<std::uint16_t>(port));
  to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  std::string got;
  if (connect(connection, reinterpret_cast<const sockaddr*>(&to), sizeof to) == 0) {
    while (!bytes.empty()) {
      const ssize_t sent = send(connection, bytes.data(), bytes.size(), MSG_NOSIGNAL);
      if (sent <= 0) break;
      bytes.remove_prefix(static_cast<std::size_t>(sent));
    }
    shutdown(connection, SHUT_WR);
    char some[4096];
    for (ssize_t more = 0; (more = recv(connection, some, sizeof some, 0)) > 0;)
      got.append(some, static_cast<std::size_t>(more));
  }
  close(connection);
  return got;
}

/// A request as a browser sends it.
inline std::string http_request(const std::string& method, const std::string& target,
                                const std::string& headers, const std::string& body = "") {
  std::string bytes = method + " " + target + " HTTP/1.1\r\n" + headers;
  if (!body.empty())
    bytes +=
        "Content-Type: application/json\r\nContent-Length: " + std::to_string(body.size()) + "\r\n";
  return bytes + "Connection: close\r\n\r\n" + body;
}

/// The status of a response; 0 where there is none.
inline int status_of(std::string_view response) {
  if (!response.starts_with("HTTP/1.1 ") || response.size() < 12) return 0;
  return (response[9] - '0') * 100 + (response[10] - '0') * 10 + (response[11] - '0');
}

}  // namespace support
